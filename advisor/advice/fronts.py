"""Of all the stacks on a source, those worth showing, best first."""

from collections.abc import Sequence

import numpy as np

from ..colour.predict import stops
from ..model import Limits
from .candidates import candidates, choice_of
from .prediction import Bare, Outcomes
from .rack import Rack
from .ranking import affordable, as_one, cost, pareto, spent
from .stacks import NONE, Indices


def fronts(bares: Sequence[Bare], limits: Limits, rack: Rack) -> list[tuple[Indices, Outcomes]]:
    """Return for each source the stacks that no other beats, (f, w), in the order of their cost."""
    choices = [choice_of(bare, limits, rack) for bare in bares]
    found = []
    found_each = candidates(bares, choices, limits.max_stops, rack)
    for bare, (stacks, outcomes) in zip(bares, found_each, strict=True):
        front = rank(outcomes, stacks, limits.for_source(bare.source), bare.least_stops)
        found.append((stacks[front], outcomes.at(front)))
    return found


def rank(outcomes: Outcomes, stacks: Indices, limits: Limits, least_stops: float) -> Indices:
    """Return the places of the stacks worth showing, best first.

    The first stack, with nothing added, takes part whatever light it costs; one that lets no light through
    takes no part. The `least_stops` that have to be lost cost nothing.
    """
    lost, layers = stops(outcomes.passed), (stacks != NONE).sum(axis=1)
    counted = spent(lost, least_stops)
    able: Indices = np.flatnonzero(np.isfinite(outcomes.steps))
    able = able[affordable(lost[able] - least_stops, limits.max_stops) | (able == 0)]
    front = able[pareto(outcomes.steps[able], counted[able], layers[able])]
    price = cost(outcomes.steps[front], counted[front], layers[front], limits.tolerance_steps)
    order = np.argsort(as_one(price), kind="stable")
    return np.asarray(front[order])
