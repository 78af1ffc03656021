"""CCT and Duv, there and back: the one implementation that everything uses.

References
----------
Ohno, Y. (2014), "Practical use and calculation of CCT and Duv", LEUKOS 10(1), 47–55: CCT is that of the
nearest point of the Planckian locus in CIE 1960 (u, v); Duv is the distance, positive above the locus.
Here the nearest point is found by Newton's method on the locus itself rather than from Ohno's table.
"""

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .chromaticity import uv_and_slope
from .data import Array, observer
from .loci import C2, MIRED_K, planckian

CCT_RANGE = (1000.0, 25000.0)
"""The CCTs that this module converts, to (u, v) and back. [K]"""
DUV_LIMIT = 0.05
"""The largest |Duv| for which a CCT is meaningful (CIE 15:2018, 9.4)."""
_TURN = 0.5
"""How far to either side the normal is compared, to see how fast it turns. [MK⁻¹]"""
_COARSE = 12
_ROUNDS = 12


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
    spectra = planckian(MIRED_K / mired, cmfs.wavelengths)
    # d ln S / dM with 1/T = M·1e-6, normalised at 560 nm: the constant drops out of a chromaticity.
    b = C2 * 1e-6 / (cmfs.wavelengths * 1e-9)
    growth = -b / -np.expm1(-b * mired[:, None])
    uv, slope = uv_and_slope(spectra @ cmfs.values, (spectra * growth) @ cmfs.values)
    for array in (mired, uv, slope):
        array.setflags(write=False)
    return LocusTable(mired, uv, slope)


def planckian_uv(mired: Array) -> tuple[Array, Array]:
    """Return (u, v) of the Planckian locus and its derivative by mired, each (..., 2).

    `mired` is clipped to the table, 25 to 1 120 MK⁻¹.
    """
    table = planckian_table()
    mired = np.clip(np.asarray(mired, dtype=np.float64), table.mired[0], table.mired[-1])
    i = np.minimum((mired - table.mired[0]).astype(np.intp), len(table.mired) - 2)
    t = (mired - table.mired[i])[..., None]
    p0, p1, m0, m1 = table.uv[i], table.uv[i + 1], table.slope[i], table.slope[i + 1]
    # Cubic Hermite over one mired: value, then derivative.
    a, b = 2 * (p0 - p1) + m0 + m1, 3 * (p1 - p0) - 2 * m0 - m1
    return p0 + t * (m0 + t * (b + t * a)), m0 + t * (2 * b + t * 3 * a)


def cct_duv_of_uv(uv: Array) -> tuple[Array, Array]:
    """Return CCT [K] and Duv of chromaticities (..., 2) in (u, v), each of shape (...).

    Both are NaN, together, where the nearest point of the locus lies outside 1 000 to 25 000 K or
    |Duv| is above 0.05. Good to 1e-9 in (u, v).
    """
    uv = np.asarray(uv, dtype=np.float64)
    flat = uv.reshape(-1, 2)
    # NaN and infinity become (0, 0), which is so far from any white that the result is NaN.
    flat = np.where(np.isfinite(flat).all(axis=1, keepdims=True), flat, 0.0)
    table = planckian_table()
    nodes = table.uv[::_COARSE]
    apart = ((flat[:, None, :] - nodes[None, :, :]) ** 2).sum(axis=-1)
    m = table.mired[::_COARSE][np.argmin(apart, axis=1)]
    for _ in range(_ROUNDS):
        uv_about, slopes = planckian_uv(np.stack([m, m + 0.5, m - 0.5]))
        at, slope, bend = uv_about[0], slopes[0], slopes[1] - slopes[2]
        rest = flat - at
        along = (rest * slope).sum(axis=-1)
        curvature = (slope**2).sum(axis=-1) - (rest * bend).sum(axis=-1)
        step = along / np.maximum(curvature, 0.2 * (slope**2).sum(axis=-1))
        before, m = (
            m,
            np.clip(m + np.clip(step, -2.0 * _COARSE, 2.0 * _COARSE), table.mired[0], table.mired[-1]),
        )
        if np.all(np.abs(m - before) < 1e-9):
            break
    at, slope = planckian_uv(m)
    duv = ((flat - at) * _normal(slope)).sum(axis=-1)
    low, high = MIRED_K / CCT_RANGE[1], MIRED_K / CCT_RANGE[0]
    slack = 1e-6
    inside = (m >= low - slack) & (m <= high + slack) & (np.abs(duv) <= DUV_LIMIT + 1e-9)
    # Clipped, so that uv_of_cct_duv accepts every result in spite of rounding.
    cct = np.where(inside, np.clip(MIRED_K / m, *CCT_RANGE), np.nan)
    duv = np.where(inside, np.clip(duv, -DUV_LIMIT, DUV_LIMIT), np.nan)
    return cct.reshape(uv.shape[:-1]), duv.reshape(uv.shape[:-1])


def uv_of_cct_duv(cct: Array, duv: Array) -> Array:
    """Return (u, v), shape (..., 2), of `cct` [K], 1 000 to 25 000, and `duv`, −0.05 to 0.05.

    Raises ValueError outside those ranges, and for NaN.
    """
    cct, duv = np.asarray(cct, dtype=np.float64), np.asarray(duv, dtype=np.float64)
    low, high = CCT_RANGE
    if not (np.all(cct >= low) and np.all(cct <= high)):
        raise ValueError(f"CCT must be in 1 000 to 25 000 K, got {cct}")
    if not np.all(np.abs(duv) <= DUV_LIMIT):
        raise ValueError(f"Duv must be in −0.05 to 0.05, got {duv}")
    return uv_of_mired_duv(MIRED_K / cct, duv)


def uv_of_mired_duv(mired: Array, duv: Array) -> Array:
    """Return (u, v), shape (..., 2), of `mired` [MK⁻¹] and `duv`, without a check of their range.

    The mired is clipped to 25 to 1 120 MK⁻¹.
    """
    at, slope = planckian_uv(mired)
    return at + duv[..., None] * _normal(slope)


def in_range(mired: Array | float, duv: Array | float) -> NDArray[np.bool_]:
    """Return which whites (...,), given by mired [MK⁻¹] and Duv, are in range; NaN is not."""
    low, high = CCT_RANGE
    mired, duv = np.asarray(mired), np.asarray(duv)
    return np.asarray((mired >= MIRED_K / high) & (mired <= MIRED_K / low) & (np.abs(duv) <= DUV_LIMIT))


def normal_at(cct: Array) -> Array:
    """Return the unit vector of growing Duv, (..., 2) in (u, v), at `cct` (...,) [K].

    The table ends at 893 K and 40 000 K (1 120 and 25 MK⁻¹). Beyond, it is the vector at that end.
    """
    return _normal(planckian_uv(MIRED_K / np.asarray(cct, dtype=np.float64))[1])


def moves_at(cct: Array, duv: Array) -> tuple[Array, Array]:
    """Return how (u, v) moves by one mired warmer and by one unit of Duv greener, (..., 2) each.

    `cct` [K] and `duv` broadcast. The moves are good to a hundredth of a per cent. Lines of equal CCT fan
    out, so the length of a mired depends on Duv: at 5 600 K it is a fifth longer at Duv 0.02 than on the
    locus, and a fifth shorter at −0.02.
    """
    cct, duv = np.broadcast_arrays(np.asarray(cct, dtype=np.float64), np.asarray(duv, dtype=np.float64))
    _, warmer, greener = uv_and_moves(MIRED_K / cct, duv)
    return warmer, greener


def uv_and_moves(mired: Array, duv: Array) -> tuple[Array, Array, Array]:
    """Return what `uv_of_mired_duv` and `moves_at` do of whites (...,), (..., 2) each, at one go."""
    at, slopes = planckian_uv(np.stack([mired, mired + _TURN, mired - _TURN]))
    across, after, before = _normal(slopes)
    warmer = slopes[0] + duv[..., None] * (after - before) / (2 * _TURN)
    return at[0] + duv[..., None] * across, warmer, across


def _normal(slope: Array) -> Array:
    across = np.stack([-slope[..., 1], slope[..., 0]], axis=-1)
    return across / np.hypot(across[..., 0], across[..., 1])[..., None]
