"""How a measured light renders colours, bare and gelled, against colour-science asked by itself."""

import warnings

import colour
import numpy as np
import pytest

from advisor.advice.pictures.rendering import (
    FigureCompared,
    curve,
    differences,
    reference_named,
    reference_of,
    render,
)
from advisor.advice.readings.chromaticity import WhitePoint, measure
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.data import published
from advisor.colour.observer.loci import daylight, planckian
from advisor.colour.rendering.ssi import similarity
from advisor.model import Gel, Reading, Refused, Source, Spectrum, Target, Transmittance
from tests.advice.rows import nominal

RA, R9 = 0.05, 0.2
"""We render on the grid of 5 nm from 380 to 780 nm, which the test colours are published on."""
SHAPE = colour.SpectralShape(380, 780, 5)
ROWS = nominal()
LAMPS = ["FL2", "FL7", "FL8", "LED-B1", "LED-B5", "LED-BH1", "A", "D65"]


def spectrum_of(name):
    own = published(name)
    values = np.interp(np.arange(380, 785, 5), own.wavelengths, own.values)
    return Spectrum(start=380, step=5, values=values.tolist())


def light(spectrum, gels=(), rows=ROWS, reference="D5600", **reading):
    gel_arrays = gel_arrays_of(tuple(rows))
    source = Source(name="Lamp", reading=Reading(spectrum=spectrum, **reading))
    return render(prepare(source, gel_arrays, measure(source.reading)), gel_arrays, gels, reference)


def asked(spectrum, sheet=None):
    """Ask colour-science for Ra and R9 of a light behind a sheet, (81,)."""
    values = np.array(spectrum.values) * (1 if sheet is None else sheet)
    sd = colour.SpectralDistribution(dict(zip(SHAPE.wavelengths, values, strict=True)))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = colour.colour_rendering_index(sd, additional_data=True)
    return found.Q_a, found.Q_as[9].Q_a


def sheet_of(*names):
    gel_arrays = gel_arrays_of(tuple(ROWS))
    return np.prod(gel_arrays.transmittances[gel_arrays.find(names)], axis=0)


@pytest.mark.parametrize("name", LAMPS)
@pytest.mark.parametrize("gels", [(), ("CTO 1/2",), ("CTB 1/4", "Minus green 1/8"), ("Plus green 1/4",)])
def test_ra_and_r9_bare_and_gelled_are_colour_sciences(name, gels):
    spectrum = spectrum_of(name)
    found = light(spectrum, gels)
    ra, r9 = asked(spectrum, sheet_of(*gels) if gels else None)
    assert found.rendition.ra == pytest.approx(ra, abs=RA)
    assert found.rendition.special[8] == pytest.approx(r9, abs=R9)


def test_a_radiator_renders_perfectly_and_a_green_gel_spoils_it():
    bare, gelled = light(spectrum_of("A")), light(spectrum_of("A"), ["Plus green full"])
    assert bare.rendition.ra == pytest.approx(100, abs=0.1)
    assert bare.cct == pytest.approx(2856, abs=2)
    assert gelled.rendition.ra < 90
    assert gelled.duv > 0.015


def test_ssi_is_against_the_reference_asked_for():
    spectrum = spectrum_of("D65")
    assert light(spectrum, reference="D6504").ssi >= 99
    assert light(spectrum, reference="P3200").ssi < 60


def lines_at_1_nm(width):
    """Make a light of narrow lines on a weak ground, at 1 nm."""
    at = np.arange(380.0, 781.0)
    peaks = ((436.0, 3.0), (487.0, 1.0), (546.0, 4.0), (586.0, 1.5), (611.0, 5.0))
    values = 0.2 + sum(h * np.exp(-0.5 * ((at - nm) / width) ** 2) for nm, h in peaks)
    return Spectrum(start=380, step=1, values=values.tolist())


@pytest.mark.parametrize("width", [1.0, 2.0, 4.0])
@pytest.mark.parametrize("reference", ["P3200", "D5600"])
def test_ssi_of_a_light_at_1_nm_is_computed_at_1_nm(width, reference):
    spectrum = lines_at_1_nm(width)
    own = dict(zip(np.arange(380.0, 781.0).tolist(), spectrum.values, strict=True))
    named = {"P3200": (planckian, 3200.0), "D5600": (daylight, 5600.0 * 1.4388 / 1.4380)}
    locus, cct = named[reference]
    at = np.arange(375.0, 676.0)
    ideal = colour.SpectralDistribution(dict(zip(at.tolist(), locus(cct, at).tolist(), strict=True)))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        wanted = colour.spectral_similarity_index(colour.SpectralDistribution(own), ideal)
    assert light(spectrum, reference=reference).ssi == wanted


def test_ssi_behind_a_sheet_is_that_of_the_light_times_the_sheet_at_1_nm():
    spectrum = lines_at_1_nm(1.0)
    at = np.arange(380.0, 781.0)
    sheet = np.interp(at, np.arange(380, 785, 5), sheet_of("CTO 1/2"))
    wanted = similarity(np.array(spectrum.values) * sheet, "P3200", at)
    assert light(spectrum, ["CTO 1/2"], reference="P3200").ssi == wanted


@pytest.mark.parametrize(
    ("target", "name"),
    [
        (Target(cct=5600), "D5600"),
        (Target(cct=5600, duv_offset=-0.003), "D5600"),
        (Target(cct=3200, locus="planckian"), "P3200"),
        (Target(cct=5600, locus="planckian"), "P5600"),
    ],
)
def test_the_reference_is_named_as_the_target_is(target, name):
    assert reference_named(target, white_of(target, [])) == name


def test_a_target_that_is_a_sources_white_gets_the_nearer_locus():
    white = white_of(Target(cct=3200, locus="planckian"), [])
    assert reference_named(Target(source="Key"), white) == "P3200"


def test_a_stack_is_its_sheets_one_behind_the_other():
    spectrum = spectrum_of("FL8")
    both = light(spectrum, ["CTO 1/4", "CTO 1/8"]).spectrum
    one = light(spectrum, ["CTO 1/4"]).spectrum / light(spectrum).spectrum
    other = light(spectrum, ["CTO 1/8"]).spectrum
    assert both == pytest.approx(one * other)


def test_light_that_is_no_white_any_more_has_no_cct_and_still_its_rendition():
    values = [0.9 if nm > 620 else 0.001 for nm in range(380, 785, 5)]
    red = Gel(
        family="Red",
        fraction="full",
        mired=100,
        transmittance=Transmittance(start=380, step=5, values=values),
    )
    found = light(spectrum_of("D65"), ["Red full"], [red])
    assert (found.cct, found.duv) == (None, None)
    assert np.isfinite(found.rendition.ra)


def test_a_gel_that_is_not_in_the_rack_is_refused():
    with pytest.raises(Refused, match="no gel is called 'CTO 9/9'"):
        light(spectrum_of("A"), ["CTO 9/9"])


@pytest.mark.parametrize(
    ("target", "locus", "cct"),
    [
        (Target(cct=5600), "D", 5600),
        (Target(cct=5600, locus="planckian"), "P", 5600),
        (Target(cct=3200, locus="planckian"), "P", 3200),
        (Target(cct=4000), "D", 4000),
        (Target(cct=6504.4), "D", 6504),
        (Target(cct=6503.6), "D", 6504),
        (Target(cct=25000), "D", 25000),
        (Target(cct=1000, locus="planckian"), "P", 1000),
    ],
)
def test_the_reference_is_on_the_targets_own_locus(target, locus, cct):
    """A daylight's CCT on the Planckian locus is a little below the one that it is named by."""
    reference = reference_of(white_of(target, []))
    assert reference[0] == locus
    assert int(reference[1:]) == pytest.approx(cct, rel=0.004)


@pytest.mark.parametrize(
    ("cct", "duv", "reference"),
    [
        (5600, 0.0032, "D5600"),
        (5600, 0.0015, "P5600"),
        (5600, 0.0017, "D5600"),
        (4000, 0.0015, "D4000"),
        (3999.4, 0.003, "P3999"),
        (3999.6, 0.003, "D4000"),
        (3000, 0.01, "P3000"),
        (5600, -0.01, "P5600"),
    ],
)
def test_of_a_white_off_both_loci_the_reference_is_the_nearer_one(cct, duv, reference):
    white = WhitePoint(uv_of_cct_duv(np.array(float(cct)), np.array(duv)), cct, duv)
    assert reference_of(white) == reference
    light(spectrum_of("A"), reference=reference)  # and it is one that SSI knows


def test_what_the_meter_gave_stands_beside_what_the_spectrum_has_in_a_fixed_order():
    figures = {"cct": 4200.0, "duv": 0.002, "ra": 66.0, "r9": -80.0, "rf": 70.0, "rg": 90.0}
    spectrum = spectrum_of("FL2")
    found = light(spectrum)
    reading = Reading(spectrum=spectrum, ssi=55, ssi_reference="P3200", **figures)
    compared = differences(reading, found)
    assert [d.name for d in compared] == ["CCT", "Duv", "Ra", "R9", "Rf", "Rg", "SSI P3200"]
    assert [d.meter for d in compared] == [*figures.values(), 55]
    assert compared[0].computed == pytest.approx(4224, abs=8)  # CIE 15: FL2 is 4 230 K
    assert compared[2].computed == pytest.approx(64, abs=0.6)  # CIE 15: Ra 64
    assert compared[6].computed == light(spectrum, reference="P3200").ssi


def test_what_the_meter_did_not_give_is_left_out():
    spectrum = spectrum_of("FL2")
    found = light(spectrum)
    assert differences(Reading(spectrum=spectrum), found) == []
    only = differences(Reading(spectrum=spectrum, rf=70.0), found)
    assert only == [FigureCompared("Rf", 70.0, found.rendition.rf)]


def test_zero_is_a_figure():
    spectrum = spectrum_of("FL2")
    compared = differences(Reading(spectrum=spectrum, cct=4200, duv=0.0, r9=0.0), light(spectrum))
    assert [(d.name, d.meter) for d in compared] == [("CCT", 4200), ("Duv", 0.0), ("R9", 0.0)]


def test_a_curve_is_drawn_as_shares_of_the_highest():
    points = curve(np.linspace(0, 4, 81), 4.0)
    assert points[0] == (380, 0)
    assert points[-1] == (780, 1)
    assert points[40] == (580, 0.5)
