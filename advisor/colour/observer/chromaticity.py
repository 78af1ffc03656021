"""Chromaticities of light, also behind gels, and the diagrams they stand in.

Arrays end in an axis of two (or three for XYZ).

References
----------
CIE 15:2018, 7.1: tristimulus values, x and y; a filter multiplies the spectrum wavelength by wavelength.
CIE 15:2018, 8.2.1.1 (u′, v′); CIE 1960 UCS: u = u′, v = 2/3 v′.
A stop is a factor of two in light (common practice, ISO 2720:1974).
CIE TN 001:2014, 3: one step is a circle of radius 0.0011 in (u′, v′) (radius from memory).
"""

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .data import Array, observer
from .grid import weights

STEP_DELTA_UV = 0.0011
"""One MacAdam-equivalent step. [Δu′v′] CIE TN 001:2014 (radius from memory)."""


def uv_of_xyz(xyz: Array) -> Array:
    """Return CIE 1960 (u, v), shape (..., 2), of X, Y, Z, shape (..., 3); NaN where all three are 0.

    That division is for the caller to allow (`np.errstate`), who knows whether there may be no light.
    """
    x, y, z = xyz[..., 0], xyz[..., 1], xyz[..., 2]
    total = x + 15 * y + 3 * z
    return np.stack([4 * x / total, 6 * y / total], axis=-1)


def xyz_of_uv(uv: Array) -> Array:
    """Return X, Y, Z of luminance Y = 1, shape (..., 3), of CIE 1960 (u, v), shape (..., 2).

    The quotients in `uv_of_xyz` solved for X and Z.
    """
    u, v = uv[..., 0], uv[..., 1]
    return np.stack([1.5 * u / v, np.ones_like(v), (2.0 - 0.5 * u) / v - 5.0], axis=-1)


def uv_and_slope(xyz: Array, moved: Array) -> tuple[Array, Array]:
    """Return (u, v) of X, Y, Z (..., 3), and how fast it moves while they move at the rate `moved` (..., 3).

    Shape (..., 2) each. The derivative of the quotients in `uv_of_xyz`.
    """
    uv = uv_of_xyz(xyz)
    total, total_moved = (part @ np.array([1.0, 15.0, 3.0]) for part in (xyz, moved))
    numerators = np.stack([4 * moved[..., 0], 6 * moved[..., 1]], axis=-1)
    return uv, np.asarray((numerators - uv * total_moved[..., None]) / total[..., None])


class PredictedLight(NamedTuple):
    """Light behind filters: (u, v) of shape (..., 2), and the share of illuminance that is left."""

    uv: Array
    passed: Array


def through(spectra: Array, transmittances: Array) -> PredictedLight:
    """Predict every spectrum (k, 81) behind every filter (..., 81): results (..., k, 2) and (..., k).

    One matrix product for all: the observer is folded into the spectra first. Where no light is left, (u, v)
    is NaN and the share 0.
    """
    [light] = through_each([spectra], [transmittances])
    return light


def through_each(sources: Sequence[Array], transmittances: Sequence[Array]) -> list[PredictedLight]:
    """Predict the spectra of several sources, (k, 81) each, behind their own filters, (..., 81) each.

    One matrix product a source: in one for all, the last digits of a source would depend on the others.
    """
    lights, observer = [], weights()
    for spectra, filters in zip(sources, transmittances, strict=True):
        seen = spectra[:, :, None] * observer[None, :, :]
        folded = seen.transpose(1, 0, 2).reshape(spectra.shape[1], -1)
        xyz = (filters @ folded).reshape(*filters.shape[:-1], len(spectra), 3)
        with np.errstate(invalid="ignore", divide="ignore"):
            lights.append(PredictedLight(uv_of_xyz(xyz), xyz[..., 1] / seen[:, :, 1].sum(axis=1)))
    return lights


def stops(passed: Array) -> Array:
    """Return the light lost, in stops, where the share `passed` is left: infinite where that is 0."""
    with np.errstate(divide="ignore"):
        return np.asarray(-np.log2(passed))


def uv_of_xy(xy: Array) -> Array:
    """Return (u, v) of (x, y)."""
    x, y = xy[..., 0], xy[..., 1]
    total = -2 * x + 12 * y + 3
    return np.stack([4 * x / total, 6 * y / total], axis=-1)


def xy_of_uv(uv: Array) -> Array:
    """Return (x, y) of (u, v)."""
    u, v = uv[..., 0], uv[..., 1]
    total = 2 * u - 8 * v + 4
    return np.stack([3 * u / total, 2 * v / total], axis=-1)


def delta_uv_prime(a: Array, b: Array) -> Array:
    """Return Δu′v′ (CIE 1976) between chromaticities given in (u, v), over the last axis."""
    return length(a - b)


def steps_apart(a: Array, b: Array) -> Array:
    """Return how many steps chromaticities given in (u, v) lie apart, over the last axis."""
    return np.asarray(delta_uv_prime(a, b) / STEP_DELTA_UV)


def length(move: Array) -> Array:
    """Return the length in Δu′v′ (CIE 1976) of moves given in (u, v), over the last axis."""
    return np.hypot(move[..., 0], 1.5 * move[..., 1])


def lengths(moves: Sequence[Array]) -> list[Array]:
    """Return the `length` in Δu′v′ of each array of moves given in (u, v)."""
    return [length(move) for move in moves]


def is_real(xy: Array) -> NDArray[np.bool_]:
    """Return which (x, y), (..., 2), lie within the spectral locus and the purple line; NaN does not."""
    edge = _spectral_locus()
    across = np.roll(edge, -1, axis=0) - edge
    to_point = np.asarray(xy)[..., None, :] - edge
    turn = across[:, 0] * to_point[..., 1] - across[:, 1] * to_point[..., 0]
    return np.asarray((turn >= -1e-9).all(axis=-1))  # the outline goes counter-clockwise


def is_real_uv(uv: Array) -> NDArray[np.bool_]:
    """Return which (u, v), (..., 2), are real light, as `is_real` does."""
    return is_real(xy_of_uv(uv))


def way_to_edge(uv: Array, way: Array) -> Array:
    """Return how far real light reaches from (u, v), (n, 2), along `way` (n, 2), in lengths of it, (n,).

    From real light; 0 where `uv` is none.
    """
    edge = uv_of_xy(_spectral_locus())
    across = np.roll(edge, -1, axis=0) - edge
    inside = across[:, 0] * (uv[:, None, 1] - edge[:, 1]) - across[:, 1] * (uv[:, None, 0] - edge[:, 0])
    closing = across[:, 1] * way[:, None, 0] - across[:, 0] * way[:, None, 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where(closing > 0.0, inside / closing, np.inf).min(axis=1)
    return np.asarray(np.maximum(reach, 0.0))


def held_real(uv: Array, most: float) -> Array | None:
    """Return a chromaticity (2,) in (u, v), moved by no more than `most` to where a real light can have it.

    What lies within the spectral locus stays where it is, but for a hair at the very edge: there a spectrum
    on the grid cannot follow. None where it lies further out than `most` [Δuv].
    """
    edge = uv_of_xy(_spectral_locus())
    edge = edge + _HAIR * (_EQUAL_ENERGY - edge)
    across = np.roll(edge, -1, axis=0) - edge
    to_point = uv - edge
    turn = across[:, 0] * to_point[:, 1] - across[:, 1] * to_point[:, 0]
    if (turn >= 0.0).all():
        return uv
    along = np.clip((to_point * across).sum(axis=1) / (across**2).sum(axis=1), 0.0, 1.0)
    nearest = edge + along[:, None] * across
    apart = np.hypot(*(nearest - uv).T)
    return np.asarray(nearest[apart.argmin()]) if apart.min() <= most else None


_HAIR = 1e-4
"""So much of the way from the edge to equal energy is kept clear: 0.04 step at most."""
_EQUAL_ENERGY = np.array([0.2105, 0.3158])
"""Illuminant E in (u, v): x and y are 1/3."""


@cache
def _spectral_locus() -> Array:
    """Return the convex outline of real chromaticities, (n, 2) in order."""
    cmfs = observer()
    seen = (cmfs.wavelengths >= 400) & (cmfs.wavelengths <= 700)
    values = cmfs.values[seen]
    points = values[:, :2] / values.sum(axis=1, keepdims=True)
    return _hull(points)


def _hull(points: Array) -> Array:
    """Return the convex hull of points (n, 2), counter-clockwise (Andrew 1979, monotone chain)."""
    order = points[np.lexsort((points[:, 1], points[:, 0]))]

    def chain(sequence: Array) -> list[Array]:
        out: list[Array] = []
        for p in sequence:
            while len(out) > 1:
                a, b = out[-1] - out[-2], p - out[-2]
                if a[0] * b[1] - a[1] * b[0] > 0:
                    break
                out.pop()
            out.append(p)
        return out[:-1]

    return np.array(chain(order) + chain(order[::-1]))
