"""The whole way from readings to ranked stacks, and to what one stack will do: model in, model out.

In this order: ND for limits over the key (`dimming`); for each source its dials (`dial`) or gels alone
(`fronts`); then one stock for all (`sharing`).
"""

from collections.abc import Sequence
from contextlib import suppress

import numpy as np

from ..model import (
    Accuracy,
    Advice,
    AdviceRequest,
    Allocated,
    Gel,
    Limits,
    PredictionRequest,
    Refused,
    Setting,
    SourceAdvice,
    StackAdvice,
)
from ..model.problems import within
from .certainty import certainty
from .dial import dialled, predict_dialled
from .dimming import dimmed
from .fronts import fronts
from .prediction import Bare, Outcomes, lets_through, predict_stacks, prepare
from .rack import Rack, rack_of
from .report import source_report, stack_reports
from .sharing import share
from .stacks import Indices
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

    An adjustable head gets settings of its dials with its stacks; a source that may not stand too far over
    the key gets ND. Raises Refused where the limits name what the table does not have, or leave too much to
    search.
    """
    bares = dimmed(bares, lambda bare: _lux_behind(bare, limits, rack))
    answers = _ranked(bares, limits, rack)
    return _shared(answers, bares, limits, rack) if limits.share_stock else answers


def _ranked(bares: Sequence[Bare], limits: Limits, rack: Rack) -> list[SourceAdvice]:
    answers = {i: dialled(bare, limits, rack) for i, bare in enumerate(bares) if bare.source.reach}
    gelled = [(i, bare) for i, bare in enumerate(bares) if answers.get(i) is None]
    ranked = zip(gelled, fronts([bare for _, bare in gelled], limits, rack), strict=True)
    answers.update((i, _answer(bare, rack, *front, limits.accuracy)) for (i, bare), front in ranked)
    return [answer for i in range(len(bares)) if (answer := answers[i])]


def _lux_behind(bare: Bare, limits: Limits, rack: Rack) -> float | None:
    """Return what a source gives behind what was decided for it, else behind its first choice. [lx]"""
    work = bare.source.work
    if work and work.found and work.found.lux:
        return work.found.lux
    if work:
        with suppress(Refused):
            return predict_stack(bare, limits.accuracy, rack, work.gels, work.dial).after.lux
    [answer] = _ranked([bare], limits, rack)
    return answer.stacks[0].after.lux


def _shared(
    answers: list[SourceAdvice], bares: Sequence[Bare], limits: Limits, rack: Rack
) -> list[SourceAdvice]:
    """Say in each answer what the source gets of the stock that all share.

    What was decided already, and what goes with a setting of the dials, is taken first.
    """
    fixed = {i: has for i, bare in enumerate(bares) if (has := _fixed(bare, answers[i], limits, rack))}
    rest = [i for i in range(len(bares)) if i not in fixed]
    firsts = [rack.find(answers[i].stacks[0].gels) for i in rest]
    taken = [gel for has in fixed.values() for gel in rack.find(has.stack.gels)]
    parts = share([bares[i] for i in rest], firsts, limits, rack, taken)
    shared = dict(fixed)
    for i, part in zip(rest, parts, strict=True):
        stack = np.array([part.gels], dtype=np.intp).reshape(1, -1)
        entry = predict_one(bares[i], limits.accuracy, rack, stack)
        shared[i] = Allocated(stack=entry, words=part.words)
    return [answer.model_copy(update={"allocated": shared[i]}) for i, answer in enumerate(answers)]


def _fixed(bare: Bare, answer: SourceAdvice, limits: Limits, rack: Rack) -> Allocated | None:
    """Return what a source has, whatever the others need; None where it takes its part of the stock."""
    if work := bare.source.work:
        with suppress(Refused):
            entry = predict_stack(bare, limits.accuracy, rack, work.gels, work.dial)
            return Allocated(stack=entry, words="Decided already.")
    first = answer.stacks[0]
    return Allocated(stack=first, words="Set on its dials.") if first.dial else None


def _answer(bare: Bare, rack: Rack, stacks: Indices, outcomes: Outcomes, accuracy: Accuracy) -> SourceAdvice:
    """Report ranked stacks (f, w), those that cannot be told apart with the lighter first."""
    sure = certainty(bare, rack, stacks, outcomes, accuracy)
    reports = stack_reports(bare, rack, stacks, outcomes, sure.steps)
    return source_report(bare, reports, sure)


def predict(request: PredictionRequest, table: Sequence[Gel]) -> StackAdvice:
    """Say what a stack built by hand will do to a source, whether or not it would be ranked."""
    with within("gels"):
        rack = rack_of(tuple(table if request.gels is None else request.gels))
    with within("target"):
        target = white_of(request.target, [request.source])
    with within("source"):
        bare = prepare(request.source, rack, target)
    return predict_stack(bare, request.accuracy, rack, request.stack)


def predict_stack(
    bare: Bare, accuracy: Accuracy, rack: Rack, gels: Sequence[str], dial: Setting | None = None
) -> StackAdvice:
    """Predict gels by name, and a setting of the dials if one is given.

    Raises Refused for either, and for gels that let no light through.
    """
    with within("stack"):
        places = rack.find(gels)
        lets_through(bare.ensemble, rack, places)
    stack = np.array([places], dtype=np.intp).reshape(1, -1)
    if dial is None:
        return predict_one(bare, accuracy, rack, stack)
    return predict_dialled(bare, accuracy, rack, stack, dial)


def predict_one(bare: Bare, accuracy: Accuracy, rack: Rack, stack: Indices) -> StackAdvice:
    """Predict a single stack, (1, w) indices into the rack."""
    [outcomes] = predict_stacks([bare], rack, stack)
    sure = certainty(bare, rack, stack, outcomes, accuracy)
    return stack_reports(bare, rack, stack, outcomes, sure.steps)[0]
