"""How a plan is made: advice on every source that can be advised on, and of the others why not."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from ...model import (
    Gel,
    Limits,
    Locus,
    Refused,
    Source,
    SourceAdvice,
    StackAdvice,
    Target,
)
from ...model.basis.problems import within
from ..after_hanging.dials_first import dials_before_gel
from ..after_hanging.left_out import left_out
from ..answer.advise import advise_on, predict_stack
from ..learned.light_lost import as_light_was_read
from ..learned.light_now import CHANGED, LightNow, light_now
from ..learned.taken import changed_words
from ..readings.chromaticity import WhitePoint, measure
from ..readings.dim_levels import InUse, in_use
from ..readings.target import locus_duv, white_of
from ..readings.tested import as_moved
from ..stacks.bare_behind_gels import worked_out
from ..stacks.gel_arrays import GelArrays, gel_arrays_of
from ..stacks.prediction import PreparedSource, prepare
from ..wording import words
from ..wording.ladder import Ladder, ladder_of
from .decided import with_decided
from .head import PlannedSource
from .out_of_reach import out_of_reach
from .plan import Plan


def make_plan(
    sources: Sequence[Source],
    target: Target,
    limits: Limits,
    gels: Sequence[Gel],
) -> Plan:
    """Advise on every source that can be advised on, and say of the others why not."""
    ladder, sources = ladder_of(gels), [as_moved(source) for source in sources]
    uses = [_in_use(source) for source in sources]
    heads = [_described(source, use, ladder) for source, use in zip(sources, uses, strict=True)]
    try:
        with within("target"):
            white = white_of(target, list(sources))
        with within("gels"):
            gel_arrays = gel_arrays_of(tuple(gels))
    except Refused as no:
        return Plan(tuple(heads), problems=tuple(no.problems), limits=limits, ladder=ladder)
    bares: dict[int, PreparedSource] = {}
    for i, source in enumerate(sources):
        try:
            if not source.reading.said:
                uses[i] = worked_out(source, gel_arrays)
                heads[i] = _described(source, uses[i], ladder)
            bare = prepare(source, gel_arrays, white, uses[i])
            bares[i] = replace(bare, left_out=left_out(bare, limits, gel_arrays))
            if now := light_now(source, bares[i], gel_arrays, limits.accuracy):
                heads[i], bares[i] = _since(now, ladder), now.bare
            if note := changed_words(bares[i].source, limits.accuracy):
                heads[i] = replace(heads[i], notes=(*heads[i].notes, note))
        except Refused as no:
            heads[i] = replace(heads[i], problems=tuple(no.problems))
    gel_arrays = as_light_was_read(gel_arrays, list(bares.values()), limits.accuracy)
    try:
        advised = advise_on(list(bares.values()), limits, gel_arrays)
    except Refused as no:
        return Plan(tuple(heads), white, tuple(no.problems), gel_arrays, limits, ladder, bares)
    bares = dict(zip(bares, advised.bares, strict=True))
    for (i, bare), advice in zip(bares.items(), advised.answers, strict=True):
        tolerance, leave = limits.tolerance_of(bare.source), bare.source.aim.leave
        beyond = out_of_reach(advice, tolerance, leave=leave)
        ungelled = _ungelled(bare, advice, limits, gel_arrays) if beyond else None
        first = dials_before_gel(advice.stacks, bare.source.keep, tolerance)
        dialled = first if bare.source.reach and first is not advice.stacks[0] else None
        head = replace(heads[i], advice=advice, beyond=beyond, ungelled=ungelled, dialled=dialled)
        head = replace(head, left_out=bare.left_out)
        heads[i] = with_decided(head, bare, limits, gel_arrays)
    return Plan(tuple(heads), white, (), gel_arrays, limits, ladder, bares)


def _since(now: LightNow, ladder: Ladder) -> PlannedSource:
    """Return a head whose light changed, with what was read since."""
    head = replace(_described(now.change.source, now.use, ladder), changed=now.change)
    return replace(head, notes=(*head.notes, CHANGED))


def _ungelled(
    bare: PreparedSource, answer: SourceAdvice, limits: Limits, gel_arrays: GelArrays
) -> StackAdvice:
    """Return a head with no more on it than it keeps, its dials where they bring it nearest."""
    kept = Counter(gel_arrays.names[i] for i in bare.keep)
    alone = [stack for stack in answer.stacks if stack.dial and Counter(stack.gels) == kept]
    if alone:
        return min(alone, key=lambda stack: stack.miss.steps)
    return predict_stack(bare, limits, gel_arrays, list(kept.elements()))


def _in_use(source: Source) -> InUse | None:
    try:
        return in_use(source)
    except Refused:
        return None


def _described(source: Source, use: InUse | None, ladder: Ladder) -> PlannedSource:
    if use is None:
        return PlannedSource(source)
    as_used = source.model_copy(update={"reading": use.reading})
    try:
        white = measure(use.reading)
    except Refused:
        return PlannedSource(as_used)
    read = use.reading in (source.reading, *source.readings) and use.reading.tested_at is None
    return PlannedSource(as_used, white, describe(white, ladder), notes=use.notes, worked_out=not read)


def describe(white: WhitePoint, ladder: Ladder) -> tuple[str, ...]:
    """Say where a white lies against the Planckian and, where that reaches, the daylight locus."""
    return tuple(
        words.against_locus(white.duv, duv, locus, ladder)
        for locus in Locus
        if (duv := locus_duv(white.cct, locus)) is not None
    )
