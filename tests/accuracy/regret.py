"""What not knowing the spectrum costs: how much better a stack there was than the one ranked first.

Each lamp is brought to two targets, 5 600 K daylight and 3 200 K Planckian, with the sixteen gels in up
to so many layers, by the product's whole ranking with its default limits. A stack's true miss is the
distance of the true light behind it from the target.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from advisor.advice.answer.advise import advise_on
from advisor.advice.cost.counted import cost
from advisor.advice.cost.loss import loss
from advisor.advice.readings.chromaticity import WhitePoint
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE, Indices, choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import GelArrays, gel_arrays_of
from advisor.advice.stacks.prediction import PreparedSource, predict_stacks
from advisor.colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from advisor.colour.observer.data import Array
from advisor.model import Limits, Locus, Target
from advisor.model.sets.lightset import EXACT
from tests.accuracy.filters import DyeSet, filters
from tests.accuracy.lamps import Lamp, uv_at_1_nm
from tests.accuracy.trials import Knows, bare_of, by_arithmetic

TARGETS = (Target(cct=5600, locus=Locus.DAYLIGHT), Target(cct=3200, locus=Locus.PLANCKIAN))
_BATCH = 16
"""Lamps advised on at a time, so that memory stays small."""


class Regret(NamedTuple):
    """True misses, each (lamps, targets) in Δu′v′.

    `first` is that of the stack ranked first from CCT, Duv and kind, `nearest` of the one whose expected
    miss is least (light and layers aside), `plain` of the one that arithmetic ranks first by the same
    cost. `knowing` is that of the stack ranked first from the spectrum; `least` the least of all stacks.
    """

    first: Array
    nearest: Array
    plain: Array
    knowing: Array
    least: Array


def regret(lamps: Sequence[Lamp], dyes: DyeSet, layers: int, knows: Knows) -> Regret:
    """Rank the stacks for every lamp and target, and look up what each choice truly leaves."""
    gels = filters(dyes)
    gel_arrays = gel_arrays_of(gels.rows)
    order = [[gel.name for gel in gels.rows].index(name) for name in gel_arrays.names]
    stacks = stacks_on(gel_arrays, choice_on(gel_arrays, (), layers, gel_arrays.ranked, dimmed=False))
    stops = np.array([gels.rows[i].stops for i in order])
    sheets = np.concatenate([gels.transmittances[order], np.ones((1, gels.transmittances.shape[1]))])
    passed = np.prod(sheets[stacks], axis=1)
    found = []
    for target in TARGETS:
        white = white_of(target, [])
        limits = Limits(max_layers=layers, accuracy=EXACT)
        for start in range(0, len(lamps), _BATCH):
            some = lamps[start : start + _BATCH]
            bares = [bare_of(lamp, gel_arrays, white, knows) for lamp in some]
            firsts = _first(bares, limits, gel_arrays, stacks)
            known = [bare_of(lamp, gel_arrays, white, Knows.SPECTRUM) for lamp in some]
            knowing = _first(known, limits, gel_arrays, stacks)
            outcomes = predict_stacks(bares, gel_arrays, stacks)
            for lamp, first, best, outcome in zip(some, firsts, knowing, outcomes, strict=True):
                miss = delta_uv_prime(uv_at_1_nm(lamp.power * passed), white.uv)
                plain = _by_labels(lamp, gel_arrays, stops, stacks, white, limits)
                nearest = np.argmin(outcome.steps)
                found.append([miss[first], miss[nearest], miss[plain], miss[best], miss.min()])
    return Regret(*np.array(found).reshape(len(TARGETS), len(lamps), -1).transpose(2, 1, 0))


def _first(bares: list[PreparedSource], limits: Limits, gel_arrays: GelArrays, stacks: Indices) -> list[int]:
    """Return the place of the stack that the advisor shows first for each source."""
    place = {tuple(sorted(i for i in stack if i != NONE)): k for k, stack in enumerate(stacks.tolist())}
    answers = advise_on(bares, limits, gel_arrays).answers
    return [place[tuple(sorted(gel_arrays.find(answer.stacks[0].gels)))] for answer in answers]


def _by_labels(
    lamp: Lamp, gel_arrays: GelArrays, stops: Array, stacks: Indices, white: WhitePoint, limits: Limits
) -> int:
    """Return the place of the stack that arithmetic with the labels ranks first, by the product's cost."""
    used = stacks != NONE
    mired, cc, lost = (
        np.where(used, of[stacks], 0.0).sum(axis=1) for of in (gel_arrays.mired, gel_arrays.cc, stops)
    )
    steps = delta_uv_prime(by_arithmetic(lamp, mired, cc), white.uv) / STEP_DELTA_UV
    steps = np.nan_to_num(steps, nan=np.inf)
    risk = loss(steps, limits.tolerance_steps)
    return int(np.argmin(cost(risk, lost, used.sum(axis=1))))
