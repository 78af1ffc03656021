"""How far a head may be off its test by now: what age and a new warm-up leave, and its own history tells.

The doubt grows with the time since the test. By how much a head's tests differ from one to the next, beside
the doubt for the time between them, says whether it holds better or worse than heads usually do. Two tests
count as much as the usual figure. Tests of one day are one: what a head held over an hour tells nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from math import hypot

import numpy as np

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...model import HeadReading, Reading, Refused, Setting
from ...model.basis.base import name_key
from ..readings.chromaticity import WhitePoint, measure
from ..stacks.uncertainty import ALONG_LINE

_WARM, _COLD, _WARM_AFTER = 1.5, 2.5, 15.0
"""What another warm-up and another mounting leave, nine cases in ten, where the head was tested after so many
minutes, and where sooner or nobody noted it. [step; step; min] From memory."""
_A_YEAR = 2.0
"""What ageing adds in a year, nine cases in ten. [step] From memory."""
_USUAL = 2.0
"""How many tests the usual figure is worth: our judgement."""
_MOST = 20.0
_YEAR = 365.25
A_DAY = timedelta(days=1)
"""Tests that began within it are of one day."""


@dataclass(frozen=True, eq=False)
class PastTest:
    """A test of a head: when it began, what was read, and how long the head had been on [min]."""

    at: datetime
    readings: Sequence[HeadReading]
    minutes_on: float | None = None


def doubt_now(tests: Sequence[PastTest], now: datetime) -> float:
    """Return how far a head may be off the newest of its tests, nine cases in ten. [step]

    `tests` are in order of time, the newest last; there is one at least.
    """
    apart = [
        (steps * ALONG_LINE / _usual(one, other.at)) ** 2
        for one, other in pairwise(tests)
        if (steps := _apart(one, other)) is not None
    ]
    scale = float(np.sqrt((_USUAL + sum(apart)) / (_USUAL + len(apart))))
    return min(scale * _usual(tests[-1], now), _MOST)


def one_a_day(tests: Sequence[PastTest]) -> list[PastTest]:
    """Return tests in order of time with those of one day as one: a step reads as it was read last."""
    found: list[PastTest] = []
    for test in tests:
        if found and test.at - found[-1].at <= A_DAY:
            known = set(map(step_of, test.readings))
            more = [reading for reading in found.pop().readings if step_of(reading) not in known]
            found.append(replace(test, readings=[*test.readings, *more]))
        else:
            found.append(test)
    return found


def _usual(test: PastTest, now: datetime) -> float:
    """Return how far heads are off a test by `now`. [step]"""
    years = max((now - test.at).total_seconds() / 86400.0 / _YEAR, 0.0)
    warm = test.minutes_on is not None and test.minutes_on >= _WARM_AFTER
    return hypot(_WARM if warm else _COLD, _A_YEAR * years)


def _apart(one: PastTest, other: PastTest) -> float | None:
    """Return how far a head moved between two tests, on the average [step]; None where they share nothing."""
    was, now = _whites(one), _whites(other)
    both = [key for key in was if key in now]
    if not both:
        return None
    return float(np.mean([delta_uv_prime(was[k].uv, now[k].uv) for k in both])) / STEP_DELTA_UV


Step = tuple[str, float | None, Setting | None]


def step_of(reading: HeadReading | Reading) -> Step:
    """Return at which step of a test a reading was taken: its modifier, level [%] and dial setting."""
    return name_key(reading.modifier), reading.level, reading.dial


def _whites(test: PastTest) -> dict[Step, WhitePoint]:
    found = {}
    for reading in test.readings:
        try:
            found[step_of(reading)] = measure(reading)
        except Refused:
            continue
    return found
