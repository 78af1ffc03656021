"""A source made ready for its plan: what it reads, what counts of that, and the light its gels pass."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ...model import Accuracy, Limits, Refused, Source, Target
from ...model.basis.base import name_key
from ...model.sets.behind import read_behind
from ..after_hanging.left_out import left_out
from ..answer.gel_was_on import gel_was_on
from ..answer.key_limit import limited
from ..learned.light_lost import PassedLight, light_passed
from ..learned.light_now import CHANGED, LightNow, light_now
from ..learned.posterior import white_fitted
from ..learned.sheet_strength import StrengthRead, strengths_read
from ..learned.taken import changed_words
from ..readings.chromaticity import WhitePoint, whites_of
from ..readings.dim_curve import InUse
from ..readings.dim_levels import as_used, in_use_each
from ..readings.target import as_meant, white_of
from ..readings.tested import MovedTest, moved_test
from ..stacks.bare_behind_gels import seen_there, worked_out
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


def ready(source: Source, white: WhitePoint, gel_arrays: GelArrays, limits: Limits) -> ReadySource:
    """Make one source ready to be brought to a white."""
    [found] = ready_each([(source, moved_test(source))], white, gel_arrays, limits)
    return found


def ready_each(
    asked: Sequence[tuple[Source, MovedTest | None]],
    white: WhitePoint,
    gel_arrays: GelArrays,
    limits: Limits,
) -> list[ReadySource]:
    """Make sources, each with its test if it has one, ready to be brought to a white, each by itself."""
    sources, uses = [source for source, _ in asked], _used_each(asked, gel_arrays)
    heads = _described_each(sources, uses, gel_arrays.ladder)
    bares = prepare_each(list(zip(sources, uses, strict=True)), gel_arrays, white)
    return [
        ReadySource(replace(head, problems=tuple(bare.problems)))
        if isinstance(bare, Refused)
        else _told(source, head, bare, gel_arrays, limits)
        for source, head, bare in zip(sources, heads, bares, strict=True)
    ]


def dims_kept(readied: Sequence[ReadySource], gel_arrays: GelArrays) -> list[ReadySource]:
    """Return sources on which the ND and scrims of what was decided stay, whatever is changed for the colour.

    They hang for the light, and move no colour: only who asks for another light takes them off. Where a limit
    over the key says how much light is to go, the ranking chooses them.
    """
    return [
        replace(one, bare=replace(one.bare, keep=keep)) if one.bare and keep != one.bare.keep else one
        for one, keep in ((one, _kept_for_light(one.bare, gel_arrays)) for one in readied)
    ]


def _kept_for_light(bare: PreparedSource | None, gel_arrays: GelArrays) -> tuple[int, ...]:
    if bare is None or bare.source.work is None or limited(bare):
        return bare.keep if bare else ()
    try:
        decided = Counter(gel_arrays.find(bare.source.work.gels))
    except Refused:  # a gel of it is no longer in the table
        return bare.keep
    decided.subtract(bare.keep)
    dims = [gel for gel in decided.elements() if gel_arrays.dimming[gel]]
    return (*bare.keep, *dims)


def _used_each(asked: Sequence[tuple[Source, MovedTest | None]], gel_arrays: GelArrays) -> list[InUse | None]:
    return [
        _worked_out(source, gel_arrays) if isinstance(use, Refused) else seen_there(source, use, gel_arrays)
        for (source, _), use in zip(asked, in_use_each(asked), strict=True)
    ]


def _worked_out(source: Source, gel_arrays: GelArrays) -> InUse | None:
    """Return what a source reads that was only ever read behind gels; None of any other."""
    try:
        return None if source.reading.said else worked_out(source, gel_arrays)
    except Refused:
        return None


def _told(
    source: Source, head: PlannedSource, bare: PreparedSource, gel_arrays: GelArrays, limits: Limits
) -> ReadySource:
    """Add what the readings behind gels tell of a source, and of the gels."""
    if was_on := gel_was_on(source, bare.wanted, limits, gel_arrays):
        head = replace(head, gel_on=was_on)
    if source.work is None and not any(reading.gels for reading in source.readings):
        return ReadySource(head, bare)
    accuracy = limits.accuracy
    try:
        bare = replace(bare, left_out=left_out(bare, limits, gel_arrays))
        if now := light_now(source, bare, gel_arrays, accuracy):
            head, bare = replace(_since(now, gel_arrays.ladder), gel_on=was_on), now.bare
        if not was_on and (note := changed_words(bare.source, accuracy)):
            head = replace(head, bare_changed=note)
    except Refused as no:
        return ReadySource(replace(head, problems=tuple(no.problems)))
    strengths = strengths_read(bare, gel_arrays, accuracy)
    return ReadySource(head, bare, light_passed(bare, gel_arrays, accuracy), strengths)


def white_by_now(
    target: Target,
    moved: Sequence[tuple[Source, MovedTest | None]],
    readied: Callable[[int, WhitePoint], ReadySource],
    gel_arrays: GelArrays,
    accuracy: Accuracy,
) -> WhitePoint:
    """Return the white that `target` means among sources, each with its test if it has one.

    Where no bare reading says what the light of the source is that it matches, as where that changed since,
    it is the light that the readings behind its gels tell, from which its stacks are predicted: bare, that
    source is on the target. One whose dials were set is as it was read so, or as it was read last, where they
    were turned since. `readied` makes the source of an index ready to be brought to a white. Raises Refused
    as `white_of` does.
    """
    white = white_of(target, [_as_set(source) for source, _ in moved])
    if target.source is None:
        return white
    key = name_key(target.source)
    for i, (source, _) in enumerate(moved):
        if read_behind(source) and name_key(source.name) == key:
            # What it reads by now does not depend on where it is wanted.
            matched = readied(i, white)
            if matched.bare and matched.bare.source.reach is None:
                return as_meant(target, white_fitted(matched.bare, gel_arrays, accuracy))
    return white


def _as_set(source: Source) -> Source:
    """Return a head whose dials are set, without gel, as it was read so; any other as it is.

    Its newest reading may be of another setting: what teaches the dials is no light that anybody matches.
    """
    work = source.work
    found = work.read_turned or work.read_behind if work and work.hangs and not work.gels else None
    return source if found is None or source.reach is None else source.model_copy(update={"reading": found})


def unready(source: Source, ladder: Ladder) -> PlannedSource:
    """Return a head as it is described where there is nothing to bring it to."""
    [use] = in_use_each([(source, moved_test(source))])
    [head] = _described_each([source], [None if isinstance(use, Refused) else use], ladder)
    return head


def _since(now: LightNow, ladder: Ladder) -> PlannedSource:
    """Return a head whose light changed, with what was read since."""
    [head] = _described_each([now.change.source], [now.use], ladder)
    return replace(head, changed=now.change, notes=(*head.notes, CHANGED))


def _described_each(
    sources: Sequence[Source], uses: Sequence[InUse | None], ladder: Ladder
) -> list[PlannedSource]:
    """Return heads by what they read as they are used; None where that is not known."""
    found = whites_of([use.reading for use in uses if use])
    said = iter(words.against_loci_each([white for white in found if white], ladder))
    whites = iter(found)
    heads = []
    for source, use in zip(sources, uses, strict=True):
        if use is None:
            heads.append(PlannedSource(source))
        elif (white := next(whites)) is None:
            heads.append(PlannedSource(use.source or as_used(source, use)))
        else:
            read = use.reading in (source.reading, *source.readings) and use.reading.tested_at is None
            loci = tuple(next(said).values())
            used = use.source or as_used(source, use)
            heads.append(PlannedSource(used, white, loci, notes=use.notes, worked_out=not read))
    return heads
