"""Rows to be taught, and how near a fit comes to them."""

import numpy as np

from advisor.advice.teaching.teach import Lesson, ReadingPair, from_pairs
from advisor.model import EXACT, Transmittance
from tests.advice.rows import neutral, nominal

MIRED_BACK, CC_BACK, STOPS_BACK = 0.02, 0.02, 0.001
"""How near a fit comes to the row that made an exact pair [MK⁻¹, CC, stop]: twice what 1 291 random pairs
missed at most (0.0075, 0.0060, 0.0005), nearly all of it the row's own rounding (0.01, 0.01, 0.001)."""
TABLE = [*nominal(), *neutral()]
ROW = {g.name: g for g in TABLE}


def flat(value):
    return Transmittance(start=380, step=5, values=[value] * 81)


def from_pair(gel, source, gelled, table=TABLE, accuracy=EXACT, **how):
    """Fit a row to one pair, read by a meter that is exact unless it is said otherwise."""
    return from_pairs(gel, [ReadingPair(source, gelled, accuracy)], table, **how)


def within_doubt(lesson: Lesson, mired: float, cc: float, times: float = 1.0) -> bool:
    """Whether a fitted row is as far off as it says, so many `times`, and its rounding to two places."""
    assert lesson.fit is not None
    off = np.abs([lesson.new.mired - mired, lesson.new.cc - cc])
    return bool((off <= times * np.array(lesson.fit.doubt) + 0.005).all())
