"""CIE's illuminants, from spectra to x, y and CCT."""

import numpy as np
import pytest
from references import references

from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import uv_of_xyz, xy_of_uv
from advisor.colour.observer.data import daylight_components, observer
from advisor.colour.observer.data import published as spectrum_of
from advisor.colour.observer.grid import to_grid, weights, xyz_of_samples


def on_grid(name):
    return uv_of_xyz(to_grid(*spectrum_of(name)) @ weights())


def at_its_own_steps(name):
    return uv_of_xyz(xyz_of_samples(*spectrum_of(name)))


@pytest.mark.parametrize("uv_of", [on_grid, at_its_own_steps])
@pytest.mark.parametrize("entry", references("cie-xy-"), ids=lambda e: e["id"])
def test_chromaticities(entry, uv_of):
    xy = xy_of_uv(uv_of(entry["id"].removeprefix("cie-xy-")))
    assert np.abs(xy - entry["value"]).max() < entry["tolerance"]


@pytest.mark.parametrize("uv_of", [on_grid, at_its_own_steps])
@pytest.mark.parametrize("entry", references("cie-cct-"), ids=lambda e: e["id"])
def test_ccts(entry, uv_of):
    cct, _ = cct_duv_of_uv(uv_of(entry["id"].removeprefix("cie-cct-")))
    assert cct == pytest.approx(entry["value"], abs=entry["tolerance"])


def test_published_spectra_cannot_be_changed():
    for spectrum in (observer(), spectrum_of("A"), daylight_components()):
        assert len(spectrum.wavelengths) == len(spectrum.values)
        with pytest.raises(ValueError, match="read-only"):
            spectrum.values[0] = 1.0
