"""Families of lamp spectra: one mixture of three parts for a chromaticity, exact, or none."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import uv_of_xyz
from advisor.colour.observer.grid import WAVELENGTHS, weights
from advisor.colour.spectra.families import family, mixtures

NAMES = ("white-led", "hybrid-led", "rgb", "rgb-amber", "rgb-lime", "triband", "metal-halide", "mercury")
EXACT = 1e-12
"""[Δuv]"""


@pytest.mark.parametrize("name", NAMES)
def test_a_familys_members_are_light_and_differ(name):
    members = family(name)
    assert members.shape[1:] == (3, 81) and len(members) >= 6
    assert members.min() >= 0.0 and (members.sum(axis=2) > 0.0).all()
    flat = members.reshape(len(members), -1)
    apart = np.abs(flat[:, None] - flat[None]).max(axis=2)
    assert apart[~np.eye(len(members), dtype=bool)].min() > 0.01


@pytest.mark.parametrize("name", NAMES)
def test_parts_go_from_blue_to_red(name):
    centres = family(name) @ WAVELENGTHS / family(name).sum(axis=2)
    assert (np.diff(centres, axis=1) > 0.0).all()


@given(st.sampled_from(NAMES), st.floats(2000.0, 12000.0), st.floats(-0.02, 0.02))
@settings(deadline=None)
def test_what_can_be_made_is_exact_and_made_of_positive_shares(name, cct, duv):
    uv = uv_of_cct_duv(np.array(cct), np.array(duv))
    members = family(name)
    spectra, possible = mixtures(members, uv)
    xyz = spectra @ weights()
    np.testing.assert_allclose(xyz[:, 1], 1.0, rtol=1e-9)
    assert np.abs(uv_of_xyz(xyz) - uv).max() < EXACT
    for spectrum, parts, can in zip(spectra, members, possible, strict=True):
        shares = np.linalg.lstsq(parts.T, spectrum, rcond=None)[0]
        assert can == (shares.min() >= -1e-9) or abs(shares.min()) < 1e-9
        if can:
            assert spectrum.min() >= 0.0


@pytest.mark.parametrize("name", NAMES)
def test_a_mixture_is_found_again_from_its_chromaticity(name):
    members = family(name)
    shares = np.array([0.8, 1.0, 0.9])
    for i, parts in enumerate(members):
        mixed = shares @ parts
        spectra, possible = mixtures(members, uv_of_xyz(mixed @ weights()))
        assert possible[i]
        np.testing.assert_allclose(spectra[i], mixed / (mixed @ weights()[:, 1]), atol=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_every_kind_of_lamp_can_be_an_ordinary_white(name):
    _, possible = mixtures(family(name), uv_of_cct_duv(np.array(4500.0), np.array(0.001)))
    assert possible.mean() > 0.7


@pytest.mark.parametrize("name", NAMES)
def test_no_mixture_makes_what_is_beyond_its_parts(name):
    members = family(name)
    beyond = uv_of_xyz(np.eye(81)[70] @ weights())  # a line at 730 nm
    _, possible = mixtures(members, beyond)
    assert not possible.any()


def test_low_pressure_sodium_is_made_at_the_spectral_locus_and_nowhere_else():
    """HP1 (CIE 15:2018), high-pressure sodium, is already too white for it."""
    members = family("low-pressure-sodium")
    line = np.zeros(81)
    line[[41, 42]] = 0.16, 0.84  # 589.2 nm between 585 and 590
    hazy = 0.9995 * line / line.sum() + 0.0005 / 81
    _, possible = mixtures(members, uv_of_xyz(hazy @ weights()))
    assert possible.any()
    for cct, duv in ((1959.0, 0.0008), (1766.0, 0.0050), (4500.0, 0.001)):
        assert not mixtures(members, uv_of_cct_duv(np.array(cct), np.array(duv)))[1].any()


def test_an_unknown_family_is_an_error():
    with pytest.raises(KeyError):
        family("laser")
