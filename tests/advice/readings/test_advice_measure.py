"""Readings and targets into chromaticities, or into words for why not."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import references

from advisor.advice.readings.chromaticity import measure
from advisor.advice.readings.shape import ensemble_of
from advisor.advice.readings.target import locus_duv, white_of
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import uv_of_xyz, xy_of_uv
from advisor.colour.observer.data import published
from advisor.colour.observer.grid import to_grid, weights
from advisor.model import Locus, Reading, Refused, Source, Spectrum, Target
from tests.advice.rows import source


def spectrum(name):
    wavelengths, values = published(name)
    seen = wavelengths >= 380
    return Spectrum(start=380, step=5, values=values[seen].tolist())


def refused(call, *args):
    with pytest.raises(Refused) as no:
        call(*args)
    [problem] = no.value.problems
    assert problem.says and problem.allowed
    return problem


@given(st.floats(2000, 25000), st.floats(-0.02, 0.01))
@settings(deadline=None)
def test_the_same_white_by_cct_and_duv_or_by_xy(cct, duv):
    by_cct = measure(Reading(cct=cct, duv=duv))
    x, y = xy_of_uv(by_cct.uv)
    by_xy = measure(Reading(xy=(float(x), float(y))))
    assert by_cct.cct == cct and by_cct.duv == duv
    assert by_xy.uv == pytest.approx(by_cct.uv, abs=1e-12)
    assert by_xy.cct == pytest.approx(cct, rel=1e-9) and by_xy.duv == pytest.approx(duv, abs=1e-9)


@pytest.mark.parametrize("entry", references("cie-cct-FL"), ids=lambda e: e["id"])
def test_a_spectrum_is_measured_at_its_own_steps(entry):
    white = measure(Reading(spectrum=spectrum(entry["id"].removeprefix("cie-cct-"))))
    assert white.cct == pytest.approx(entry["value"], abs=entry["tolerance"])


@pytest.mark.parametrize("xy", [(0.0, 0.0), (1.0, 0.0), (0.5, 0.51), (0.0, 1.0), (0.3, 0.001), (1.0, 1.0)])
def test_xy_of_no_light(xy):
    problem = refused(measure, Reading(xy=xy))
    assert problem.where == "xy"
    assert f"x {xy[0]:g}, y {xy[1]:g}" in problem.says and "no light" in problem.says
    assert problem.allowed == "a colour within the spectral locus"


@pytest.mark.parametrize("xy", [(0.2, 0.7), (0.69, 0.3), (0.16, 0.02), (0.25, 0.25), (0.4, 0.25)])
def test_xy_of_a_colour_too_far_from_white(xy):
    problem = refused(measure, Reading(xy=xy))
    assert problem.where == "xy" and "too far from white" in problem.says
    assert "25\N{NARROW NO-BREAK SPACE}000 K" in problem.allowed


@pytest.mark.parametrize(("cct", "duv"), [(1000, 0.05), (1200, 0.03), (1500, 0.02)])
def test_a_duv_that_no_light_has_at_a_low_cct(cct, duv):
    problem = refused(measure, Reading(cct=cct, duv=duv))
    assert problem.where == "duv"
    assert f"{duv:g}" in problem.says and "no light" in problem.says
    assert measure(Reading(cct=cct, duv=0.0)).cct == cct


def test_a_spectrum_far_from_white():
    green = [1.0 if 520 <= nm <= 540 else 0.0 for nm in range(380, 781, 5)]
    problem = refused(measure, Reading(spectrum=Spectrum(start=380, step=5, values=green)))
    assert problem.where == "spectrum" and "too far from white" in problem.says


@pytest.mark.parametrize("name", ["FL2", "FL11", "HP1", "LED-RGB1"])
def test_a_measured_spectrum_is_used_as_it_is(name):
    measured = Source(name="Head", kind="tungsten", reading=Reading(spectrum=spectrum(name)))
    own = to_grid(*published(name))
    only = ensemble_of(measured, measure(measured.reading))
    assert only.measured and len(only.weights) == 1
    np.testing.assert_allclose(only.spectra[0] / only.spectra[0].max(), own / own.max(), rtol=1e-6)


@pytest.mark.parametrize("step", [1.0, 2.0, 10.0])
def test_on_the_grid_a_measured_spectrum_keeps_the_chromaticity_of_its_own_steps(step):
    nm = np.arange(380.0, 781.0, step)
    values = np.exp(-(((nm - 600) / 110) ** 2)) + 0.6 * np.exp(-(((nm - 450) / 12) ** 2))
    reading = Reading(spectrum=Spectrum(start=380, step=step, values=values.tolist()))
    on_grid = ensemble_of(Source(name="Head", reading=reading), measure(reading)).spectra
    assert uv_of_xyz(on_grid[0] @ weights()) == pytest.approx(measure(reading).uv, abs=1e-7)


def test_a_target_on_the_planckian_locus():
    white = white_of(Target(cct=3200, locus=Locus.PLANCKIAN), [])
    assert (white.cct, white.duv) == (3200, 0.0)
    assert white.uv == pytest.approx(uv_of_cct_duv(np.array(3200.0), np.array(0.0)))


@pytest.mark.parametrize("cct", [4000, 5600, 25000])
def test_a_target_on_the_daylight_locus_lies_an_eighth_green(cct):
    white = white_of(Target(cct=cct), [])
    # The locus is defined by a nominal temperature, which is its CCT within 0.4 %.
    assert white.cct == pytest.approx(cct, rel=4e-3)
    assert white.duv == pytest.approx(locus_duv(cct, Locus.DAYLIGHT), abs=1e-9)
    assert 0.0026 < white.duv < 0.0034


@pytest.mark.parametrize("offset", [-0.004, 0.002])
def test_an_offset_moves_a_target_across_the_locus(offset):
    for target in (Target(cct=5600), Target(cct=3200, locus=Locus.PLANCKIAN)):
        plain, moved = white_of(target, []), white_of(target.model_copy(update={"duv_offset": offset}), [])
        assert moved.cct == pytest.approx(plain.cct, rel=1e-9)
        assert moved.duv == pytest.approx(plain.duv + offset, abs=1e-9)


def test_a_target_may_be_another_source_whatever_the_case_of_its_name():
    others = [source("Key", cct=5500.0, duv=0.001), source("Practical", cct=2700.0, duv=-0.002)]
    white = white_of(Target(source="PRACTICAL"), others)
    assert (white.cct, white.duv) == (2700, -0.002)


@pytest.mark.parametrize(("others", "named"), [([], "there are none yet"), ([source("Key")], "Key")])
def test_a_target_that_is_no_source_here(others, named):
    problem = refused(white_of, Target(source="Practical"), others)
    assert problem.where == "source"
    assert "'Practical'" in problem.says and named in problem.allowed


def test_a_target_source_with_a_reading_of_no_light():
    wrong = Source(name="Practical", reading=Reading(xy=(0.5, 0.51)))
    problem = refused(white_of, Target(source="practical"), [source("Key"), wrong])
    assert problem.where == "source"
    assert "Practical" in problem.says and "no light" in problem.says


def test_an_offset_out_of_range():
    problem = refused(white_of, Target(cct=5600, duv_offset=0.049), [])
    assert problem.where == "duv_offset" and "too far from white" in problem.says


def test_the_daylight_locus_begins_at_4000_k():
    assert locus_duv(3999.0, Locus.DAYLIGHT) is None
    assert locus_duv(4000.0, Locus.DAYLIGHT) == pytest.approx(0.0027, abs=1e-5)
    assert locus_duv(2000.0, Locus.PLANCKIAN) == 0.0
