"""Make a spectrum have an exact chromaticity by scaling it smoothly: the one solver of bends and dyes.

A spectrum S is multiplied by exp(a·f1 + b·f2) with two given shapes f1, f2 over wavelength; a and b
are found so that the product has a wanted (u, v). With f1, f2 a slope and a bow this bends a lamp's
archetype to a meter's reading; with two dyes' densities it makes a gel of a nominal shift.

References
----------
Newton's method in two unknowns, its steps held short (a textbook method); that lamps differ within their
kind by smooth factors is a judgement of ours, held against measured lamps by the accuracy check.
"""

import numpy as np
from numpy.typing import NDArray

from ..observer.chromaticity import uv_and_slope
from ..observer.data import Array
from ..observer.grid import weights

CLOSE_ENOUGH = 1e-9
"""Nearer than this, no round is needed any more. [Δuv]"""
FOUND = 100 * CLOSE_ENOUGH
"""The error of a solution that counts as found, where the rounds ran out before. [Δuv]"""
_ROUNDS = 60
_LONGEST = 1.0
"""The largest change of the exponent, anywhere over wavelength, in one round."""


def tilt(spectra: Array, shapes: Array, uv: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Solve the two strengths for a batch.

    Parameters: `spectra` (b, n) on the grid, `shapes` (2, n) or (b, 2, n), `uv` (b, 2) wanted.
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
