"""What a mired and a unit of Duv are worth in steps, at a white.

The slope of the Planckian locus says how far a mired leads, its normal how far Duv does; both are lengths
in CIE 1976 (u′, v′), in steps of 0.0011. Between nearly equal whites they add as squares.
"""

from dataclasses import dataclass
from math import hypot

import numpy as np

from ..colour.cct import normal_at
from ..colour.chromaticity import STEP, distance
from ..colour.loci import MEGA, planckian_uv
from ..model import Accuracy
from .measure import Whiteness

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


def scale_at(white: Whiteness) -> Scale:
    """Return the scale around a white."""
    slope, across = planckian_uv(np.array(MEGA / white.cct))[1], normal_at(np.array(white.cct))
    origin = np.zeros(2)
    return Scale(float(distance(slope, origin)) / STEP, float(distance(across, origin)) / STEP)


def meter_steps(white: Whiteness, accuracy: Accuracy) -> float:
    """Return how far a meter's tolerance moves a reading. [step]"""
    scale = scale_at(white)
    return hypot(*scale.at(MEGA / white.cct * accuracy.meter_cct_percent / 100.0, accuracy.meter_duv))
