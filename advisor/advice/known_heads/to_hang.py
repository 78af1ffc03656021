"""What to hang on a tested head at each of its readings: by the ranking of stacks, against a white.

A head is held against the CCT that it is sold as, or that its dials say. Where nobody said, it is the nearer
of the two whites that heads are sold as: common practice, no source.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from ...colour.observer.loci import MIRED_K
from ...model import (
    Gel,
    HeadReading,
    HeadSetup,
    Kind,
    KnownHead,
    Limits,
    Locus,
    Reading,
    Refused,
    Seen,
    Setting,
    Source,
    StackAdvice,
    Target,
)
from ...model.sets.target import DAYLIGHT_FROM
from ..answer.advise import advise_on
from ..readings.chromaticity import WhitePoint
from ..readings.target import white_of
from ..stacks.gel_arrays import GelArrays, gel_arrays_of
from ..stacks.prediction import PreparedSource, prepare
from ..wording.unread_dials import beyond_read

SOLD_AS = (3200.0, 5600.0)
"""The CCTs that heads are sold as. [K]"""


@dataclass(frozen=True)
class ToHang:
    """The best stack for a head: its gels by name, none where it stays bare, and what the eye makes of it.

    `dial` is how its dials are to be set, None where they stay; `beyond` says that it was read at none so far
    (`beyond_read`).
    """

    gels: tuple[str, ...]
    seen: Seen
    dial: Setting | None = None
    beyond: str = ""


def nominal_cct(head: KnownHead, setup: HeadSetup, full: WhitePoint) -> float:
    """Return the CCT [K] that a head is held against when it is set up so and reads `full`."""
    if setup.dial:
        return setup.dial.cct
    return head.nominal or min(SOLD_AS, key=lambda cct: abs(MIRED_K / cct - full.mired))


def whites_at(cct: float) -> dict[Locus, Target]:
    """Return the white of a CCT [K] on each locus that reaches to it."""
    return {
        locus: Target(cct=cct, locus=locus)
        for locus in Locus
        if locus is Locus.PLANCKIAN or cct >= DAYLIGHT_FROM
    }


def to_hang(
    kind: Kind, readings: Sequence[HeadReading], target: Target, gels: Sequence[Gel]
) -> list[ToHang | None]:
    """Return the best stack of `gels` for a head of a kind at each reading; None where none can be said."""
    gel_arrays = gel_arrays_of(tuple(gels))
    white = white_of(target, [])
    bares = [_prepared(kind, reading, gel_arrays, white) for reading in readings]
    return _best(bares, gel_arrays)


def to_turn(head: KnownHead, readings: Sequence[Reading], target: Target) -> ToHang | None:
    """Return the dials that alone bring an adjustable head close to a target; None where they do not."""
    found = to_match(head, readings, white_of(target, []), ())
    return found if found and found.seen in (Seen.MATCHES, Seen.CLOSE) else None


def to_match(
    head: KnownHead, readings: Sequence[Reading], white: WhitePoint, gels: Sequence[Gel]
) -> ToHang | None:
    """Return the gels, or the dials within their range, that bring a head to the white of another.

    The last of its `readings`, by its dials where it has some, is how it stands. Dials come before gel where
    they bring it within the tolerance. None where nothing can be said.
    """
    gel_arrays = gel_arrays_of(tuple(gels))
    *others, now = readings
    for likely in dict.fromkeys((head.kind, Kind.UNKNOWN)):
        with suppress(Refused):
            source = Source(name="head", kind=likely, reading=now, readings=others, reach=head.reach)
            [found] = _best([prepare(source, gel_arrays, white)], gel_arrays)
            if found is None or found.dial is None:
                return found
            return replace(found, beyond=beyond_read(found.dial, [r.dial for r in readings if r.dial]))
    return None


def _best(bares: Sequence[PreparedSource | None], gel_arrays: GelArrays) -> list[ToHang | None]:
    found: list[ToHang | None] = [None] * len(bares)
    indices = [k for k, bare in enumerate(bares) if bare is not None]
    with suppress(Refused):
        asked = [bare for bare in bares if bare is not None]
        answers = advise_on(asked, Limits(), gel_arrays).answers
        for k, bare, answer in zip(indices, asked, answers, strict=True):
            best = _dials_first(answer.stacks)
            dial = best.dial if best.dial != bare.source.reading.dial else None
            found[k] = ToHang(tuple(best.gels), best.miss.seen, dial)
    return found


def _dials_first(stacks: Sequence[StackAdvice]) -> StackAdvice:
    """Return the first that the dials alone bring close, else the first of all."""
    turned = (stack for stack in stacks if not stack.gels and stack.miss.seen in (Seen.MATCHES, Seen.CLOSE))
    return next(turned, stacks[0]) if any(stack.dial for stack in stacks) else stacks[0]


def colour_of(reading: HeadReading) -> Reading:
    """Return what a reading says of colour alone: how the head stood and its light change no stack.

    Where Ra was read, Rf and Rg are left out: they tell nearly the same, and take a fifth of a second.
    """
    left_out = {"level", "modifier", "dial", "watts", "lux", "gels_checked", "taken_at"}
    left_out |= {"rf", "rg"} if reading.ra is not None else set()
    return Reading.model_validate(reading.model_dump(exclude=left_out))


def _prepared(
    kind: Kind, reading: HeadReading, gel_arrays: GelArrays, white: WhitePoint
) -> PreparedSource | None:
    """Prepare a head; one that reads as no head of its kind can is taken as one of no known kind."""
    for likely in dict.fromkeys((kind, Kind.UNKNOWN)):
        with suppress(Refused):
            source = Source(name="head", kind=likely, reading=colour_of(reading))
            return prepare(source, gel_arrays, white)
    return None
