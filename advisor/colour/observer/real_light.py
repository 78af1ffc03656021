"""Which chromaticities are those of real light: the spectral locus and the purple line around them.

References
----------
CIE 15:2018, 7.1: no light lies outside the outline of the single wavelengths.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from .chromaticity import uv_of_xy, xy_of_uv
from .data import Array, observer

_HAIR = 1e-4
"""So much of the way from the edge to equal energy is kept clear: 0.04 step at most."""
_EQUAL_ENERGY = np.array([0.2105, 0.3158])
"""Illuminant E in (u, v): x and y are 1/3."""


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


def held_real(uv: Array) -> Array:
    """Return chromaticities (n, 2) in (u, v), each moved to the nearest place where a real light can have it.

    What lies within the spectral locus stays where it is, but for a hair at the very edge: there a spectrum
    on the grid cannot follow. The next place of what is not finite is not finite either.
    """
    edge, across = _kept_within()
    to_point = uv[:, None] - edge
    turn = across[:, 0] * to_point[..., 1] - across[:, 1] * to_point[..., 0]
    held = uv.copy()
    for row in np.flatnonzero(~(turn >= 0.0).all(axis=1)):
        along = np.clip((to_point[row] * across).sum(axis=1) / (across**2).sum(axis=1), 0.0, 1.0)
        nearest = edge + along[:, None] * across
        held[row] = nearest[np.hypot(*(nearest - uv[row]).T).argmin()]
    return held


@cache
def _kept_within() -> tuple[Array, Array]:
    """Return the outline within which chromaticities are held, in (u, v), and what leads along it, (n, 2)."""
    edge = uv_of_xy(_spectral_locus())
    edge = edge + _HAIR * (_EQUAL_ENERGY - edge)
    return edge, np.roll(edge, -1, axis=0) - edge


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
