"""The two lines of whites: Planckian radiators and phases of daylight.

References
----------
Planck's law with c2 = 1.4388e-2 m K (ITS-90; CIE 15:2018, 4.1.1 note).
CIE 15:2018, 4.1.2, equations 4.1 to 4.6: chromaticity and spectrum of daylight.
"""

from functools import cache
from typing import NamedTuple

import numpy as np

from .chromaticity import uv_of_xy, uv_of_xyz, uv_slope
from .data import Array, daylight_components, observer
from .grid import WAVELENGTHS, lagrange

C2 = 1.4388e-2
"""Second radiation constant. [m K] ITS-90."""
MIRED_K = 1e6
"""Mireds are a million over kelvins."""
CC_PER_DUV = 1000.0
"""Colour-compensating units (CC) in a unit of Duv: our own definition, CC = 1 000 × Duv.

It is near the density of CC filters: 0 to 25 % off at 5 600 K for smooth dyes.
"""
DAYLIGHT_RANGE = (4000.0, 25000.0)
"""Where the daylight locus is defined. [K] CIE 15:2018, 4.1.2."""


def planckian(cct: float, wavelengths: Array = WAVELENGTHS) -> Array:
    """Return the relative spectrum of a Planckian radiator of `cct` [K], above 0, at `wavelengths` (n,) [nm].

    Shape (n,), on the grid (81,); 1 at 560 nm. Used from 893 K (1 120 MK⁻¹) up; far below it overflows.
    """
    metres = wavelengths * 1e-9
    here, there = C2 / (metres * cct), C2 / (560e-9 * cct)
    return np.asarray((wavelengths / 560.0) ** -5 * np.expm1(there) / np.expm1(here))


class LocusTable(NamedTuple):
    """The Planckian locus at every mired: (u, v) and its first derivative by mired, each (n, 2)."""

    mired: Array
    uv: Array
    slope: Array


@cache
def planckian_table() -> LocusTable:
    """Tabulate the Planckian locus from 25 to 1 120 MK⁻¹, summed from 360 to 830 nm at 1 nm.

    The slope is exact (the derivative of Planck's law by mired), so that cubic Hermite pieces between
    whole mireds are good to 1e-11.
    """
    cmfs = observer()
    mired = np.arange(25.0, 1121.0)
    spectra = np.array([planckian(MIRED_K / m, cmfs.wavelengths) for m in mired])
    # d ln S / dM with 1/T = M·1e-6, normalised at 560 nm: the constant drops out of a chromaticity.
    b = C2 * 1e-6 / (cmfs.wavelengths * 1e-9)
    growth = -b / -np.expm1(-b * mired[:, None])
    xyz, moved = spectra @ cmfs.values, (spectra * growth) @ cmfs.values
    uv, slope = uv_of_xyz(xyz), uv_slope(xyz, moved)
    for array in (mired, uv, slope):
        array.setflags(write=False)
    return LocusTable(mired, uv, slope)


def planckian_uv(mired: Array) -> tuple[Array, Array]:
    """Return (u, v) of the Planckian locus and its derivative by mired, each (..., 2).

    `mired` is held within the table, 25 to 1 120 MK⁻¹.
    """
    table = planckian_table()
    mired = np.clip(np.asarray(mired, dtype=np.float64), table.mired[0], table.mired[-1])
    i = np.minimum((mired - table.mired[0]).astype(np.intp), len(table.mired) - 2)
    t = (mired - table.mired[i])[..., None]
    p0, p1, m0, m1 = table.uv[i], table.uv[i + 1], table.slope[i], table.slope[i + 1]
    # Cubic Hermite over one mired: value, then derivative.
    a, b = 2 * (p0 - p1) + m0 + m1, 3 * (p1 - p0) - 2 * m0 - m1
    return p0 + t * (m0 + t * (b + t * a)), m0 + t * (2 * b + t * 3 * a)


def daylight_xy(cct: Array) -> Array:
    """Return (x, y), shape (..., 2), of the daylight locus at nominal `cct`, 4 000 to 25 000 K.

    CIE 15:2018, equations 4.1 to 4.3. Outside that range: NaN.
    """
    cct = np.asarray(cct, dtype=np.float64)
    low, high = DAYLIGHT_RANGE
    t = np.where((cct >= low) & (cct <= high), cct, np.nan)
    warm = -4.6070e9 / t**3 + 2.9678e6 / t**2 + 0.09911e3 / t + 0.244063
    cool = -2.0064e9 / t**3 + 1.9018e6 / t**2 + 0.24748e3 / t + 0.237040
    x = np.where(t <= 7000.0, warm, cool)
    return np.stack([x, -3.000 * x**2 + 2.870 * x - 0.275], axis=-1)


def daylight_uv(cct: Array) -> Array:
    """Return (u, v), shape (..., 2), of the daylight locus at nominal `cct`, 4 000 to 25 000 K; else NaN."""
    return uv_of_xy(daylight_xy(cct))


def daylight(cct: float, wavelengths: Array = WAVELENGTHS) -> Array:
    """Return the relative spectrum of daylight of nominal `cct`, 4 000 to 25 000 K, at `wavelengths` [nm].

    CIE 15:2018, equations 4.4 to 4.6, with M1 and M2 unrounded. Outside that range: NaN everywhere.
    """
    x, y = daylight_xy(np.asarray(cct))
    m = 0.0241 + 0.2562 * x - 0.7341 * y
    m1 = (-1.3515 - 1.7703 * x + 5.9114 * y) / m
    m2 = (0.0300 - 31.4424 * x + 30.0717 * y) / m
    parts = _components_on_grid() if wavelengths is WAVELENGTHS else _components_at(wavelengths)
    return np.asarray(np.maximum(parts @ np.array([1.0, m1, m2]), 0.0))


@cache
def _components_on_grid() -> Array:
    return _components_at(WAVELENGTHS)


def _components_at(wavelengths: Array) -> Array:
    basis = daylight_components()
    return np.asarray(lagrange(basis.wavelengths, wavelengths) @ basis.values)
