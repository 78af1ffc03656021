"""SSI against published values and against colour-science."""

import warnings

import numpy as np
import pytest
from references import references

from advisor.colour.observer.data import library, published
from advisor.colour.observer.loci import planckian
from advisor.colour.rendering.ssi import similarity

RANGE = np.arange(375.0, 676.0)
"""Where ST 2122 looks. [nm]"""
LIBRARY = 0.6
"""The library's figure before it is rounded, beside ours after: half of 1, and its own interpolation."""


@pytest.mark.parametrize("entry", references("ssi-P"), ids=lambda e: e["id"])
def test_ssi_of_planckian_radiators(entry):
    wanted = entry["value"]
    spectrum = planckian(float(wanted["planckian"]), RANGE)
    assert similarity(spectrum, wanted["reference"], RANGE) == wanted["ssi"]


def test_ssi_of_a_reference_to_itself_is_100():
    for name, reference_name in (("D65", "D6500"), ("D55", "D5500"), ("A", "P2856")):
        own = published(name)
        assert similarity(own.values, reference_name, own.wavelengths) == 100.0


def test_ssi_falls_with_the_distance_from_the_reference():
    found = [similarity(planckian(cct, RANGE), "P3200", RANGE) for cct in (3200.0, 3000.0, 2500.0)]
    assert found == sorted(found, reverse=True) and len(set(found)) == 3


@pytest.mark.parametrize("name", ["", "5600", "X5600", "D3900", "P900", "P26000", "D5600K", "p3200"])
def test_ssi_needs_a_reference_that_there_is(name):
    with pytest.raises(ValueError, match="SSI has no reference"):
        similarity(planckian(3200.0, RANGE), name, RANGE)


@pytest.mark.parametrize("name", ["FL2", "FL7", "FL11", "LED-B1", "LED-RGB1", "HP1", "A", "C"])
@pytest.mark.parametrize("reference", ["P3200", "P5600", "D5600", "D6500"])
def test_colour_science_agrees(name, reference):
    own, colour = published(name), library()
    cct = float(reference[1:])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says what it does with wavelengths beyond its own
        lamp = colour.SpectralDistribution(dict(zip(own.wavelengths, own.values, strict=True)))
        if reference[0] == "P":
            ideal = colour.sd_blackbody(cct, colour.SpectralShape(375, 675, 1))
        else:
            ideal = colour.sd_CIE_illuminant_D_series(
                colour.temperature.CCT_to_xy_CIE_D(cct * 1.4388 / 1.4380)
            )
        wanted = float(colour.quality.spectral_similarity_index(lamp, ideal, round_result=False))
    assert similarity(own.values, reference, own.wavelengths) == pytest.approx(wanted, abs=LIBRARY)


def test_no_light_in_its_range_is_finite():
    assert similarity(np.array([0.0, 1.0]), "D5600", np.array([680.0, 780.0])) < 50.0


def test_a_spectrum_counts_as_nothing_where_it_does_not_reach():
    whole = planckian(5600.0, RANGE)
    short = np.where(RANGE < 400.0, 0.0, whole)
    reaching = RANGE >= 400.0
    found = similarity(whole[reaching], "P5600", RANGE[reaching])
    assert found == similarity(short, "P5600", RANGE) < 100.0
