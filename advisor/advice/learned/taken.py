"""Which readings behind gels say something of a source as it is used.

All that were taken of the same lamp count alike, the oldest as much as the newest. The lamp is another one
where two bare readings differ by more than a meter does: then what was read behind gels before counts no
more. A reading at another dim level lends its shape: how far it was off what was predicted for that level.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...colour.observer.data import Array
from ...model import Accuracy, Reading, Refused, Source
from ...model.basis.base import name_key
from ...model.basis.quantities import tidy
from ..readings.behind_gels import read_behind
from ..readings.chromaticity import WhitePoint, measure
from ..readings.steps import meter_steps
from ..stacks.gel_arrays import GelArrays

_CHANGED, _LEAST_CHANGE = 3.0, 2.0
"""A lamp changed where two bare readings lie so many times the meter's tolerance apart, and at least so many
steps: our judgement."""
_MOST = 40
"""The newest so many readings behind gels count; a lamp that was read more often is known well enough."""


@dataclass(frozen=True, eq=False)
class Taken:
    """What was read behind gels: their places in the gel table, sorted, and the chromaticity `uv` (2,).

    `level` is the dim level [%] at which it was taken where the source is used at another, else None.
    `older` is what the lamp read bare before it changed, where nobody knows which of the two lamps this was
    taken of.
    """

    gels: tuple[int, ...]
    uv: Array
    reading: Reading
    level: float | None = None
    older: Reading | None = None


def taken_behind(
    source: Source, gel_arrays: GelArrays, accuracy: Accuracy, left_out: Sequence[Reading] = ()
) -> tuple[Taken, ...]:
    """Return the readings behind gels that count for a source, of which `reading` is what it reads as used.

    Left out is what cannot count: what is no white, what hung behind gels that the table does not have any
    more, what was taken with another modifier or at other dials, what was taken of a lamp that changed, and
    what is in `left_out`.
    """
    if source.reach:  # its light goes with its dials
        return ()
    used = source.reading
    since, older = changed(source, accuracy)
    found = []
    for reading in read_behind(source, since)[-_MOST:]:
        if reading in left_out:
            continue
        if name_key(reading.modifier) != name_key(used.modifier) or reading.dial not in (None, used.dial):
            continue
        try:
            uv, gels = measure(reading).uv, gel_arrays.find(reading.gels)
        except Refused:
            continue
        away = used.level is not None and reading.level is not None and reading.level != used.level
        level = reading.level if away else None
        found.append(Taken(tuple(sorted(gels)), uv, reading, level, older))
    return tuple(sorted(found, key=_as_it_says))


def _as_it_says(one: Taken) -> tuple[object, ...]:
    """Sort readings by what they say, so that the order in which they came makes no difference."""
    return one.gels, one.level or 0.0, *one.uv.tolist(), one.reading.lux or 0.0


def changed(source: Source, accuracy: Accuracy) -> tuple[int, Reading | None]:
    """Return from which place on its other readings are of the lamp as it is, and what it read bare before.

    That is behind the last bare reading, taken as the one that counts, which differs from that by more than
    the meter explains; 0 and None where none does.
    """
    newest = source.reading
    now = _white(newest)
    for place in range(len(source.readings) - 1, -1, -1):
        reading = source.readings[place]
        was = None if reading.gels or not _taken_alike(reading, newest) else _white(reading)
        if was is None or now is None:
            continue
        most = max(_CHANGED * meter_steps(now, accuracy), _LEAST_CHANGE)
        if float(delta_uv_prime(was.uv, now.uv)) > most * STEP_DELTA_UV:
            return place + 1, reading
    return 0, None


def changed_words(source: Source, accuracy: Accuracy) -> str:
    """Say that a lamp changed since it was read behind gels, and what counts no more; empty if it did not."""
    _, older = changed(source, accuracy)
    was = None if older is None else _white(older)
    if was is None or not any(reading.gels for reading in source.readings):
        return ""
    said = f"The lamp changed: bare it read {tidy(was.cct, 0)} K before."
    return f"{said} What was read behind gels then counts no more."


def _taken_alike(one: Reading, other: Reading) -> bool:
    here, there = ((r.level, name_key(r.modifier), r.dial) for r in (one, other))
    return here == there


def _white(reading: Reading) -> WhitePoint | None:
    try:
        return measure(reading)
    except Refused:
        return None
