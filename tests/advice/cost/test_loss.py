"""What being off is expected to cost, and the chance to be near enough, against integrals and scipy."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import ncx2

from advisor.advice.cost.loss import NARROWER, POINTS, SHARES, chance_within, expected_loss, loss, root
from tests.thorough import cases

ONE = np.ones(1)
RULE = 0.14
"""How far the rule of 36 points may be from the integral, in standard deviations of the scatter: it was 0.130
at most, on the target itself, and 0.013 in the mean, for scatters of three shapes up to 4.5 away."""
CHANCE = 0.02
"""The same for the chance, of which the edges cut a strip, 1/31, in two: it was off by 0.0150 at most."""


def scatter(wide, narrow, turned):
    """A covariance (2, 2) of standard deviations along two axes."""
    axes = np.array([[np.cos(turned), -np.sin(turned)], [np.sin(turned), np.cos(turned)]])
    return axes * np.array([wide, narrow]) ** 2 @ axes.T


@cache
def lattice():
    """Places (2, n) of a fine lattice, and the share (n,) of a round normal scatter that each stands for."""
    axis = np.linspace(-7.0, 7.0, 701)
    x, y = np.meshgrid(axis, axis)
    share = np.exp(-0.5 * (x**2 + y**2)).ravel()
    return np.stack([x.ravel(), y.ravel()]), share / share.sum()


def dense(off, covariance, value):
    """The mean of `value` of the distance, by summing a normal scatter over a fine lattice."""
    at, share = lattice()
    values, axes = np.linalg.eigh(covariance)
    moves = (axes * np.sqrt(np.maximum(values, 0.0))) @ at
    return float(share @ value(np.hypot(*(off[:, None] + moves))))


def expected(off, covariance, tolerance, farther=0.0):
    return float(expected_loss(np.array([[off]]), ONE, covariance[None], tolerance, farther)[0])


def chance(off, covariance, tolerance):
    return float(chance_within(np.array([[off]]), ONE, covariance[None], tolerance)[0])


def far(r):
    return np.array([r, 0.0])


def test_each_step_beyond_the_tolerance_counts_four_times():
    assert loss(np.array([0.0, 2.0, 3.0, 5.0]), 3.0).tolist() == [0.0, 2.0, 3.0, 11.0]
    assert loss(np.array([0.0, 5.0]), np.inf).tolist() == [0.0, 5.0]


def test_the_points_add_up_to_nothing_and_are_scattered_by_one():
    assert pytest.approx(1.0) == SHARES.sum()
    np.testing.assert_allclose(SHARES @ POINTS, 0.0, atol=1e-15)
    np.testing.assert_allclose(np.einsum("p,pi,pj->ij", SHARES, POINTS, POINTS), np.eye(2), atol=1e-12)


@pytest.mark.parametrize(("wide", "narrow"), [(0.5, 0.5), (2.0, 2.0), (3.0, 0.5), (2.0, 0.0), (0.0, 0.0)])
@pytest.mark.parametrize("turned", [0.0, 0.7])
@pytest.mark.parametrize("distance", [0.0, 1.5, 3.0, 8.0])
@pytest.mark.parametrize("tolerance", [3.0, np.inf])
def test_the_expected_loss_is_the_integral(wide, narrow, turned, distance, tolerance):
    covariance, off = scatter(wide, narrow, turned), far(distance)
    exact = dense(off, covariance, lambda steps: loss(steps, tolerance))
    assert expected(off, covariance, tolerance) == pytest.approx(exact, abs=max(RULE * wide, 1e-5))


@pytest.mark.parametrize(("wide", "narrow"), [(0.5, 0.5), (2.0, 2.0), (3.0, 0.5), (2.0, 0.01), (6.0, 3.0)])
@pytest.mark.parametrize("turned", [0.0, 0.7])
@pytest.mark.parametrize("distance", [0.0, 1.5, 3.0, 8.0])
def test_the_chance_is_the_integral(wide, narrow, turned, distance):
    covariance, off = scatter(wide, narrow, turned), far(distance)
    exact = dense(off, covariance, lambda steps: (steps <= 3.0).astype(float))
    assert chance(off, covariance, 3.0) == pytest.approx(exact, abs=CHANCE)


@given(st.floats(0.05, 10.0), st.floats(0.0, 20.0), st.floats(0.1, 10.0), st.floats(0.0, 6.3))
def test_the_chance_of_a_round_scatter_is_the_noncentral_chi_squares(sigma, distance, tolerance, turned):
    """The squared distance over the variance has two degrees of freedom (scipy.stats.ncx2)."""
    exact = ncx2.cdf((tolerance / sigma) ** 2, 2, (distance / sigma) ** 2)
    off = distance * np.array([np.cos(turned), np.sin(turned)])
    assert chance(off, sigma**2 * np.eye(2), tolerance) == pytest.approx(exact, abs=CHANCE)


def test_what_is_certain_lies_within_or_not_and_has_its_own_loss():
    none = np.zeros((2, 2))
    assert [chance(far(r), none, 3.0) for r in (0.0, 2.9, 3.1)] == pytest.approx([1.0, 1.0, 0.0])
    assert [expected(far(r), none, 3.0) for r in (0.0, 2.0, 4.0)] == pytest.approx([0.0, 2.0, 7.0], abs=1e-5)


def test_members_count_by_their_weights_and_what_lands_nowhere_is_nan():
    places = np.array([[[1.0, 0.0], [0.0, 5.0]], [[np.nan, 0.0], [0.0, 0.0]]])
    covariance, weights = np.zeros((2, 2, 2)), np.array([0.75, 0.25])
    found = expected_loss(places, weights, covariance, 3.0)
    assert found[0] == pytest.approx(0.75 * 1.0 + 0.25 * 11.0, abs=1e-5) and np.isnan(found[1])
    assert chance_within(places[:1], weights, covariance[:1], 3.0)[0] == pytest.approx(0.75)


places = st.tuples(st.floats(-15, 15), st.floats(-15, 15)).map(np.array)
scatters = st.builds(scatter, st.floats(0, 6), st.floats(0, 6), st.floats(0, 3.2))
tolerances = st.floats(0.1, 12) | st.just(np.inf)


@given(places, places, scatters, tolerances, st.floats(0, 1), st.floats(0, 1))
def test_the_expected_loss_is_convex_in_the_place(one, other, covariance, tolerance, share, farther):
    """So Jensen's inequality holds, on which all bounds of the search rest."""
    between = share * one + (1 - share) * other
    ends = (expected(place, covariance, tolerance, farther) for place in (one, other))
    mean = sum(part * end for part, end in zip((share, 1 - share), ends, strict=True))
    assert expected(between, covariance, tolerance, farther) <= mean + 1e-9


@given(places, scatters, tolerances, st.floats(0, 1))
def test_scatter_never_makes_the_expected_loss_less(place, covariance, tolerance, farther):
    alone = float(loss(np.hypot(*place) + farther, tolerance))
    assert expected(place, covariance, tolerance, farther) >= alone - 1e-9


@given(places, scatters, scatters, tolerances)
@settings(max_examples=cases(300))
def test_a_little_narrower_less_scatter_never_expects_more(place, covariance, more, tolerance):
    """By the points as they are, in whatever direction scatter is left out."""
    less = expected(place, NARROWER * covariance, tolerance)
    assert less <= expected(place, covariance + more, tolerance) + 1e-9


@given(places, scatters, tolerances, tolerances)
def test_a_looser_tolerance_never_lessens_the_chance_nor_raises_the_loss(place, covariance, a, b):
    tight, loose = sorted((a, b))
    assert chance(place, covariance, tight) <= chance(place, covariance, loose) + 1e-12
    assert expected(place, covariance, tight) >= expected(place, covariance, loose) - 1e-9


@given(scatters)
def test_the_root_is_symmetric_and_its_square_the_covariance(covariance):
    found = root(covariance)
    np.testing.assert_allclose(found, found.T, atol=1e-12)
    np.testing.assert_allclose(found @ found, covariance, atol=1e-6)


def test_very_many_places_go_through_in_parts():
    """In parts or one by one, they have the same losses."""
    rng = np.random.default_rng(2)
    many, weights = rng.normal(0, 4, (900, 40, 2)), np.full(40, 1 / 40)
    covariance = np.array([scatter(*row) for row in rng.uniform(0, 3, (900, 3))])
    together = expected_loss(many, weights, covariance, 3.0)
    for k in (0, 277, 278, 899):
        alone = expected_loss(many[[k]], weights, covariance[[k]], 3.0)
        assert together[k] == pytest.approx(alone[0], rel=1e-12)
