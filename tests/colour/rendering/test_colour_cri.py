"""Colour rendering of many spectra at once: the published values, and the library's own one by one."""

import numpy as np
import pytest
from references import references

from advisor.colour.observer.chromaticity import uv_of_xyz
from advisor.colour.observer.data import published
from advisor.colour.observer.grid import to_grid, weights
from advisor.colour.observer.loci import daylight, planckian
from advisor.colour.rendering.cri import general_index, special_indices
from advisor.colour.rendering.rendition import rendition
from advisor.colour.spectra.sources import ensemble

ON_THE_GRID = 0.15
"""How far an index may be off for being summed on the grid."""
LAMPS = ("FL1", "FL8", "FL11", "FL3.7", "FL3.15", "LED-B1", "LED-RGB1", "LED-V1", "HP1", "HP4", "A", "D50")


def indices_of(name):
    return special_indices(to_grid(*published(name))[None])[0]


@pytest.mark.parametrize("entry", references("ra-FL"), ids=lambda e: e["id"])
def test_ra_of_cies_fluorescent_lamps(entry):
    found = general_index(indices_of(entry["id"].removeprefix("ra-")))
    assert found == pytest.approx(entry["value"], abs=entry["tolerance"])


@pytest.mark.parametrize("entry", references("ra-R-FL"), ids=lambda e: e["id"])
def test_ra_against_an_independent_library(entry):
    found = general_index(indices_of(entry["id"].removeprefix("ra-R-")))
    assert found == pytest.approx(entry["value"], abs=entry["tolerance"])


@pytest.mark.parametrize("name", LAMPS)
def test_colour_science_agrees_on_every_index(name):
    own = published(name)
    wanted = rendition(own.values, own.wavelengths).special
    np.testing.assert_allclose(indices_of(name), wanted, atol=ON_THE_GRID)


def test_many_at_once_are_each_as_alone():
    uv = uv_of_xyz(planckian(4000.0) @ weights())
    spectra = ensemble("led-white", uv).spectra
    together = special_indices(spectra)
    assert together.shape == (len(spectra), 15)
    alone = np.array([special_indices(spectrum[None])[0] for spectrum in spectra])
    np.testing.assert_allclose(together, alone, atol=1e-4)


def test_brightness_does_not_matter():
    own = to_grid(*published("FL2"))
    np.testing.assert_allclose(special_indices(own[None] * 1e3), special_indices(own[None]), atol=1e-9)


def test_reference_illuminants_render_perfectly():
    """On both sides of 5 000 K, where the reference changes from Planckian to daylight."""
    for spectrum in (planckian(2500.0), planckian(4900.0), daylight(5200.0), daylight(9000.0)):
        assert special_indices(spectrum[None]).min() > 99.5
    assert special_indices(daylight(4900.0)[None]).min() < 98.0


def test_light_too_far_from_white_has_no_indices():
    green = np.zeros(81)
    green[30] = 1.0
    found = special_indices(np.array([green]))
    assert found.shape == (1, 15) and np.isnan(found).all()
