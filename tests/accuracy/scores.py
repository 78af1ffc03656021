"""What the constants of the engine are tuned by: scores of each lamp, the lower the better.

What is stated is scored so that it pays best to state what is so, and to be near. A radius that is to hold
90 % costs its length, and ten times what an outcome lies beyond it; a chance costs the square of how far it
is from what came of it, 1 or 0.

References
----------
Gneiting, T. and Raftery, A. E. (2007), "Strictly proper scoring rules, prediction, and estimation", J. Am.
Stat. Assoc. 102(477): the interval score, here of one bound. Brier, G. W. (1950), Mon. Weather Rev. 78(1).
Both from memory.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from advisor.advice.learned.informed import judge_of
from advisor.advice.readings.target import white_of
from advisor.colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from advisor.colour.observer.data import Array
from advisor.model import Limits, Reading
from tests.accuracy.chance import TOLERANCE, chances
from tests.accuracy.filters import DYE_SETS
from tests.accuracy.lamps import Lamp, uv_at_1_nm
from tests.accuracy.regret import TARGETS
from tests.accuracy.rounds import ACCURACY, ROUNDS, Truck, courses, metered, truck_of, with_reading
from tests.accuracy.trials import Knows, bare_of, trial

OUTSIDE = 0.1
"""The share of outcomes that may lie beyond a stated radius."""
ONE_DYE = DYE_SETS[:1]
"""For what takes long: lamps differ far more than dyes do."""
READ_BEHIND = ("CTO 1/2", "CTB 1/2", "Plus green 1/2", "Minus green 1/2")


class Score(NamedTuple):
    """A score in words, with its unit, and `of` lamps, (lamps,); NaN where a lamp has none."""

    words: str
    of: Callable[[Sequence[Lamp]], Array]


def interval(error: Array, stated: Array) -> Array:
    """Return the interval scores of stated radii, in their unit."""
    return np.asarray(stated + np.maximum(error - stated, 0.0) / OUTSIDE)


def foreseen(knows: Knows) -> Score:
    """Return the score of the radius that is stated behind each gel alone."""

    def of(lamps: Sequence[Lamp]) -> Array:
        tried = [[trial(lamp, dyes, knows) for lamp in lamps] for dyes in DYE_SETS]
        return (
            np.mean([[interval(t.error, t.stated).mean() for t in row] for row in tried], axis=0)
            / STEP_DELTA_UV
        )

    return Score(f"interval score of the stated 90 %, {knows.value} [step]", of)


def learned(knows: Knows) -> Score:
    """Return the score of the radius that is stated of single gels after another one was read."""

    def of(lamps: Sequence[Lamp]) -> Array:
        [truck] = map(truck_of, ONE_DYE)
        return np.array([_after_reading(lamp, truck, knows) for lamp in lamps])

    return Score(f"interval score of the stated 90 % after a reading behind a gel, {knows.value} [step]", of)


def _after_reading(lamp: Lamp, truck: Truck, knows: Knows) -> float:
    """Read a lamp bare and behind one gel, and score what is said of the others: the mean over gels read."""
    rng = np.random.default_rng([17, lamp.number])
    strengths, bare_read = truck.strengths(rng), metered(lamp.uv, rng)
    if bare_read is None:
        return float("nan")
    seen = lamp
    if knows is not Knows.SPECTRUM:
        seen = replace(lamp, uv=bare_read.uv, cct=bare_read.cct, duv=bare_read.duv)
    bare = bare_of(seen, truck.gel_arrays, white_of(TARGETS[0], []), knows)
    true = uv_at_1_nm(lamp.power * truck.sheets ** strengths[:, None])
    scores = []
    for name in READ_BEHIND:
        [hung] = truck.gel_arrays.find([name])
        read = metered(true[hung], rng)
        if read is None:
            continue
        known = with_reading(bare, Reading(cct=read.cct, duv=read.duv, gels=(name,)))
        judge = judge_of(known, truck.gel_arrays, Limits(accuracy=ACCURACY))
        others = np.delete(np.arange(len(true)), hung)
        stacks = others[:, None]
        error = delta_uv_prime(judge.outcomes(stacks).uv, true[others]) / STEP_DELTA_UV
        scores.append(interval(error, judge.certainty(stacks).steps).mean())
    return float(np.mean(scores)) if scores else float("nan")


def _brier(lamps: Sequence[Lamp]) -> Array:
    found = chances(lamps, ONE_DYE)
    missed = (found.stated - (found.off <= TOLERANCE)) ** 2
    return np.array([missed[found.lamp == lamp.number].mean() for lamp in lamps])


def _readings(lamps: Sequence[Lamp]) -> Array:
    needed: dict[int, list[int]] = {lamp.number: [] for lamp in lamps}
    for course in courses(lamps, ONE_DYE):
        if course.able:
            there = (k for k in range(1, ROUNDS + 1) if course.there_by(k))
            needed[course.lamp.number].append(next(there, ROUNDS + 1))
    return np.array([np.mean(own) if own else np.nan for own in needed.values()])


CHANCE = Score("Brier score of the stated chance", _brier)
READINGS = Score(f"readings until it is truly within {TOLERANCE:g} steps", _readings)
