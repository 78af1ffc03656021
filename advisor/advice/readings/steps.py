"""What a mired and a unit of Duv are worth in steps, at a white.

How far either leads, on the Planckian locus or off it (`moves_at` in `colour.observer.cct`), is a length in
CIE 1976 (u′, v′), in steps of 0.0011 (CIE TN 001:2014, from memory). Between nearly equal whites they add as
squares.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import hypot

import numpy as np

from ...colour.observer.cct import moves_at
from ...colour.observer.chromaticity import STEP_DELTA_UV, length
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...model import Accuracy
from .chromaticity import WhitePoint

Point = tuple[float, float]
"""Steps towards warm and towards green."""


@dataclass(frozen=True)
class Scale:
    """What a mired and a unit of Duv are worth in steps at a white."""

    steps_per_mired: float
    steps_per_duv: float

    def at(self, mired: float, duv: float) -> Point:
        """Place what is `mired` warmer and `duv` greener than the white."""
        return mired * self.steps_per_mired, duv * self.steps_per_duv

    def each_at(self, mired: Array, duv: Array) -> Array:
        """Place n whites, (n, 2) [step], as `at` does."""
        return np.stack([mired * self.steps_per_mired, duv * self.steps_per_duv], axis=1)


def scale_at(white: WhitePoint) -> Scale:
    """Return the scale around a white."""
    return _scale_at(white.cct, white.duv)


@lru_cache(maxsize=1024)
def _scale_at(cct: float, duv: float) -> Scale:
    # Kept: each of hundreds of readings of a source is compared with the same one.
    warmer, greener = moves_at(np.array(cct), np.array(duv))
    return Scale(float(length(warmer)) / STEP_DELTA_UV, float(length(greener)) / STEP_DELTA_UV)


def meter_steps(white: WhitePoint, accuracy: Accuracy) -> float:
    """Return how far a meter's tolerance moves a reading. [step]"""
    scale = scale_at(white)
    return hypot(*scale.at(MIRED_K / white.cct * accuracy.meter_cct_percent / 100.0, accuracy.meter_duv))
