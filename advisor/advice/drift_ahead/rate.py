"""How fast a light drifts, in mired and in Duv an hour, and how sure that is: a line through its readings.

The scatter of a reading is what a meter's readings of one light differ by. If the readings lie farther off
their line, that counts too, as in a normal model with a conjugate prior of its scatter (Gelman and others,
*Bayesian Data Analysis*, 2013, chapter 14, from memory).
"""

from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from ...colour.observer.data import Array
from ...model import Accuracy
from ..learned.posterior import repeats
from ..readings.steps import Scale, scale_at
from .series import DriftSeries

_LAST_DIGIT = 0.1
"""What rounding leaves of a reading. [step] Our judgement."""
_FEW = 3
"""Of so few readings each has to go the way of their line; of more, the scatter about it tells."""
_PRIOR = 4
"""As many readings beside the line the meter's own scatter counts for. Our judgement."""
_SHOWS = 1.0
"""A light that went less far while it was watched is not said to drift. By its doubt alone one steady light
in five seems to, and three in four of these went less far. [step] One step is just visible (CIE TN 001:2014,
from memory)."""
_NINE_IN_TEN = 1.6449
"""The normal quantile within which nine in ten lie."""


@dataclass(frozen=True)
class DriftRate:
    """How fast a light drifts: towards warm [MK⁻¹ an hour] and green [Duv an hour], each with its doubt.

    Each doubt holds in nine of ten cases. `speed` [step an hour] is how fast it moves away from where it is,
    and `speed_doubt` how far that may be off. `moved` [step] is how far it went by that while it was watched;
    `turned` is true of three readings of which the last goes back. It rests on `count` readings.
    """

    mired: float
    mired_doubt: float
    duv: float
    duv_doubt: float
    speed: float
    speed_doubt: float
    count: int
    moved: float
    turned: bool

    @property
    def sure(self) -> bool:
        """Whether it drifts for sure: faster than a meter scatters, as far as shows, and one way."""
        return self.speed > self.speed_doubt and self.moved > _SHOWS and not self.turned

    @property
    def share(self) -> float:
        """How far the speed may be off, as a share of it; 1 at most where it drifts for sure."""
        return self.speed_doubt / self.speed


def rate_of(series: DriftSeries, accuracy: Accuracy) -> DriftRate:
    """Return how fast a light drifts, by its readings."""
    scale = scale_at(series.white)
    scatter = np.diag(repeats(series.white, accuracy)) + _LAST_DIGIT**2
    per_mired, per_duv = scale.steps_per_mired, scale.steps_per_duv
    warm = _slope(series.hours, series.mired, sqrt(scatter[0]) / per_mired)
    green = _slope(series.hours, series.duv, sqrt(scatter[1]) / per_duv)
    along = scale.at(warm[0], green[0])
    speed = hypot(*along)
    doubts = scale.at(warm[1], green[1])
    # Of the doubt, only what lies along the way changes when it arrives.
    doubt = hypot(*(a * d for a, d in zip(along, doubts, strict=True))) / speed if speed else hypot(*doubts)
    return DriftRate(
        *warm,
        *green,
        speed=speed,
        speed_doubt=doubt,
        count=len(series.hours),
        moved=speed * float(series.hours[-1]),
        turned=len(series.hours) == _FEW and _turned(np.stack([series.mired, series.duv]), scale, along),
    )


def _turned(read: Array, scale: Scale, along: tuple[float, float]) -> bool:
    """Whether the last of some readings (2, n) goes against the way of their line."""
    last = scale.at(*(read[:, -1] - read[:, -2]).tolist())
    return sum(a * b for a, b in zip(last, along, strict=True)) < 0.0


def _slope(hours: Array, values: Array, scatter: float) -> tuple[float, float]:
    """Return the slope of a straight line through values, and its doubt in nine of ten cases."""
    across = hours - hours.mean()
    spread = float(across @ across)
    slope = float(across @ values) / spread
    rest = values - values.mean() - slope * across
    free = _PRIOR + len(hours) - 2
    about = (_PRIOR * scatter**2 + float(rest @ rest)) / free
    return slope, student(free) * sqrt(about / spread)


def student(free: int) -> float:
    """Return Student's t within which nine in ten lie, for `free` degrees of freedom, 4 or more.

    By the expansion of Abramowitz and Stegun (1964), 26.7.5, from memory; good to 0.02.
    """
    z = _NINE_IN_TEN
    first, second = (z**3 + z) / 4.0, (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    return z + first / free + second / free**2
