"""The stacks on a source that are worth showing, best first."""

from collections.abc import Sequence

import numpy as np

from ...colour.observer.data import Array
from ..cost.counted import merge_ties, pareto
from ..cost.judge import Judge
from ..stacks.enumerate import NONE, Indices
from ..stacks.prediction import Outcomes
from .candidates import candidates, choice_of


def pareto_fronts(judges: Sequence[Judge]) -> list[tuple[Indices, Outcomes]]:
    """Return for each source the stacks that no other beats, (f, w), in the order of their cost.

    What was read of a source is among them.
    """
    choices = [choice_of(judge.bare, judge.limits, judge.gel_arrays) for judge in judges]
    found = []
    for judge, (stacks, outcomes) in zip(judges, candidates(judges, choices), strict=True):
        front = rank(judge, stacks, outcomes)
        found.append((stacks[front], outcomes.at(front)))
    return found


def rank(judge: Judge, stacks: Indices, outcomes: Outcomes) -> Indices:
    """Return the places of the stacks worth showing, best first.

    The first stack, with nothing added, takes part whatever light it costs; one that lets no light through
    takes no part. The light that has to be lost costs nothing.
    """
    return ordered(judge, stacks, outcomes, judge.risks(stacks, outcomes))


def ordered(judge: Judge, stacks: Indices, outcomes: Outcomes, risk: Array) -> Indices:
    """Return the rows of stacks (m, w) that no other beats, given their risk (m,), in rising order of cost.

    Stacks that were read are shown, beaten or not. If what hangs is known and was read, moves count in place
    of layers. Then the list has the best stack for each number of moves, as long as it is worth its moves. At
    equal cost, fewer layers come first, then less light lost.
    """
    able = np.flatnonzero(np.isfinite(risk))
    lost, layers = judge.counted(outcomes.passed[able]), (stacks[able] != NONE).sum(axis=1)
    price = judge.cost(stacks[able], risk[able], outcomes.passed[able])
    beats = judge.beats_by(stacks[able], risk[able])
    shown = np.isin(able, list(judge.read(stacks)))
    front = np.union1d(pareto(beats, lost, judge.work(stacks[able])), np.flatnonzero(shown))
    shown[front] |= judge.worth_listing(stacks[able[front]], beats[front], lost[front])
    shown[np.argmin(price)] = True
    best, lost, layers, price = able[shown], lost[shown], layers[shown], merge_ties(price[shown])
    return np.asarray(best[np.lexsort((merge_ties(lost), layers, price))])
