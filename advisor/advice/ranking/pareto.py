"""The stacks on a source that are worth showing, best first."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import stops
from ...colour.observer.data import Array
from ..cost.counted import MARGIN, affordable, cheapest_first, cost, counted_loss, pareto, tenths
from ..cost.judge import Judge, at_least_of, closer_of, risks_of, sure_of
from ..learned.informed import Informed, certainty_each
from ..stacks.enumerate import NONE, Indices
from ..stacks.prediction import Outcomes, light_due, outcomes_at
from ..stacks.uncertainty import Certainty
from .candidates import candidates, choices_for

_CHUNK = 64
"""Stacks of a source judged in the first round; each later round judges twice as many."""


class Ranked(NamedTuple):
    """Stacks (f, w) of one source, who judges them, what they do to it, and how certain that is.

    `risk` (f,) [step] is theirs, None where nobody worked it out yet.
    """

    judge: Judge
    stacks: Indices
    outcomes: Outcomes
    sure: Certainty
    risk: Array | None = None


def pareto_fronts(judges: Sequence[Judge]) -> list[Ranked]:
    """Return for each source the stacks that no other beats, in the order of their cost.

    What was read of a source is among them.
    """
    asked = judged(judges, candidates(judges, choices_for(judges)))
    fronts = [ordered(one.judge, one.stacks, one.counted, one.risk) for one in asked]
    sures = certainty_each(judges, [one.stacks for one in asked], fronts)
    outcomes = outcomes_at([one.outcomes for one in asked], fronts)
    return [
        Ranked(one.judge, one.stacks[front], found, sure, one.risk[front])
        for one, front, found, sure in zip(asked, fronts, outcomes, sures, strict=True)
    ]


def rank(judge: Judge, stacks: Indices, outcomes: Outcomes) -> Indices:
    """Return the indices of the stacks worth showing, best first.

    The first stack, with nothing added, takes part whatever light it costs; one that lets no light through
    takes no part. The light that has to be lost costs nothing.
    """
    [one] = judged([judge], [(stacks, outcomes)])
    return ordered(one.judge, one.stacks, one.counted, one.risk)


def judged(judges: Sequence[Judge], found: Sequence[tuple[Indices, Outcomes]]) -> "list[JudgedStacks]":
    """Return the stacks (m, w) of each source with the risk of those that may be on its front."""
    if not judges:
        return []
    sizes = [len(stacks) for stacks, _ in found]
    lost = stops(np.concatenate([outcomes.passed for _, outcomes in found]))
    least, due, just = light_due([judge.bare for judge in judges], sizes)
    counted, ends = counted_loss(lost, due, just), np.cumsum(sizes)[:-1]
    parts = zip(judges, found, np.split(lost - least, ends), np.split(counted, ends), strict=True)
    asked = [JudgedStacks(judge, *one, over, counts) for judge, one, over, counts in parts]
    plain = [one for one in asked if not isinstance(one.judge, Informed)]
    _judge(plain)
    for one in asked:
        if isinstance(one.judge, Informed):
            one.risk = one.judge.risks(one.stacks, one.outcomes)
    return asked


class JudgedStacks:
    """Stacks (m, w) of one source and what is known of each, (m,).

    `over` [stop] is the light lost beyond what has to be, `counted` [stop] the loss that counts, `risk`
    [step] infinite where a stack is not judged.
    """

    def __init__(
        self, judge: Judge, stacks: Indices, outcomes: Outcomes, over: Array, counted: Array
    ) -> None:
        self.judge, self.stacks, self.outcomes = judge, stacks, outcomes
        self.over, self.counted = over, counted
        self.risk = np.full(len(stacks), np.inf)


def _rounds(asked: Sequence[JudgedStacks]) -> "list[_Round]":
    """Return what is to judge of each source."""
    if not asked:
        return []
    sizes = [len(one.stacks) for one in asked]
    bounds = at_least_of(
        [one.judge for one in asked], [one.stacks for one in asked], [one.outcomes for one in asked]
    )
    layers = np.concatenate([(one.stacks != NONE).sum(axis=1) for one in asked])
    lost = tenths(np.concatenate([one.counted for one in asked]))
    price = cost(np.concatenate(bounds), lost, layers)
    most = [np.inf if one.judge.limits.max_stops is None else one.judge.limits.max_stops for one in asked]
    able = affordable(np.concatenate([one.over for one in asked]), np.repeat(most, sizes))
    ends = np.cumsum(sizes)[:-1]
    most_wanted = zip(np.split(price, ends), np.split(able, ends), strict=True)
    each = zip(asked, bounds, np.split(lost, ends), np.split(layers, ends), most_wanted, strict=True)
    return [_Round(one, bound, loses, holds, *cheap) for one, bound, loses, holds, cheap in each]


class _Round:
    """What is left to judge of one source, the most promising first, and what it has to beat.

    It is given, (m,) each, for its stacks: the lower bound of the risk [step], the loss of light that counts
    in whole tenths [stop], the layers, the least cost [step], and whether they are within the limit of light.
    """

    def __init__(
        self,
        asked: JudgedStacks,
        bound: Array,
        lost: Array,
        layers: NDArray[np.intp],
        price: Array,
        able: NDArray[np.bool_],
    ) -> None:
        self.asked, self.bound, self.lost, self.layers = asked, bound, lost, layers
        order = np.argsort(price, kind="stable")
        self.order = order[np.isfinite(bound[order]) & (able[order] | (order == 0))]
        self.known = _Least()

    def beaten(self, indices: Indices, bound: Array) -> Indices:
        """Return those of some indices that a judged stack does not surely beat, by their lower bounds."""
        return indices[~self.known.beats(bound, self.lost[indices], self.layers[indices])]

    def learn(self, indices: Indices, risk: Array) -> None:
        """Take in what stacks are judged to risk, and drop what they beat."""
        self.asked.risk[indices] = risk
        self.known.add(risk, self.lost[indices], self.layers[indices])
        self.order = self.beaten(self.order, self.bound[self.order])


class _Least:
    """The least risk that is known for each loss of light and number of layers."""

    def __init__(self) -> None:
        self._known = np.empty((0, 3))

    def add(self, risk: Array, lost: Array, layers: NDArray[np.intp]) -> None:
        """Take in stacks by their risk, the light that counts and their layers, (m,) each."""
        rows = np.concatenate([self._known, np.stack([risk, lost, layers], axis=1)])
        self._known = rows[pareto(rows[:, 0], rows[:, 1], rows[:, 2].astype(np.intp))]

    def beats(self, risk: Array, lost: Array, layers: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Return where a known stack surely beats every stack of at least this risk, loss and layers."""
        known = self._known
        fits = (known[:, 1] <= lost[:, None] + MARGIN) & (known[:, 2] <= layers[:, None])
        least = np.where(fits, known[:, 0], np.inf).min(axis=1, initial=np.inf)
        return np.asarray(~(risk <= least + MARGIN))


def _judge(asked: Sequence[JudgedStacks]) -> None:
    """Set the risk of those stacks of each source that may be on its front, of all sources together.

    A stack is left out where one that was judged surely beats it: its risk is below this stack's bound, and
    it has no more loss of light that counts and no more layers. The first stack is always judged.
    """
    rounds = _rounds(asked)
    left, size = [one for one in rounds if len(one.order)], _CHUNK
    while left:
        judges, here = [one.asked.judge for one in left], [one.order[:size] for one in left]
        stacks = [one.asked.stacks[rows] for one, rows in zip(left, here, strict=True)]
        uv = [one.asked.outcomes.uv[rows] for one, rows in zip(left, here, strict=True)]
        for one in left:
            one.order = one.order[size:]
        bounds = closer_of(judges, stacks, uv)
        here = [one.beaten(rows, bound) for one, rows, bound in zip(left, here, bounds, strict=True)]
        for one, rows, risk in zip(left, here, _risks(left, here), strict=True):
            one.learn(rows, risk)
        left, size = [one for one in left if len(one.order)], size * 2
    bare = [one for one in rounds if np.isfinite(one.bound[:1]).all() and not np.isfinite(one.asked.risk[0])]
    if bare:
        first = np.arange(1)
        for one, risk in zip(bare, _risks(bare, [first] * len(bare)), strict=True):
            one.asked.risk[first] = risk


def _risks(left: Sequence[_Round], rows: Sequence[Indices]) -> list[Array]:
    judges = [one.asked.judge for one in left]
    stacks = [one.asked.stacks[some] for one, some in zip(left, rows, strict=True)]
    return risks_of(judges, stacks, sure_of(judges, stacks))


def ordered(judge: Judge, stacks: Indices, counted: Array, risk: Array) -> Indices:
    """Return the rows of stacks (m, w) that no other beats, given their risk (m,), in rising order of cost.

    `counted` (m,) [stop] is the loss of light that counts. At equal cost, fewer layers come first, then less
    light lost. Of a source that was read behind gels, what was read counts too (`Informed.ordered`).
    """
    if isinstance(judge, Informed):
        return judge.ordered(stacks, counted, risk)
    able = np.flatnonzero(np.isfinite(risk))
    layers = (stacks[able] != NONE).sum(axis=1)
    return np.asarray(able[cheapest_first(risk[able], counted[able], layers)])
