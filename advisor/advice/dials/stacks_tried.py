"""Which stacks take part on an adjustable head.

All of them, if they are few enough to go through. Else all single gels, and the fronts of the head at four
settings: its dials as they are, both ends of its CCT, and the middle.
"""

from contextlib import suppress
from dataclasses import replace

import numpy as np

from ...colour.spectra.sources import Unbendable
from ..cost.judge import Judge
from ..ranking.branch_and_bound import pareto_candidates
from ..ranking.pareto import rank
from ..stacks.enumerate import NONE, Choice, Indices, stacks_on
from .at_setting import stand_at
from .calibration import DialFit
from .search import dials_of

_MOST_STACKS = 12_000
"""The most stacks of which all take part."""


def stacks_tried(judge: Judge, fit: DialFit, choice: Choice) -> Indices:
    """Return the stacks of a choice that take part on an adjustable head, (m, w); the first adds nothing.

    `judge` judges the head as it was read, `fit` says what its dials do.
    """
    if choice.count <= _MOST_STACKS:
        return stacks_on(judge.gel_arrays, choice)
    width = len(choice.keep) + choice.free
    single = stacks_on(judge.gel_arrays, replace(choice, free=1))
    found = [np.pad(single, ((0, 0), (0, width - single.shape[1])), constant_values=NONE)]
    dials = dials_of(fit.reach)
    bares = [judge.bare]
    for i in sorted({0, (dials.ccts - 1) // 2, dials.ccts - 1}):
        with suppress(Unbendable):
            bares.append(stand_at(judge.bare, fit, dials.setting(i, (dials.greens - 1) // 2)).bare)
    for bare in bares:
        own = Judge(bare, judge.gel_arrays, judge.limits)
        stacks = pareto_candidates(own, choice)
        found.append(stacks[rank(own, stacks, own.outcomes(stacks))])
    rows = np.concatenate(found)
    _, first = np.unique(rows, axis=0, return_index=True)
    return np.asarray(rows[np.sort(first)])
