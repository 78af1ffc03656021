"""The light of a source for where its stand is now.

A stand that was moved since a reading gives another light than was read. It goes by the inverse square of the
distance, which holds for a head that is small beside it (from memory). So the light is about right until
somebody meters it there. Each reading keeps where it was taken (`Reading.as_far`); only its lux is told for
here.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import log2

from ...model import Predicted, Reading, Refused, Source, Work
from ...model.sets.behind import as_far_as, conditions_of, found_in_use, stand_in_use
from ...model.sets.source import places_of
from ..readings.chromaticity import held
from ..readings.dim_levels import in_use

_FITS = 0.3
"""Within so many stops a reading is as bright as was told for where a stand was to go. Our judgement."""
_NEARER = 0.3
"""So many stops nearer it has to be to that than to the light of where it stood. Our judgement."""


def lit_here_each(sources: Sequence[Source]) -> list[Source]:
    """Return sources, each as `lit_here` does."""
    return [_lit_at_place(source, here) for source, here in zip(sources, places_of(sources), strict=True)]


def lit_here(source: Source) -> Source:
    """Return a source with the light of its readings told for where it stands; as it is if all is from there.

    One whose light is told for here already stays so.
    """
    return lit_here_each([source])[0]


def _lit_at_place(source: Source, here: float) -> Source:
    work = source.work
    fresh = {
        "reading": lit_at(source.reading, here),
        "readings": [lit_at(reading, here) for reading in source.readings],
        "work": work and _work_told(work, here),
    }
    changed = {name: value for name, value in fresh.items() if value != getattr(source, name)}
    return source.model_copy(update=changed) if changed else source


def read_here(source: Source, reading: Reading) -> bool:
    """Whether the light of a reading was read where its source stands now."""
    return as_far_as(reading.as_far, source.stands_as_far)


def by_distance(source: Source) -> bool:
    """Whether the light of a source is told for where it stands, from another place where it was read."""
    return source.reading.lux is not None and not read_here(source, source.reading)


def unread_here(source: Source) -> bool:
    """Whether a source was moved, and nothing that counts was read of it since."""
    behind = [source.work.read_behind, *source.work.read_elsewhere] if source.work else []
    taken = [source.reading, *source.readings, *(reading for reading in behind if reading)]
    said = [reading for reading in taken if reading.said]
    return bool(said) and not any(read_here(source, reading) for reading in said)


def predicted_here(source: Source, predicted: Predicted) -> Predicted:
    """Return what was predicted, without its light where that was predicted for another place."""
    if as_far_as(predicted.as_far, source.stands_as_far):
        return predicted
    return predicted.model_copy(update={"lux": None, "as_far": source.stands_as_far})


def fits_move(source: Source, readings: Sequence[Reading]) -> bool:
    """Whether new readings are of where their stand is to go: as bright as there, and plainly not as here.

    Each of them whose light can be compared has to be, and one at least.
    """
    stand = source.stand
    if stand is None or stand.done:
        return False
    pairs = [(reading.lux, _lux_here(source, reading)) for reading in readings]
    return bool(off := [log2(lux / here) for lux, here in pairs if lux and here]) and all(
        _is_there(one, 2.0 * log2(stand.times)) for one in off
    )


def _is_there(off_here: float, nearer: float) -> bool:
    """Whether a light so much brighter than here [stop] is that of a place told to be `-nearer` brighter."""
    off_there = abs(off_here + nearer)
    return off_there <= _FITS and abs(off_here) - off_there >= _NEARER


def _lux_here(source: Source, reading: Reading) -> float | None:
    """Return what a source gives where it stands, as it was read; None where nobody knows."""
    lit, used = lit_here(source), stand_in_use(source)
    if not replace(conditions_of(reading), as_far=used.as_far).agrees(used):
        return None
    work = lit.work if lit.work and lit.work.hangs else None
    if work and sorted(work.gels) == sorted(reading.gels):
        found, predicted = found_in_use(lit, work).reading, work.predicted
        if found and found.lux:
            return found.lux
        return predicted_here(lit, predicted).lux if predicted else None
    try:
        return None if reading.gels else in_use(lit).reading.lux
    except Refused:
        return None


def as_filed(source: Source, used: Reading) -> Reading:
    """Return a reading in use as the source itself has it, where it is that one with the light of another."""
    own = source.reading
    light = {"lux": own.lux, "as_far": own.as_far, "lux_as_far": own.lux_as_far}
    return own if used.model_copy(update=light) == own else used


def lit_at(reading: Reading, here: float) -> Reading:
    """Return a reading with its light told for `here`, in times of its head's first distance."""
    told_for = reading.lux_as_far or reading.as_far
    if reading.lux is None or told_for == here:
        return reading
    lux = held(reading.lux * (told_for / here) ** 2)
    return reading.model_copy(update={"lux": lux, "lux_as_far": here})


def as_metered(reading: Reading) -> Reading:
    """Return a reading with its light as the meter showed it, whatever place that is told for."""
    return lit_at(reading, reading.as_far)


def _work_told(work: Work, here: float) -> Work:
    one = {name: getattr(work, name) for name in ("read_bare", "read_behind", "read_day_before")}
    fresh: dict[str, object] = {name: r and lit_at(r, here) for name, r in one.items()}
    fresh["read_elsewhere"] = [lit_at(reading, here) for reading in work.read_elsewhere]
    fresh["instead"] = work.instead and _work_told(work.instead, here)
    return work.model_copy(update=fresh)
