"""The whole way from readings to ranked stacks: model in, model out."""

from collections.abc import Sequence

import numpy as np

from ..colour.predict import stops
from ..model import (
    Accuracy,
    Advice,
    AdviceRequest,
    Allocated,
    Gel,
    Limits,
    PredictionRequest,
    SourceAdvice,
    StackAdvice,
)
from ..model.problems import within
from .candidates import candidates, choice_of
from .certainty import certainty, ties
from .prediction import Bare, Outcomes, predict_stacks, prepare
from .rack import Rack, rack_of
from .ranking import cost, pareto
from .report import needed, stack_reports
from .sharing import share
from .stacks import NONE, Indices, allowed_by
from .target import white_of


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
            bares.append(prepare(source, rack, target))
    return Advice(sources=advise_on(bares, request, rack))


def advise_on(bares: Sequence[Bare], limits: Limits, rack: Rack) -> list[SourceAdvice]:
    """Rank the stacks for sources that were prepared, in their order.

    Raises Refused where the limits name what the table does not have, or leave too much to search.
    """
    ranked = zip(bares, fronts(bares, limits, rack), strict=True)
    answers = [_answer(bare, rack, *front, limits.accuracy) for bare, front in ranked]
    return _shared(answers, bares, limits, rack) if limits.share_stock else answers


def _shared(
    answers: list[SourceAdvice], bares: Sequence[Bare], limits: Limits, rack: Rack
) -> list[SourceAdvice]:
    """Say in each answer what the source gets of the stock that all share."""
    firsts = [rack.find(answer.stacks[0].gels) for answer in answers]
    shared = []
    for answer, bare, part in zip(answers, bares, share(bares, firsts, limits, rack), strict=True):
        stack = np.array([part.gels], dtype=np.intp).reshape(1, -1)
        entry = predict_one(bare, limits.accuracy, rack, stack)
        shared.append(answer.model_copy(update={"allocated": Allocated(stack=entry, words=part.words)}))
    return shared


def fronts(bares: Sequence[Bare], limits: Limits, rack: Rack) -> list[tuple[Indices, Outcomes]]:
    """Return for each source the stacks that no other beats, (f, w), in the order of their cost."""
    allowed = allowed_by(rack, limits)
    choices = [choice_of(bare, limits, allowed, rack) for bare in bares]
    found = []
    for stacks, outcomes in candidates(bares, choices, limits.max_stops, rack):
        front = rank(outcomes, stacks, limits)
        found.append((stacks[front], outcomes.at(front)))
    return found


def _answer(bare: Bare, rack: Rack, stacks: Indices, outcomes: Outcomes, accuracy: Accuracy) -> SourceAdvice:
    """Report ranked stacks (f, w), those that cannot be told apart with the lighter first."""
    sure = certainty(bare, rack, stacks, outcomes, accuracy)
    reports = stack_reports(bare, rack, stacks, outcomes, sure.steps)
    groups = ties(sure, bare.ensemble.weights, [(r.stops, r.layers) for r in reports])
    return SourceAdvice(
        name=bare.source.name,
        needed=needed(bare),
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
        bare = prepare(request.source, rack, target)
    with within("stack"):
        stack = np.array([rack.find(request.stack)], dtype=np.intp).reshape(1, -1)
    return predict_one(bare, request.accuracy, rack, stack)


def predict_one(bare: Bare, accuracy: Accuracy, rack: Rack, stack: Indices) -> StackAdvice:
    """Predict a single stack, (1, w) indices into the rack."""
    [outcomes] = predict_stacks([bare], rack, stack)
    sure = certainty(bare, rack, stack, outcomes, accuracy)
    return stack_reports(bare, rack, stack, outcomes, sure.steps)[0]


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
