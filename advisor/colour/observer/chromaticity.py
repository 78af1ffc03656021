"""Chromaticities of light, also behind gels, the diagrams they stand in, and spectra that have a wanted one.

Arrays end in an axis of two (or three for XYZ).

References
----------
CIE 15:2018, 7.1: tristimulus values, x and y; a filter multiplies the spectrum wavelength by wavelength.
CIE 15:2018, 8.2.1.1 (u′, v′); CIE 1960 UCS: u = u′, v = 2/3 v′.
A stop is a factor of two in light (common practice, ISO 2720:1974).
CIE TN 001:2014, 3: one step is a circle of radius 0.0011 in (u′, v′) (radius from memory).
Newton's method in two unknowns, its steps held short (a textbook method); that lamps differ within their
kind by smooth factors is a judgement of ours, held against measured lamps by the accuracy check.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .data import Array
from .grid import weights

STEP_DELTA_UV = 0.0011
"""One MacAdam-equivalent step. [Δu′v′] CIE TN 001:2014 (radius from memory)."""
PER_STEP = np.array([1.0, 1.5]) / STEP_DELTA_UV
"""The factors from moves in CIE 1960 (u, v) to moves in steps of Δu′v′ along u′ and v′."""
CLOSE_ENOUGH = 1e-9
"""Nearer than this, no round is needed any more. [Δuv]"""
FOUND = 100 * CLOSE_ENOUGH
"""The error of a solution that counts as found, where the rounds ran out before. [Δuv]"""
_ROUNDS = 60
_LONGEST = 1.0
"""The largest change of the exponent, anywhere over wavelength, in one round."""


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


def tilt(spectra: Array, shapes: Array, uv: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Solve the two strengths by which spectra, scaled by exp(strengths · shapes), have a chromaticity.

    With a slope and a bow as shapes this bends a lamp's archetype to a meter's reading; with the densities of
    two dyes it makes a gel of a nominal shift. Parameters: `spectra` (b, n) on the grid, `shapes` (2, n) or
    (b, 2, n), `uv` (b, 2) wanted.
    Returns the strengths (b, 2) and whether each was found (b,), to FOUND. Damped Newton; where no strengths
    give the chromaticity, the last try is returned with False.
    """
    shapes = np.broadcast_to(shapes, (len(spectra), 2, spectra.shape[1]))
    strengths = np.zeros((len(spectra), 2))
    open_ = np.arange(len(spectra))
    rest, slope = _rest(spectra, shapes, strengths, uv)
    error = np.abs(rest).max(axis=1)
    for _ in range(_ROUNDS):
        open_ = open_[error[open_] > CLOSE_ENOUGH]
        if not len(open_):
            break
        step = _solve(slope[open_], rest[open_])
        reach = np.abs(np.einsum("bi,bin->bn", step, shapes[open_])).max(axis=1)
        step *= np.minimum(1.0, _LONGEST / np.maximum(reach, 1e-12))[:, None]
        strengths[open_] -= step
        rest[open_], slope[open_] = _rest(spectra[open_], shapes[open_], strengths[open_], uv[open_])
        error[open_] = np.nan_to_num(np.abs(rest[open_]).max(axis=1), nan=np.inf)
    return strengths, error <= FOUND


def tilted(spectra: Array, shapes: Array, strengths: Array) -> Array:
    """Return the spectra (b, n) scaled by exp(strengths · shapes)."""
    shapes = np.broadcast_to(shapes, (len(spectra), 2, spectra.shape[1]))
    return np.asarray(spectra * np.exp(np.einsum("bi,bin->bn", strengths, shapes)))


def _rest(spectra: Array, shapes: Array, strengths: Array, uv: Array) -> tuple[Array, Array]:
    """Return (u, v) − wanted, (b, 2), and its derivative by the strengths, (b, 2, 2)."""
    power = tilted(spectra, shapes, strengths)
    moved = np.einsum("bn,bin,nk->bik", power, shapes, weights())
    at, slope = uv_and_slope((power @ weights())[:, None, :], moved)
    return at[:, 0] - uv, slope.transpose(0, 2, 1)


def _solve(slope: Array, rest: Array) -> Array:
    """Solve 2 × 2 systems (b, 2, 2) · x = (b, 2), kept finite where a system is singular."""
    a, b, c, d = slope[:, 0, 0], slope[:, 0, 1], slope[:, 1, 0], slope[:, 1, 1]
    det = a * d - b * c
    det = np.where(np.abs(det) < 1e-14, 1e-14, det)
    x = (d * rest[:, 0] - b * rest[:, 1]) / det
    y = (a * rest[:, 1] - c * rest[:, 0]) / det
    return np.stack([x, y], axis=-1)
