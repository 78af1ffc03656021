"""Sources as spectra: every kind has exactly the chromaticity that was read."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.colour.cct import uv_of_cct_duv
from advisor.colour.chromaticity import is_real, uv_of_xyz, xy_of_uv
from advisor.colour.data import illuminant
from advisor.colour.grid import to_grid, weights
from advisor.colour.loci import daylight, daylight_uv, planckian
from advisor.colour.sources import Unbendable, bent, spectra_of
from advisor.model import Kind

CHROMATICITY_ERROR = 1e-7
"""[Δuv]"""
HELD_ENDS = 2e-4
"""On the grid a spectrum is held beyond 380 and 780 nm: this much is bent to make up for it."""
CCTS = (1500, 2000, 2700, 3200, 4000, 5000, 5600, 6500, 8000, 12000, 25000)
DUVS = (-0.05, -0.02, -0.01, 0.0, 0.01, 0.02, 0.05)


WHITE = np.array([1 / 3, 1 / 3])


def uv_at(cct, duv):
    return uv_of_cct_duv(np.array(float(cct)), np.array(duv))


REAL = [
    pytest.param(uv_at(cct, duv), id=f"{cct} K {duv:+}")
    for cct in CCTS
    for duv in DUVS
    if is_real(xy_of_uv(uv_at(cct, duv)))
]


def off(spectra, uv):
    return np.abs(uv_of_xyz(spectra @ weights()) - uv).max()


@pytest.mark.parametrize("uv", REAL)
def test_every_kind_has_exactly_the_chromaticity_read(uv):
    for kind in Kind:
        spectra = spectra_of(kind, uv)
        assert spectra.shape[1:] == (81,) and len(spectra) >= 1
        assert spectra.min() >= 0
        assert off(spectra, uv) < CHROMATICITY_ERROR, kind


@given(st.sampled_from(Kind), st.floats(1500.0, 25000.0), st.floats(-0.03, 0.03))
@settings(deadline=None)
def test_so_it_is_for_any_white(kind, cct, duv):
    uv = uv_at(cct, duv)
    # Beside the spectral locus only lines will do, and no smooth bend makes a line of a lamp.
    assume(is_real(WHITE + 1.05 * (xy_of_uv(uv) - WHITE)))
    assert off(spectra_of(kind, uv), uv) < CHROMATICITY_ERROR


def test_an_archetype_at_its_own_chromaticity_is_not_bent():
    for kind, name in (("fluorescent", "FL2"), ("sodium", "HP1"), ("led-white", "LED-B3")):
        own = to_grid(*illuminant(name))
        np.testing.assert_allclose(spectra_of(kind, uv_of_xyz(own @ weights()))[0], own, rtol=1e-6)


def test_the_archetype_nearest_to_the_reading_is_taken():
    near_fl11 = uv_of_xyz(to_grid(*illuminant("FL11")) @ weights()) + np.array([1e-4, 0.0])
    ratio = spectra_of("fluorescent-triband", near_fl11)[0] / to_grid(*illuminant("FL11"))
    assert np.ptp(ratio) < 0.02


def test_tungsten_on_the_locus_is_a_planckian_radiator():
    np.testing.assert_allclose(spectra_of("tungsten", uv_at(3200, 0.0))[0], planckian(3200.0), rtol=HELD_ENDS)


def test_daylight_on_its_locus_is_a_phase_of_daylight():
    ratio = spectra_of("daylight", daylight_uv(np.array(6504.0)))[0] / daylight(6504.0)
    # The locus and the sum of the spectrum differ by about 1e-4 in x and y: that much is bent.
    assert np.ptp(ratio) < 0.02


def test_daylight_below_4000_k_is_a_planckian_radiator():
    np.testing.assert_allclose(spectra_of("daylight", uv_at(3500, 0.0))[0], planckian(3500.0), rtol=HELD_ENDS)


def test_kinds_differ_at_the_same_reading():
    shapes = [spectra_of(kind, uv_at(4200, 0.002)).sum(axis=0) for kind in ("tungsten", "sodium", "led-mix")]
    assert np.corrcoef(shapes).min() < 0.9


def test_bending_keeps_lines_where_they_are():
    own = to_grid(*illuminant("FL11"))
    assert np.argmax(bent(own[None], uv_at(3000, 0.01))[0]) == np.argmax(own)


def test_what_no_bend_can_do_is_an_error():
    with pytest.raises(Unbendable):
        bent(planckian(4000.0)[None], np.array([0.9, 0.1]))
    beside_the_spectral_locus = uv_at(3500, 0.0423)
    assert is_real(xy_of_uv(beside_the_spectral_locus))
    with pytest.raises(Unbendable):
        spectra_of("tungsten", beside_the_spectral_locus)
