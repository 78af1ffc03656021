"""The loci as lines of points in CIE 1976 (u′, v′), to be drawn."""

from collections.abc import Sequence

import numpy as np

from ...colour.observer.cct import planckian_uv
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K, daylight_uv


def uv76(uv: Array) -> Array:
    """Return (u′, v′) of (u, v): v′ is 1.5 v."""
    return np.asarray(uv * np.array([1.0, 1.5]))


def planckian_line() -> Array:
    """Return points of the Planckian locus from 16 700 down to 1 900 K, (n, 2)."""
    return uv76(planckian_uv(np.linspace(60.0, 520.0, 60))[0])


def daylight_line() -> Array:
    """Return points of the daylight locus from 4 000 to 15 000 K, (n, 2)."""
    return uv76(daylight_uv(np.geomspace(4000.0, 15000.0, 40)))


def planckian_points(cct: Sequence[float]) -> Array:
    """Return the points (n, 2) of the Planckian locus at n CCTs. [K]"""
    return uv76(planckian_uv(MIRED_K / np.array(cct))[0])
