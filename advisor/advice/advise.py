"""The whole way from readings to ranked stacks: model in, model out."""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from ..colour.predict import stops
from ..model import Accuracy, Advice, AdviceRequest, Gel, Limits, PredictionRequest, SourceAdvice, StackAdvice
from ..model.problems import within
from .certainty import certainty, ties
from .measure import Whiteness, white_of
from .prediction import Bare, Outcomes, predict_stacks, prepare
from .rack import Rack, rack_of
from .ranking import cost, pareto
from .report import needed, stack_reports
from .search import contenders
from .stacks import NONE, Choice, Indices, allowed_by, choice_on, stacks_on

MOST_PLAIN = 12_000
"""Up to so many stacks, all are predicted; of more, those that the search cannot rule out. Either gives the
same front; below this, going through all of them is no slower."""


def advise(request: AdviceRequest, table: Sequence[Gel]) -> Advice:
    """Rank the stacks for every source of a request; `table` serves where the request brings no gels.

    Raises Refused, with the place in the request, for what cannot be measured, matched or searched.
    """
    with within("gels"):
        rack = rack_of(tuple(table if request.gels is None else request.gels))
    with within("target"):
        target = white_of(request.target, request.sources)
    bares = []
    for i, source in enumerate(request.sources):
        with within("sources", i):
            bares.append(prepare(source, rack))
    return Advice(sources=advise_on(bares, target, request, rack))


def advise_on(bares: Sequence[Bare], target: Whiteness, limits: Limits, rack: Rack) -> list[SourceAdvice]:
    """Rank the stacks for sources that were prepared, in their order.

    Raises Refused where the limits name what the table does not have, or leave too much to search.
    """
    ranked = zip(bares, fronts(bares, target, limits, rack), strict=True)
    return [_answer(bare, rack, *front, target, limits.accuracy) for bare, front in ranked]


def fronts(
    bares: Sequence[Bare], target: Whiteness, limits: Limits, rack: Rack
) -> list[tuple[Indices, Outcomes]]:
    """Return for each source the stacks that no other beats, (f, w), in the order of their cost."""
    allowed = allowed_by(rack, limits)
    choices = [choice_on(rack, bare.keep, limits.max_layers, allowed) for bare in bares]
    found = []
    for stacks, outcomes in _predicted(bares, choices, target, limits, rack):
        front = rank(outcomes, stacks, limits)
        found.append((stacks[front], outcomes.at(front)))
    return found


def _predicted(
    bares: Sequence[Bare], choices: Sequence[Choice], target: Whiteness, limits: Limits, rack: Rack
) -> list[tuple[Indices, Outcomes]]:
    """Return for each source stacks that hold the front, and their outcomes."""
    alike: defaultdict[Choice, list[int]] = defaultdict(list)
    for i, choice in enumerate(choices):
        alike[choice].append(i)
    found: dict[int, tuple[Indices, Outcomes]] = {}
    for choice, places in alike.items():
        if choice.count <= MOST_PLAIN:
            stacks = stacks_on(rack, choice)
            group = predict_stacks([bares[i] for i in places], rack, stacks, target)
            found.update((i, (stacks, outcomes)) for i, outcomes in zip(places, group, strict=True))
            continue
        for i in places:
            stacks = contenders(bares[i], rack, choice, target, limits.max_stops)
            [outcomes] = predict_stacks([bares[i]], rack, stacks, target)
            found[i] = stacks, outcomes
    return [found[i] for i in range(len(bares))]


def _answer(
    bare: Bare, rack: Rack, stacks: Indices, outcomes: Outcomes, target: Whiteness, accuracy: Accuracy
) -> SourceAdvice:
    """Report ranked stacks (f, w), those that cannot be told apart with the lighter first."""
    sure = certainty(bare, rack, stacks, outcomes, target, accuracy)
    reports = stack_reports(bare, rack, stacks, outcomes, sure.steps, target)
    groups = ties(sure, bare.ensemble.weights, [(r.stops, r.layers) for r in reports])
    return SourceAdvice(
        name=bare.source.name,
        needed=needed(bare.white, target),
        stacks=[reports[k] for group in groups for k in group],
        ties=[len(group) for group in groups],
    )


def predict(request: PredictionRequest, table: Sequence[Gel]) -> StackAdvice:
    """Say what a stack built by hand will do to a source, whether or not it would be ranked."""
    with within("gels"):
        rack = rack_of(tuple(table if request.gels is None else request.gels))
    with within("target"):
        target = white_of(request.target, [request.source])
    with within("source"):
        bare = prepare(request.source, rack)
    with within("stack"):
        stack = np.array([rack.find(request.stack)], dtype=np.intp).reshape(1, -1)
    return predict_one(bare, target, request.accuracy, rack, stack)


def predict_one(bare: Bare, target: Whiteness, accuracy: Accuracy, rack: Rack, stack: Indices) -> StackAdvice:
    """Predict a single stack, (1, w) indices into the rack."""
    [outcomes] = predict_stacks([bare], rack, stack, target)
    sure = certainty(bare, rack, stack, outcomes, target, accuracy)
    return stack_reports(bare, rack, stack, outcomes, sure.steps, target)[0]


def rank(outcomes: Outcomes, stacks: Indices, limits: Limits) -> Indices:
    """Return the places of the stacks worth showing, best first.

    The first stack, with nothing added, takes part whatever light it costs.
    """
    lost, layers = stops(outcomes.passed), (stacks != NONE).sum(axis=1)
    affordable = np.arange(len(stacks))
    if limits.max_stops is not None:
        affordable = np.flatnonzero((lost <= limits.max_stops) | (affordable == 0))
    front = affordable[pareto(outcomes.steps[affordable], lost[affordable], layers[affordable])]
    order = np.argsort(
        cost(outcomes.steps[front], lost[front], layers[front], limits.tolerance_steps).round(9),
        kind="stable",
    )
    return front[order]
