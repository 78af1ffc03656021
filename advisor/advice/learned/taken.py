"""Which readings behind gels count for a source as it is used now.

All readings of the same lamp count the same, old or new. If two bare readings differ by more than a meter
does, the lamp changed, and readings behind gels from before count no more. A reading at another dim level
counts by how far it was from the prediction for that level.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...colour.observer.data import Array
from ...model import Accuracy, Kind, Reading, Refused, Source, Work
from ...model.basis.base import name_key, name_keys
from ...model.basis.quantities import tidy
from ...model.sets.behind import read_behind, same_but_level
from ..readings.chromaticity import WhitePoint, measure, whites_of
from ..readings.steps import meter_steps
from ..stacks.gel_arrays import GelArrays

_CHANGED, _LEAST_CHANGE = 3.0, 2.0
"""A light changed if two readings of it differ by more than both: this many times the meter's tolerance, and
this many steps. Our judgement."""
_SKY_MOVED = 3.0
"""Daylight moves, so less tells that it did: two readings of it by one meter that differ by more. [step] A
meter repeats within a third of that. Our judgement."""
OTHER_BULB = 4.0
"""Nothing moves a bulb at one level so far between two bare readings of one meter. [step] Our judgement."""
_MOST = 40
"""The most readings behind gels that count, the newest ones: they tell enough of a lamp."""


@dataclass(frozen=True, eq=False)
class Taken:
    """What was read behind gels: their indices in the gel table, sorted, and the chromaticity `uv` (2,).

    `level` is its dim level [%] if the source is now used at another level, else None. `older` is what the
    lamp read bare before it changed, if nobody knows whether this reading is from before or after.
    """

    gels: tuple[int, ...]
    uv: Array
    reading: Reading
    level: float | None = None
    older: Reading | None = None


def taken_behind(
    source: Source, gel_arrays: GelArrays, accuracy: Accuracy, left_out: Sequence[Reading] = ()
) -> tuple[Taken, ...]:
    """Return the readings behind gels that count for a source, whose `reading` is as it is used.

    A reading does not count if it is no white, or is in `left_out`. Nor does it if its gels are no longer in
    the table, if it had another modifier or other dials, or if the lamp has changed since.
    """
    if source.reach:  # its light goes with its dials
        return ()
    behind = read_behind(source)
    if not behind:  # there may be very many bare ones, which need not be compared
        return ()
    used = source.reading
    since, older = changed(source, accuracy)
    newest = _since_bare(source)
    found = []
    behind = (read_behind(source, since) if since else behind)[-_MOST:]
    modifier, *modifiers = name_keys([used.modifier, *(reading.modifier for reading in behind)])
    for reading, other in zip(behind, modifiers, strict=True):
        if reading in left_out:
            continue
        if other != modifier or reading.dial not in (None, used.dial):
            continue
        try:
            uv, gels = measure(reading).uv, gel_arrays.find(reading.gels)
        except Refused:
            continue
        away = used.level is not None and reading.level is not None and reading.level != used.level
        level = reading.level if away else None
        before = None if newest is not None and same_but_level(reading, newest) else older
        found.append(Taken(tuple(sorted(gels)), uv, reading, level, before))
    return tuple(sorted(found, key=_as_it_says))


def _since_bare(source: Source) -> Reading | None:
    """Return the newest reading behind what hangs, if it was taken after the bare one that counts."""
    work = source.work
    if work is None or work.read_behind is None or work.read_bare != source.reading:
        return None
    return work.read_behind.model_copy(update={"gels": work.read_behind.gels or work.gels})


def _as_it_says(one: Taken) -> tuple[object, ...]:
    """Sort readings by what they say, so that the order in which they came makes no difference."""
    return one.gels, one.level or 0.0, *one.uv.tolist(), one.reading.lux or 0.0


def changed(source: Source, accuracy: Accuracy) -> tuple[int, Reading | None]:
    """Return where in `source.readings` those of the present lamp begin, and what it read bare before that.

    They begin after the last bare reading that differs from the present one by more than the meter explains.
    Only bare readings with the same level, modifier and dials are compared, none from the test of a head.
    0 and None where none differs.
    """
    newest, earlier = source.reading, source.readings
    alike = [
        k
        for k, reading in enumerate(earlier)
        if not (reading.gels or reading.tested_at) and _taken_alike(reading, newest)
    ]
    if not alike:
        return 0, None
    *before, now = whites_of([*(earlier[k] for k in alike), newest])
    for k, was in zip(reversed(alike), reversed(before), strict=True):
        if was is not None and now is not None and _of_two(was, now, accuracy, source.kind):
            return k + 1, earlier[k]
    return 0, None


def other_lamp(source: Source, then: Reading, accuracy: Accuracy) -> bool:
    """Whether a source that is no daylight reads bare as another lamp than the one that read `then` bare.

    It has to be set up alike. What was read behind the gels of then tells nothing of it.
    """
    if source.kind is Kind.DAYLIGHT or source.reach or not _taken_alike(then, source.reading):
        return False
    was, now = whites_of([then, source.reading])
    return was is not None and now is not None and _of_two(was, now, accuracy, source.kind)


def _of_two(was: WhitePoint, now: WhitePoint, accuracy: Accuracy, kind: Kind) -> bool:
    """Whether two bare readings, set up alike, are of two lights."""
    if kind is Kind.TUNGSTEN and float(delta_uv_prime(was.uv, now.uv)) > OTHER_BULB * STEP_DELTA_UV:
        return True
    return differ(was, now, accuracy, kind)


def differ(was: WhitePoint, now: WhitePoint, accuracy: Accuracy, kind: Kind | None = None) -> bool:
    """Whether two readings of one light, of a `kind`, differ by more than the meter explains: it changed."""
    most = max(_CHANGED * meter_steps(now, accuracy), _LEAST_CHANGE)
    if kind is Kind.DAYLIGHT:
        most = min(most, _SKY_MOVED)
    return float(delta_uv_prime(was.uv, now.uv)) > most * STEP_DELTA_UV


def lit_otherwise(source: Source, then: Reading, accuracy: Accuracy) -> bool:
    """Whether a source, set up alike, reads bare as another light than when it read `then`, of any kind."""
    now = source.reading
    if then == now or not _taken_alike(then, now):
        return False
    was, is_now = whites_of([then, now])
    return was is not None and is_now is not None and differ(was, is_now, accuracy, source.kind)


def as_lit_now(work: Work, source: Source, accuracy: Accuracy) -> Work:
    """Return the work on a source as what is read behind it from now on finds it.

    Where the bare reading that counts says that the light changed since it was hung, that reading goes with
    what is read next. What was predicted when it was hung then says nothing of it. Daylight moves all the
    time, in its amount too, so any later bare reading of it counts so.
    """
    then, now = work.read_bare, source.reading
    if source.reach or then is None or then == now or not _taken_alike(then, now):
        return work
    was, is_now = whites_of([then, now])
    if was is None or is_now is None:
        return work
    if source.kind is not Kind.DAYLIGHT and not differ(was, is_now, accuracy):
        return work
    return work.model_copy(update={"read_bare": now, "predicted": None})


def changed_words(source: Source, accuracy: Accuracy) -> str:
    """Say that a lamp changed since it was read behind gels, and what no longer counts; else empty."""
    _, older = changed(source, accuracy)
    [was] = [None] if older is None else whites_of([older])
    if was is None or not any(reading.gels for reading in source.readings):
        return ""
    light = "daylight" if source.kind is Kind.DAYLIGHT else "lamp"
    said = f"The {light} changed: bare, it read {tidy(was.cct, 0)} K before."
    return f"{said} Readings behind gels from then no longer count."


def _taken_alike(one: Reading, other: Reading) -> bool:
    here, there = ((r.level, name_key(r.modifier), r.dial) for r in (one, other))
    return here == there
