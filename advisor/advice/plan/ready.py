"""A source made ready for its plan: what it reads, what counts of that, and the light its gels pass."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...model import Limits, Refused, Source
from ..after_hanging.left_out import left_out
from ..learned.light_lost import PassedLight, light_passed
from ..learned.light_now import CHANGED, LightNow, light_now
from ..learned.sheet_strength import StrengthRead, strengths_read
from ..learned.taken import changed_words
from ..readings.chromaticity import WhitePoint, measure
from ..readings.dim_levels import InUse, in_use
from ..stacks.bare_behind_gels import worked_out
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, prepare_each
from ..wording import words
from ..wording.ladder import Ladder
from .head import PlannedSource


@dataclass(frozen=True, eq=False)
class ReadySource:
    """A head before it is ranked, and what is predicted from: None where the head has problems instead.

    `passed` is what its readings tell of the light that gels let through, `strengths` of how strong gels are.
    """

    head: PlannedSource
    bare: PreparedSource | None = None
    passed: tuple[PassedLight, ...] = ()
    strengths: tuple[StrengthRead, ...] = ()


def ready_each(
    sources: Sequence[Source], white: WhitePoint, gel_arrays: GelArrays, limits: Limits
) -> list[ReadySource]:
    """Make sources ready to be brought to a white, each by itself."""
    uses = [_used(source, gel_arrays) for source in sources]
    heads = [_described(*one, gel_arrays.ladder) for one in zip(sources, uses, strict=True)]
    bares = prepare_each(list(zip(sources, uses, strict=True)), gel_arrays, white)
    return [
        ReadySource(replace(head, problems=tuple(bare.problems)))
        if isinstance(bare, Refused)
        else _told(source, head, bare, gel_arrays, limits)
        for source, head, bare in zip(sources, heads, bares, strict=True)
    ]


def _used(source: Source, gel_arrays: GelArrays) -> InUse | None:
    try:
        return in_use(source) if source.reading.said else worked_out(source, gel_arrays)
    except Refused:
        return None


def _told(
    source: Source, head: PlannedSource, bare: PreparedSource, gel_arrays: GelArrays, limits: Limits
) -> ReadySource:
    """Add what the readings behind gels tell of a source, and of the gels."""
    if source.work is None and not any(reading.gels for reading in source.readings):
        return ReadySource(head, bare)
    accuracy = limits.accuracy
    try:
        bare = replace(bare, left_out=left_out(bare, limits, gel_arrays))
        if now := light_now(source, bare, gel_arrays, accuracy):
            head, bare = _since(now, gel_arrays.ladder), now.bare
        if note := changed_words(bare.source, accuracy):
            head = replace(head, bare_changed=note)
    except Refused as no:
        return ReadySource(replace(head, problems=tuple(no.problems)))
    strengths = strengths_read(bare, gel_arrays, accuracy)
    return ReadySource(head, bare, light_passed(bare, gel_arrays, accuracy), strengths)


def unready(source: Source, ladder: Ladder) -> PlannedSource:
    """Return a head as it is described where there is nothing to bring it to."""
    return _described(source, _in_use(source), ladder)


def _since(now: LightNow, ladder: Ladder) -> PlannedSource:
    """Return a head whose light changed, with what was read since."""
    head = replace(_described(now.change.source, now.use, ladder), changed=now.change)
    return replace(head, notes=(*head.notes, CHANGED))


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
    loci = tuple(words.against_loci(white, ladder).values())
    return PlannedSource(as_used, white, loci, notes=use.notes, worked_out=not read)
