"""Filters that only absorb: the likest to another with a colour and a light, and the most light of any."""

import colour
import numpy as np
import pytest
from colour.volume import OPTIMAL_COLOUR_STIMULI_ILLUMINANTS
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import delta_uv_prime, uv_of_xyz, xyz_of_uv
from advisor.colour.observer.grid import WAVELENGTHS, weights
from advisor.colour.observer.loci import planckian
from advisor.colour.spectra.passive import most_light, with_colour, with_light
from tests.thorough import cases

PUBLISHED_WITHIN = 0.01
"""How near the published limits are met, of the whole light (at 5 nm here)."""


def light_of(name):
    own = colour.SDS_ILLUMINANTS[name]
    return np.interp(WAVELENGTHS, own.wavelengths, own.values)


@pytest.mark.parametrize("name", ["A", "C", "D65"])
def test_the_most_light_of_a_colour_is_the_published_one(name):
    """Wyszecki and Stiles, Color Science (2000), table II(3.7), as colour-science carries it; near whites."""
    table = np.array(OPTIMAL_COLOUR_STIMULI_ILLUMINANTS[name])
    xyz = np.stack([table[:, 0], table[:, 1], 1 - table[:, 0] - table[:, 1]], axis=1) / table[:, 1:2]
    # Within 2 % of the spectral locus the fourth place of x and y decides.
    near = np.isfinite(cct_duv_of_uv(uv_of_xyz(xyz))[0]) & (table[:, :2].sum(axis=1) < 0.98)
    assert near.sum() > 20
    lit = np.broadcast_to(light_of(name), (near.sum(), len(WAVELENGTHS)))
    assert most_light(lit, xyz[near]) == pytest.approx(table[near, 2] / 100.0, abs=PUBLISHED_WITHIN)


@pytest.mark.parametrize("kelvin", [2000.0, 5600.0])
def test_of_its_own_colour_all_light_may_pass(kelvin):
    lit = planckian(kelvin)[None]
    assert most_light(lit, lit @ weights()) == pytest.approx([1.0], abs=1e-3)


def smooth(seeds):
    """Make a filter of random smooth dyes."""
    rng = np.random.default_rng(seeds)
    bands = np.exp(-0.5 * ((WAVELENGTHS - rng.uniform(390, 710, (3, 1))) / rng.uniform(15, 90, (3, 1))) ** 2)
    return 0.92 * 10.0 ** -(rng.uniform(0, 1.5, 3) @ bands)


FILTERS = st.integers(0, 10**6).map(smooth)
LIGHTS = st.floats(1500.0, 20000.0).map(lambda kelvin: planckian(kelvin)[None])


def seen(lit, passed):
    xyz = (lit * passed) @ weights()
    return uv_of_xyz(xyz), xyz[:, 1] / (lit @ weights())[:, 1]


@given(FILTERS, FILTERS, LIGHTS)
@settings(deadline=None, max_examples=cases(100))
def test_what_a_filter_does_another_is_made_to_do(wanted, prior, lit):
    uv, share = seen(lit, wanted[None])
    found = with_light(prior[None], lit, xyz_of_uv(uv), share)
    assert found.found.all() and (found.transmittances >= 0).all() and (found.transmittances <= 1).all()
    got, passed = seen(lit, found.transmittances)
    assert delta_uv_prime(got, uv)[0] < 1e-6 and passed == pytest.approx(share, abs=1e-6)
    coloured = with_colour(prior[None], lit, xyz_of_uv(uv))
    assert coloured.found.all() and delta_uv_prime(seen(lit, coloured.transmittances)[0], uv)[0] < 1e-6


@given(FILTERS, LIGHTS)
@settings(deadline=None, max_examples=cases(50))
def test_a_filter_that_does_it_already_is_the_likest(own, lit):
    uv, share = seen(lit, own[None])
    for found in (
        with_light(own[None], lit, xyz_of_uv(uv), share),
        with_colour(own[None], lit, xyz_of_uv(uv)),
    ):
        np.testing.assert_allclose(found.transmittances[0], own, atol=1e-6)


@given(FILTERS, LIGHTS)
@settings(deadline=None, max_examples=cases(100))
def test_no_filter_passes_more_than_the_most(own, lit):
    uv, share = seen(lit, own[None])
    assert share[0] <= most_light(lit, xyz_of_uv(uv))[0] + 1e-9


@given(FILTERS, FILTERS, LIGHTS)
@settings(deadline=None, max_examples=cases(50))
def test_the_likest_is_nearer_than_any_other_that_does_the_same(wanted, prior, lit):
    """By the relative entropy, weighed by the light: from `prior` to the projection is least (Csiszár)."""
    uv, share = seen(lit, wanted[None])
    made = with_light(prior[None], lit, xyz_of_uv(uv), share).transmittances[0]

    def away(filter_):
        filter_ = np.clip(filter_, 1e-12, 1 - 1e-12)
        passed = filter_ * np.log(filter_ / prior) + (1 - filter_) * np.log((1 - filter_) / (1 - prior))
        return float(lit[0] @ passed)

    assert away(made) <= away(wanted) + 1e-6 * float(lit[0].sum())


def test_what_cannot_be_is_not_found():
    lit = planckian(5600.0)[None]
    uv, _ = seen(lit, smooth(1)[None])
    most = most_light(lit, xyz_of_uv(uv))
    prior = np.full((1, len(WAVELENGTHS)), 0.5)
    assert not with_light(prior, lit, xyz_of_uv(uv), most + 0.005).found[0]
    assert with_light(prior, lit, xyz_of_uv(uv), 0.99 * most).found[0]


def test_no_filters_are_no_filters():
    nothing = np.zeros((0, len(WAVELENGTHS)))
    assert with_colour(nothing, nothing, np.zeros((0, 3))).transmittances.shape == (0, 81)
    assert with_light(nothing, nothing, np.zeros((0, 3)), np.zeros(0)).found.shape == (0,)
    assert most_light(nothing, np.zeros((0, 3))).shape == (0,)


def test_a_prior_that_passes_nothing_at_some_wavelengths_or_all_of_it_is_no_fault():
    """As where a strong dye passes less than a float can say: the filter is found, and stays one."""
    lit = planckian(5600.0)[None]
    prior = np.clip(smooth(1), 0.01, 0.99).reshape(1, -1)
    prior[0, :4], prior[0, -1] = 0.0, 1.0
    xyz = xyz_of_uv(uv_of_xyz(planckian(4300.0)[None] @ weights()))
    made = with_light(prior, lit, xyz, np.array([0.3]))
    assert made.found.all()
    assert np.isfinite(made.transmittances).all()
    assert made.transmittances.min() >= 0.0 and made.transmittances.max() <= 1.0
