"""The one solver of bends and dyes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import tilt, tilted, uv_of_xyz
from advisor.colour.observer.grid import WAVELENGTHS, weights
from advisor.colour.observer.loci import planckian

CLOSE_ENOUGH = 1e-9
"""How near the tilted spectra come. [u, v]"""

X = (WAVELENGTHS - 560.0) / 200.0
BEND = np.stack([X, X**2])


@given(st.floats(1800.0, 20000.0), st.floats(2000.0, 20000.0), st.floats(-0.03, 0.01))
@settings(deadline=None)
def test_any_white_is_bent_into_any_other(start, cct, duv):
    spectra, uv = planckian(start)[None], uv_of_cct_duv(np.array([cct]), np.array([duv]))
    strengths, found = tilt(spectra, BEND, uv)
    assert found.tolist() == [True]
    assert np.abs(uv_of_xyz(tilted(spectra, BEND, strengths) @ weights()) - uv).max() <= 100 * CLOSE_ENOUGH


def test_what_is_there_already_is_left_alone():
    spectra = planckian(4000.0)[None]
    strengths, found = tilt(spectra, BEND, uv_of_xyz(spectra @ weights()))
    assert found.all() and strengths.tolist() == [[0.0, 0.0]]
    np.testing.assert_array_equal(tilted(spectra, BEND, strengths), spectra)


def test_each_of_a_batch_is_solved_as_if_alone():
    spectra = np.array([planckian(t) for t in (2500.0, 4000.0, 9000.0)])
    shapes = np.stack([BEND, BEND[::-1], BEND * 0.5])
    uv = uv_of_cct_duv(np.array([5600.0, 2000.0, 3200.0]), np.array([0.01, 0.0, -0.02]))
    together, found = tilt(spectra, shapes, uv)
    assert found.all()
    for i in range(3):
        alone, _ = tilt(spectra[i : i + 1], shapes[i : i + 1], uv[i : i + 1])
        np.testing.assert_allclose(together[i], alone[0], atol=1e-12)


@pytest.mark.parametrize("uv", [(0.9, 0.1), (0.0, 0.6)])
def test_a_colour_of_no_light_is_not_found_and_spoils_no_neighbour(uv):
    spectra = np.array([planckian(4000.0), planckian(4000.0)])
    white = uv_of_cct_duv(np.array(5600.0), np.array(0.0))
    strengths, found = tilt(spectra, BEND, np.array([uv, white]))
    assert found.tolist() == [False, True]
    assert np.isfinite(strengths).all()
    assert uv_of_xyz(tilted(spectra, BEND, strengths)[1] @ weights()) == pytest.approx(white, abs=1e-7)


def test_two_shapes_that_are_one_find_no_colour_off_their_line():
    spectra = planckian(4000.0)[None]
    _, found = tilt(spectra, np.stack([X, X]), uv_of_cct_duv(np.array([4000.0]), np.array([0.02])))
    assert found.tolist() == [False]
