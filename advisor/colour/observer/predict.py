"""What light becomes behind gels: spectra times transmittances, summed by the observer.

References
----------
CIE 15:2018, 7.1: tristimulus values. A filter multiplies the spectrum wavelength by wavelength.
A stop is a factor of two in light (common practice, ISO 2720:1974).
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from .chromaticity import uv_of_xyz
from .data import Array
from .grid import weights


class PredictedLight(NamedTuple):
    """Light behind filters: (u, v) of shape (..., 2), and the share of illuminance that is left."""

    uv: Array
    passed: Array


def through(spectra: Array, transmittances: Array) -> PredictedLight:
    """Predict every spectrum (k, 81) behind every filter (..., 81): results (..., k, 2) and (..., k).

    One matrix product for all: the observer is folded into the spectra first. Where no light is left, (u, v)
    is NaN and the share 0.
    """
    [light] = through_each([spectra], transmittances)
    return light


def through_each(sources: Sequence[Array], transmittances: Array) -> list[PredictedLight]:
    """Predict the spectra of several sources, (k, 81) each, behind every filter (..., 81), as `through` does.

    One matrix product a source: in one for all, the last digits of a source would depend on the others.
    """
    xyz, bare = [], []
    for spectra in sources:
        seen = spectra[:, :, None] * weights()[None, :, :]
        folded = seen.transpose(1, 0, 2).reshape(spectra.shape[1], -1)
        xyz.append((transmittances @ folded).reshape(*transmittances.shape[:-1], len(spectra), 3))
        bare.append(seen[:, :, 1].sum(axis=1))
    ends = np.cumsum([len(spectra) for spectra in sources])[:-1]
    every = np.concatenate(xyz, axis=-2)
    with np.errstate(invalid="ignore", divide="ignore"):
        uv, passed = uv_of_xyz(every), every[..., 1] / np.concatenate(bare)
    parts = zip(np.split(uv, ends, axis=-2), np.split(passed, ends, axis=-1), strict=True)
    return [PredictedLight(*part) for part in parts]


def stops(passed: Array) -> Array:
    """Return the light lost, in stops, where the share `passed` is left: infinite where that is 0."""
    with np.errstate(divide="ignore"):
        return np.asarray(-np.log2(passed))
