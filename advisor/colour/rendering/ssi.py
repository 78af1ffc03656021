"""The spectral similarity index: how like a reference a spectrum is, whatever a camera makes of it.

References
----------
SMPTE ST 2122:2020, Spectral Similarity Index (SSI); Academy of Motion Picture Arts and Sciences, Academy
Spectral Similarity Index (SSI): Overview (2020): 375 to 675 nm at 1 nm, 30 trapezoids of 10 nm, each light
brought to the same sum, differences relative to the reference plus 1/30, weighed, smoothed, and
100 − 32 times the root of the sum of their squares, rounded.

colour-science computes it too, and the tests hold this against it; it needs SciPy for that, which the
advisor does not bring along.
"""

import re
from functools import cache

import numpy as np

from ..observer.data import Array
from ..observer.grid import WAVELENGTHS
from ..observer.loci import DAYLIGHT_RANGE, daylight, planckian

_NAMED = re.compile(r"([PD])(\d{4,5})")
"""A named reference: P for Planckian, D for daylight, and kelvins."""
_RANGE = np.arange(375.0, 676.0)
_TRAPEZOID = np.array([0.5, *[1.0] * 9, 0.5])
_FLOOR = 1.0 / 30.0
"""Added to the reference, so that hardly any light of a colour does not count as a large difference."""
_WEIGHTS = np.array([*np.array([12, 22, 32, 40, 44]) / 45, *[1.0] * 23, 11 / 15, 3 / 15])
_SMOOTHED = np.array([0.22, 0.56, 0.22])
_RENAMED = 1.4388 / 1.4380
"""Daylight is named by a CCT rounded under the c2 of its time: D55 is of 5 503 K (CIE 15:2018, 4.1.2)."""


def similarity(spectrum: Array, reference: str, wavelengths: Array = WAVELENGTHS) -> float:
    """Return SSI of a spectrum (n,) at `wavelengths` [nm] against ``P3200``, ``D5600`` and the like.

    It is 100 at most. Where the spectrum does not reach, it counts as 0. Raises ValueError for a reference
    that is no such name, of 1 000 to 25 000 K, or daylight below 4 000 K.
    """
    named = _NAMED.fullmatch(reference)
    cct = float(named[2]) if named else np.nan
    if not named or not 1000.0 <= cct <= 25000.0 or (named[1] == "D" and cct < DAYLIGHT_RANGE[0]):
        raise ValueError(f"SSI has no reference {reference!r}")
    light = np.interp(_RANGE, wavelengths, spectrum, left=0.0, right=0.0)
    ideal = _reference(named[1], cct)
    apart = (_in_bands(light) - ideal) / (ideal + _FLOOR) * _WEIGHTS
    return float(np.round(100.0 - 32.0 * np.linalg.norm(np.convolve(apart, _SMOOTHED, mode="same"))))


@cache
def _reference(locus: str, cct: float) -> Array:
    return _in_bands(planckian(cct, _RANGE) if locus == "P" else daylight(cct * _RENAMED, _RANGE))


def _in_bands(light: Array) -> Array:
    """Sum a spectrum (301,) at 1 nm in bands of 10 nm whose ends they share, all of them to 1: (30,)."""
    bands = np.lib.stride_tricks.sliding_window_view(light, 11)[::10] @ _TRAPEZOID
    return np.asarray(bands / bands.sum()) if bands.any() else bands
