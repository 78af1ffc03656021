"""What could hang in the place of what hangs, and which of it is worth its moves.

A stack costs by how much it misses the tolerance, plus half a step for each sheet that comes off or goes on
(`cost.counted.MOVE_IN_STEPS`). So a sheet that keeps a head beyond its tolerance by half a step or less
stays up, were it an eighth of green for no reason: nobody sees half a step, and taking it off is a climb
(common practice, no source). Of equal ones the fewest moves count, and then what ranks first.
So the page of a head and the plans of its set say the same.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import steps_apart, stops
from ...colour.observer.data import Array
from ...model import Limits, StackAdvice
from ..cost.counted import MOVE_IN_STEPS
from ..cost.judge import Judge
from ..learned.informed import judge_of
from ..ranking.candidates import candidates, choice_of
from ..stacks.enumerate import NONE, Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .one_stack import predict_stack

_BRIGHTER = 0.05
"""A stack may leave a source over its limit over the key by no more than this above what hangs. [stop]"""


@dataclass(frozen=True, eq=False)
class Hangable:
    """What may hang on a source: rows of `stacks` (m, w), of which the first is what hangs now.

    `moves` (m,) are the sheets that come off or go on. `uv` (m, 2) is where the light lands; `passed` (m,)
    the share of it that is left. `rest` (m,) [step] is what stacks cost by light, layers and the habits that
    they break.
    """

    stacks: Indices
    moves: NDArray[np.intp]
    uv: Array
    passed: Array
    rest: Array


def hangable(
    judge: Judge, bare: PreparedSource, limits: Limits, gel_arrays: GelArrays, now: list[int], *, fixed: bool
) -> Hangable:
    """Return what may hang on a source in the place of what hangs `now`: nothing else where it is `fixed`."""
    rows = np.empty((0, 0), dtype=np.intp)
    if not fixed:
        [(rows, _)] = candidates([judge], [choice_of(bare, limits, gel_arrays)])
    width = max(rows.shape[1], len(now))
    stacks = np.full((1 + len(rows), width), NONE, dtype=np.intp)
    stacks[0, : len(now)] = now
    stacks[1:, : rows.shape[1]] = rows
    outcomes = judge.outcomes(stacks)
    moves = moves_between(stacks, now)
    allowed = np.ones(len(stacks), dtype=np.bool_)
    if not fixed:
        allowed = _allowed(judge, outcomes.passed) & np.isfinite(outcomes.uv).all(axis=1) & (moves > 0)
        allowed[0] = True
    some = np.flatnonzero(allowed)
    rest = judge.cost(stacks, judge.fussy(stacks), outcomes.passed)
    return Hangable(stacks[some], moves[some], outcomes.uv[some].copy(), outcomes.passed[some], rest[some])


def least(cost: Array, moves: NDArray[np.intp], rest: Array) -> int:
    """Return the row of the least cost; of equal ones the fewest moves, then what ranks first."""
    return int(np.lexsort((rest, moves, cost))[0])


def cost_with_moves(beyond: Array, moves: NDArray[np.intp]) -> Array:
    """Return what it costs to land so far `beyond` the tolerance [step] after so many moves, [step]."""
    return np.asarray(np.round(beyond + MOVE_IN_STEPS * moves, 9), dtype=np.float64)


def fewest_moves(
    bare: PreparedSource, hung: Sequence[str], limits: Limits, gel_arrays: GelArrays
) -> StackAdvice:
    """Return what is worth hanging on a source, where `hung` hangs unread; that itself if no move is.

    Raises Refused for gels that the table lacks.
    """
    judge = judge_of(bare, gel_arrays, limits)
    can = hangable(judge, bare, limits, gel_arrays, sorted(gel_arrays.find(hung)), fixed=False)
    away = np.asarray(steps_apart(can.uv, bare.wanted.uv))
    beyond = np.maximum(away - limits.tolerance_of(bare.source), 0.0)
    best = least(cost_with_moves(beyond, can.moves), can.moves, away + can.rest)
    names = [gel_arrays.names[k] for k in sorted(can.stacks[best].tolist()) if k != NONE]
    return predict_stack(bare, limits, gel_arrays, names)


def moves_between(stacks: Indices, now: list[int]) -> NDArray[np.intp]:
    """Return how many sheets come off or go on (m,) to turn what hangs `now` into stacks (m, w)."""
    layers = (stacks != NONE).sum(axis=1)
    same = sum(
        (np.minimum((stacks == gel).sum(axis=1), count) for gel, count in Counter(now).items()),
        np.zeros(len(stacks), dtype=np.intp),
    )
    return np.asarray(layers + len(now) - 2 * same)


def _allowed(judge: Judge, passed: Array) -> NDArray[np.bool_]:
    """Return which stacks (m,) lose no more light than the limit, and leave no source brighter than now."""
    with np.errstate(divide="ignore"):
        lost = stops(passed)
    least_lost = min(judge.bare.least_stops, float(lost[0])) if isfinite(float(lost[0])) else 0.0
    return np.asarray(judge.affordable(passed) & (lost >= least_lost - _BRIGHTER))
