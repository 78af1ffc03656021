"""Of all the stacks on a source, those worth showing, best first."""

from collections.abc import Sequence

import numpy as np

from ..colour.data import Array
from ..model import Limits
from .candidates import candidates, choice_of
from .judge import Judge
from .prediction import Bare, Outcomes
from .rack import Rack
from .ranking import as_one, pareto
from .stacks import NONE, Indices


def fronts(bares: Sequence[Bare], limits: Limits, rack: Rack) -> list[tuple[Indices, Outcomes]]:
    """Return for each source the stacks that no other beats, (f, w), in the order of their cost."""
    choices = [choice_of(bare, limits, rack) for bare in bares]
    judges = [Judge(bare, rack, limits.for_source(bare.source)) for bare in bares]
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
    """Return the places of stacks (m, w) that no other beats by its risk (m,), in rising order of cost.

    Of equal cost, the one of fewer layers stands first, then the lighter.
    """
    able = np.flatnonzero(np.isfinite(risk))
    lost, layers = judge.counted(outcomes.passed[able]), (stacks[able] != NONE).sum(axis=1)
    chosen = pareto(risk[able], lost, layers)
    front, lost, layers = able[chosen], lost[chosen], layers[chosen]
    price = as_one(judge.cost(stacks[front], risk[front], outcomes.passed[front]))
    return np.asarray(front[np.lexsort((as_one(lost), layers, price))])
