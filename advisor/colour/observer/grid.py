"""The wavelengths on which everything is predicted, and how spectra come onto them.

The grid runs from 380 to 780 nm at 5 nm: fine enough because gels and colour-matching functions are
smooth, coarse enough that ten thousand stacks are one small matrix product.

References
----------
ASTM E308-18, 7.3.2.2 and ASTM E2022: cubic Lagrange interpolation between samples, quadratic at the
ends, end values held beyond them.
"""

from collections.abc import Sequence
from functools import cache

import numpy as np

from .data import Array, TabulatedSpectrum, observer

WAVELENGTHS: Array = np.arange(380.0, 781.0, 5.0)
"""The grid. [nm]"""
GRID_STEP = 5.0
"""Its step. [nm]"""


def lagrange(nodes: Array, wanted: Array) -> Array:
    """Return the matrix that interpolates samples at `nodes` to `wanted` by local cubics.

    Parameters: `nodes` (n,), strictly increasing, n ≥ 2; `wanted` (m,). [nm] Returns shape (m, n).
    Beyond the ends the end value is held.
    """
    n = len(nodes)
    points = np.clip(wanted, nodes[0], nodes[-1])
    left = np.clip(np.searchsorted(nodes, points, side="right") - 1, 0, n - 2)
    matrix = np.zeros((len(points), n))
    for row, (x, i) in enumerate(zip(points, left, strict=True)):
        around = np.arange(max(i - 1, 0), min(i + 3, n))
        at = nodes[around]
        for j, k in enumerate(around):
            others = np.delete(at, j)
            matrix[row, k] = np.prod((x - others) / (at[j] - others))
    return matrix


@cache
def weights() -> Array:
    """Return W of shape (81, 3): ``spectrum_on_grid @ W`` is X, Y, Z as summed at 1 nm."""
    fine = observer()
    table: Array = lagrange(WAVELENGTHS, fine.wavelengths).T @ fine.values
    table.setflags(write=False)
    return table


def xyz_of_samples(wavelengths: Array, values: Array) -> Array:
    """Return X, Y, Z (3,) of a spectrum at its own steps, interpolated to 1 nm and summed there."""
    fine = observer()
    return np.asarray(_at_1_nm(wavelengths, values) @ fine.values)


def to_grid(wavelengths: Array, values: Array) -> Array:
    """Bring a spectrum (n,) at its own steps onto the grid, (81,).

    Finer spectra are averaged under a triangle 5 nm wide at half height, so that no line falls between
    two samples; coarser ones are interpolated. Ringing beside a line is cut off at zero.
    """
    if len(wavelengths) == len(WAVELENGTHS) and np.array_equal(wavelengths, WAVELENGTHS):
        return np.array(values, dtype=np.float64)
    fine = _at_1_nm(wavelengths, values)
    at = observer().wavelengths
    if np.median(np.diff(wavelengths)) >= GRID_STEP:
        return np.maximum(np.interp(WAVELENGTHS, at, fine), 0.0)
    triangle = np.maximum(1.0 - np.abs(at[None, :] - WAVELENGTHS[:, None]) / GRID_STEP, 0.0)
    return np.asarray(np.maximum(triangle @ fine / triangle.sum(axis=1), 0.0))


def all_to_grid(spectra: Sequence[TabulatedSpectrum]) -> Array:
    """Bring k spectra onto the grid, each as `to_grid` does, (k, 81)."""
    return np.array([to_grid(*one) for one in spectra]).reshape(-1, len(WAVELENGTHS))


def _at_1_nm(wavelengths: Array, values: Array) -> Array:
    fine = observer().wavelengths
    if np.median(np.diff(wavelengths)) <= 1.0:
        return np.interp(fine, wavelengths, values)
    return np.asarray(lagrange(wavelengths, fine) @ values)
