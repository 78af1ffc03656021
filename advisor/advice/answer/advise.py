"""The whole way from readings to ranked stacks, and to what one stack will do: model in, model out.

For each source, dials with gels (`dials.ranking`) or gels alone (`pareto_fronts`) are ranked. Keys come
first. The others follow, with the ND that keeps them below the key (`key_limit`). Then the stock is shared
out (`sharing`).
"""

from collections.abc import Hashable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import NamedTuple

import numpy as np

from ...model import (
    Accuracy,
    Advice,
    AdviceRequest,
    Allocated,
    Gel,
    Limits,
    Prediction,
    PredictionRequest,
    Refused,
    Role,
    Source,
    SourceAdvice,
    StackAdvice,
    Target,
)
from ...model.basis.base import name_key
from ...model.basis.problems import within
from ...model.sets.behind import found_in_use, read_behind
from ..cost.judge import Judge
from ..dials.ranking import dialled
from ..learned.burnt import OR_THE_LAMP, since_burnt
from ..learned.informed import judges_of, same_of
from ..learned.light_here import lit_here, lit_here_each
from ..learned.light_lost import as_light_was_read, light_passed
from ..learned.light_now import CHANGED, light_now
from ..learned.posterior import white_fitted
from ..learned.sheet_strength import as_strong_as_read, off_their_labels, strengths_read
from ..learned.taken import changed_words
from ..ranking.pareto import pareto_fronts
from ..ranking.report import source_reports, stack_reports
from ..readings.chromaticity import WhitePoint
from ..readings.target import as_meant, white_of
from ..stacks.gel_arrays import GelArrays, gel_arrays_of, revision_of
from ..stacks.kept import Kept
from ..stacks.prediction import PreparedSource, prepare_each
from ..stock.sharing import share
from .key_limit import EVEN, dimmed, limited
from .kind_first import asked_first_each
from .one_stack import predict_one, predict_stack
from .whole_list import told_whole


def advise(request: AdviceRequest, table: Sequence[Gel]) -> Advice:
    """Rank the stacks for every source of a request; `table` serves where the request brings no gels.

    Raises Refused, saying where in the request, for what cannot be measured, matched or searched.
    """
    rows = tuple(table if request.gels is None else request.gels)
    sources = lit_here_each(request.sources)
    with within("gels"):
        gel_arrays = gel_arrays_of(rows)
    with within("target"):
        target = _white_by_now(request.target, sources, gel_arrays, request.accuracy)
    bares, notes = [], []
    prepared = prepare_each([(source, None) for source in sources], gel_arrays, target)
    for i, (source, ready) in enumerate(zip(sources, prepared, strict=True)):
        with within("sources", i):
            bare, said = _as_of_now(source, ready, gel_arrays, request.accuracy)
        bares.append(bare)
        notes.append(said)
    gel_arrays = _as_read(gel_arrays, bares, request.accuracy)
    answers = advise_on(bares, request.limits, gel_arrays).answers
    whole = [told_whole(one, bare, request, gel_arrays) for one, bare in zip(answers, bares, strict=True)]
    noted = zip(whole, notes, strict=True)
    return Advice(
        sources=[one.model_copy(update={"notes": said}) if said else one for one, said in noted],
        gel_table=revision_of(rows),
        target=request.target,
    )


def _white_by_now(
    target: Target, sources: list[Source], gel_arrays: GelArrays, accuracy: Accuracy
) -> WhitePoint:
    """Return the white that a target means: of a source that it matches, by the light that this has by now.

    Pages go by the same (`plan.ready.white_by_now`). Raises Refused as `white_of` does.
    """
    white = white_of(target, sources)
    key = target.source and name_key(target.source)
    matched = next((one for one in sources if key and read_behind(one) and name_key(one.name) == key), None)
    if matched is None:
        return white
    [ready] = prepare_each([(matched, None)], gel_arrays, white)
    if isinstance(ready, Refused):
        return white
    bare, _ = _as_of_now(matched, ready, gel_arrays, accuracy)
    return as_meant(target, white_fitted(bare, gel_arrays, accuracy)) if bare.source.reach is None else white


def _as_read(gel_arrays: GelArrays, bares: Sequence[PreparedSource], accuracy: Accuracy) -> GelArrays:
    """Return the gels as strong, and passing as much light, as was read behind them on all sources."""
    off = off_their_labels(
        [strengths_read(bare, gel_arrays, accuracy) for bare in bares], gel_arrays, accuracy
    )
    gel_arrays = as_strong_as_read(gel_arrays, off, accuracy)
    return as_light_was_read(gel_arrays, [light_passed(bare, gel_arrays, accuracy) for bare in bares])


def _as_of_now(
    source: Source, bare: PreparedSource | Refused, gel_arrays: GelArrays, accuracy: Accuracy
) -> tuple[PreparedSource, list[str]]:
    """Return a source made ready, from what was read since its light changed, and what to say of that."""
    if isinstance(bare, Refused):
        raise bare
    notes = []
    if burnt := since_burnt(source, bare, gel_arrays, accuracy):
        bare = replace(bare, left_out=(*bare.left_out, *burnt))
        notes.append(OR_THE_LAMP)
    if now := light_now(source, bare, gel_arrays, accuracy):
        bare = now.bare
        notes.append(CHANGED)
    if note := changed_words(bare.source, accuracy):
        notes.append(note)
    return bare, notes


class Advised(NamedTuple):
    """Sources as they were ranked, with how far each stands over its limit over the key, and their advice."""

    bares: list[PreparedSource]
    answers: list[SourceAdvice]


def advise_on(
    bares: Sequence[PreparedSource], limits: Limits, gel_arrays: GelArrays, kept: Kept | None = None
) -> Advised:
    """Rank the stacks for sources that were prepared, in their order.

    An adjustable head gets dial settings with its stacks. A source with a limit over the key gets ND for it,
    from what the key gives behind its own stack. If all sources share one stock, the key may not get its
    first choice. Then the sources with a limit are ranked again, and the stock is shared out again, at most
    twice in all. What `kept` has of a source is not worked out again. Raises Refused if the limits name
    something that the table lacks, or leave too much to search.
    """
    ranked = _Ranking(limits, gel_arrays, Kept() if kept is None else kept)
    by_key = any(limited(bare) for bare in bares)
    keys = [i for i, bare in enumerate(bares) if bare.source.role is Role.KEY]
    answers = ranked.of({i: bares[i] for i in keys}) if by_key else {}
    given = [_lux_behind(bares[i], answers[i].stacks[0], limits, gel_arrays) for i in keys] if by_key else []
    bares = dimmed(bares, given)
    answers |= ranked.of({i: bare for i, bare in enumerate(bares) if i not in answers})
    if not limits.share_stock:
        return Advised(bares, [answers[i] for i in range(len(bares))])
    shared = _shared(answers, bares, limits, gel_arrays)
    if by_key:
        again = dimmed(bares, [_lux_behind(bares[i], shared[i].stack, limits, gel_arrays) for i in keys])
        if any(_moved(one, other) for one, other in zip(bares, again, strict=True)):
            bares = again
            answers |= ranked.of({i: bare for i, bare in enumerate(bares) if limited(bare)})
            shared = _shared(answers, bares, limits, gel_arrays)
    in_order = (answers[i].model_copy(update={"allocated": shared[i]}) for i in range(len(bares)))
    return Advised(bares, list(in_order))


def _moved(one: PreparedSource, other: PreparedSource) -> bool:
    """Whether a source is farther from its limit than before, or nearer, by more than a meter can tell."""
    return one.over is not None and other.over is not None and abs(one.over - other.over) > EVEN


class _Ranking:
    """Ranks the stacks of sources, each by itself, but for those that were ranked before."""

    def __init__(self, limits: Limits, gel_arrays: GelArrays, kept: Kept) -> None:
        self._limits, self._gel_arrays, self._kept = limits, gel_arrays, kept
        self._said = limits_key(limits)

    def of(self, bares: Mapping[int, PreparedSource]) -> dict[int, SourceAdvice]:
        """Return the advice on sources, by their indices."""
        indices = list(bares)
        keys: list[Hashable] = [("ranked", bares[i], self._gel_arrays.number, self._said) for i in indices]
        found = self._kept.of_all(keys, partial(self._make, bares, indices), told=True)
        return dict(zip(indices, found, strict=True))

    def _make(
        self, bares: Mapping[int, PreparedSource], indices: Sequence[int], missing: Sequence[int]
    ) -> list[SourceAdvice]:
        made = rank_all({indices[k]: bares[indices[k]] for k in missing}, self._limits, self._gel_arrays)
        return [made[indices[k]] for k in missing]


def limits_key(limits: Limits) -> Hashable:
    """Return what tells limits from others: their text, and what they take of gels that do not say."""
    return limits.model_dump_json(), limits.accuracy.unsaid_percent


def rank_all(
    bares: Mapping[int, PreparedSource], limits: Limits, gel_arrays: GelArrays
) -> dict[int, SourceAdvice]:
    """Rank each source's stacks by itself, by index; how much light it has to lose is in it."""
    dialled_heads = {i: dialled(bare, limits, gel_arrays) for i, bare in bares.items() if bare.source.reach}
    answers = {i: answer for i, answer in dialled_heads.items() if answer is not None}
    gelled = {i: bare for i, bare in bares.items() if i not in answers}
    judges = judges_of(list(gelled.values()), gel_arrays, limits)
    answers |= dict(zip(gelled, _answers(judges), strict=True))
    for i, asks in zip(bares, asked_first_each(list(bares.values())), strict=True):
        if asks:
            answers[i] = answers[i].model_copy(update={"asks": asks})
    return answers


def _lux_behind(
    bare: PreparedSource, advised: StackAdvice, limits: Limits, gel_arrays: GelArrays
) -> float | None:
    """Return what a source gives behind what was decided for it, else behind what is `advised`. [lx]"""
    work = bare.source.work
    if work and (found := found_in_use(bare.source, work).reading) and found.lux:
        return found.lux
    if work:
        with suppress(Refused):
            return predict_stack(bare, limits, gel_arrays, work.gels, work.dial).after.lux
    return advised.after.lux


def _shared(
    answers: Mapping[int, SourceAdvice],
    bares: Sequence[PreparedSource],
    limits: Limits,
    gel_arrays: GelArrays,
) -> dict[int, Allocated]:
    """Say what each source gets of the stock that all share.

    What was decided already, and what goes with a setting of the dials, is taken first.
    """
    shared = {i: has for i, bare in enumerate(bares) if (has := _fixed(bare, answers[i], limits, gel_arrays))}
    rest = [i for i in range(len(bares)) if i not in shared]
    firsts = [gel_arrays.find(answers[i].stacks[0].gels) for i in rest]
    taken = [gel for has in shared.values() for gel in gel_arrays.find(has.stack.gels)]
    parts = share([bares[i] for i in rest], firsts, limits, gel_arrays, taken)
    for i, part in zip(rest, parts, strict=True):
        stack = np.array([part.gels], dtype=np.intp).reshape(1, -1)
        entry = predict_one(bares[i], limits, gel_arrays, stack)
        shared[i] = Allocated(stack=entry, words=part.words)
    return shared


def _fixed(
    bare: PreparedSource, answer: SourceAdvice, limits: Limits, gel_arrays: GelArrays
) -> Allocated | None:
    """Return what a source has, whatever the others need; None where it takes its part of the stock."""
    if work := bare.source.work:
        work = work.instead or work
        with suppress(Refused):
            entry = predict_stack(bare, limits, gel_arrays, work.gels, work.dial)
            return Allocated(stack=entry, words="It was decided already.")
    first = answer.stacks[0]
    return Allocated(stack=first, words="Set on its dials.") if first.dial else None


def _answers(judges: Sequence[Judge]) -> list[SourceAdvice]:
    """Report the stacks of each source that no other beats, by gel alone."""
    ranked = pareto_fronts(judges)
    judges = [one.judge for one in ranked]
    return source_reports(judges, stack_reports(ranked), same_of(judges, [one.sure for one in ranked]))


def predict(request: PredictionRequest, table: Sequence[Gel]) -> StackAdvice:
    """Say what a stack built by hand will do to a source, whether or not it would be ranked."""
    with within("gels"):
        gel_arrays = gel_arrays_of(tuple(table if request.gels is None else request.gels))
    source = lit_here(request.source)
    with within("target"):
        target = _white_by_now(request.target, [source], gel_arrays, request.accuracy)
    with within("source"):
        [ready] = prepare_each([(source, None)], gel_arrays, target)
        bare, notes = _as_of_now(source, ready, gel_arrays, request.accuracy)
    gel_arrays = _as_read(gel_arrays, [bare], request.accuracy)
    entry = predict_stack(bare, request.limits, gel_arrays, request.stack)
    return Prediction(**dict(entry), notes=notes) if notes else entry
