"""The two lines of whites: Planckian radiators and phases of daylight.

References
----------
Planck's law with c2 = 1.4388e-2 m K (ITS-90; CIE 15:2018, 4.1.1 note).
CIE 15:2018, 4.1.2, equations 4.1 to 4.6: chromaticity and spectrum of daylight.
"""

from functools import cache

import numpy as np

from .chromaticity import uv_of_xy
from .data import Array, daylight_components
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


def planckian(cct: Array | float, wavelengths: Array = WAVELENGTHS) -> Array:
    """Return the relative spectra of Planckian radiators of `cct` (...,) [K] at `wavelengths` (n,) [nm].

    Shape (..., n), on the grid (..., 81); 1 at 560 nm. `cct` is above 0; it is used from 893 K (1 120 MK⁻¹)
    up, and far below that it overflows.
    """
    metres, kelvin = wavelengths * 1e-9, np.asarray(cct, dtype=np.float64)[..., None]
    here, there = C2 / (metres * kelvin), C2 / (560e-9 * kelvin)
    return np.asarray((wavelengths / 560.0) ** -5 * np.expm1(there) / np.expm1(here))


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
