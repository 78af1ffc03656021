"""Diagrams, distances and steps."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from references import reference

from advisor.colour.observer.chromaticity import (
    STEP_DELTA_UV,
    delta_uv_prime,
    steps_apart,
    uv_of_xy,
    uv_of_xyz,
    xy_of_uv,
    xyz_of_uv,
)

SHARES = st.floats(0.0, 1.0)


def test_a_step_is_that_of_cie_tn_001():
    assert reference("tn001")["value"] == STEP_DELTA_UV


@pytest.mark.parametrize(
    ("xy", "u_v_prime"),
    [
        # By the definition u′ = 4x/(−2x+12y+3), v′ = 9y/(−2x+12y+3), worked by hand.
        ((1 / 3, 1 / 3), (4 / 19, 9 / 19)),
        ((0.3, 0.3), (0.2, 0.45)),
        ((0.5, 0.4), (2 / 6.8, 3.6 / 6.8)),
    ],
)
def test_uv_is_u_prime_and_two_thirds_of_v_prime(xy, u_v_prime):
    assert uv_of_xy(np.array(xy)) == pytest.approx([u_v_prime[0], u_v_prime[1] * 2 / 3])


def test_a_step_apart_in_either_direction_is_one_step():
    here = np.array([[0.2, 0.3], [0.2, 0.3]])
    there = here + np.array([[STEP_DELTA_UV, 0.0], [0.0, STEP_DELTA_UV * 2 / 3]])
    assert delta_uv_prime(here, there) / STEP_DELTA_UV == pytest.approx([1.0, 1.0])
    assert steps_apart(here, there) == pytest.approx([1.0, 1.0])


@given(SHARES, SHARES)
def test_there_and_back(x, y):
    assume(x + y <= 1)
    xy = np.array([x, y])
    assert xy_of_uv(uv_of_xy(xy)) == pytest.approx(xy, abs=1e-12)


@given(SHARES, SHARES, st.floats(0.01, 100.0))
def test_from_xyz_or_xy_is_the_same_whatever_the_luminance(x, y, scale):
    assume(x + y <= 1)
    assert uv_of_xyz(scale * np.array([x, y, 1 - x - y])) == pytest.approx(uv_of_xy(np.array([x, y])))


@given(st.floats(0.05, 0.6), st.floats(0.05, 0.4))
def test_tristimulus_values_of_a_chromaticity_have_it(u, v):
    xyz = xyz_of_uv(np.array([[u, v], [v, u]]))
    np.testing.assert_allclose(uv_of_xyz(xyz), [[u, v], [v, u]], rtol=1e-9)
    assert xyz[:, 1].tolist() == [1.0, 1.0]
