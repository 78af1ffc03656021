"""What was read behind what hangs, at the level and with the modifier in use.

A reading behind gels holds only for the level and the modifier with which it was taken. A lamp that is
dimmed, or gets another modifier, gives another light, and has to be read again.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ...model import Reading, Source, Work
from ...model.sets.behind import (
    Conditions,
    stand_when_hung,
    stood_when_read,
    taken_as_stood,
    with_earlier,
    with_found,
    without_found,
)

__all__ = [
    "Conditions",
    "ReadingBehind",
    "changed",
    "found_in_use",
    "read_at",
    "read_behind",
    "stand_in_use",
    "stand_when_hung",
    "with_earlier",
    "with_found",
    "without_found",
]


@dataclass(frozen=True)
class ReadingBehind:
    """The newest reading behind what hangs that holds for the source as it is used; None where none does.

    If it was read at another level or with another modifier, `again` says in words why to read it again.
    """

    reading: Reading | None
    again: str = ""


def stand_in_use(source: Source) -> Conditions:
    """Return how a source is used. If nobody said at which level, it is that of its reading."""
    level = source.reading.level if source.level is None else source.level
    return Conditions(level, source.modifier_in_use)


def found_in_use(source: Source, work: Work) -> ReadingBehind:
    """Return what was read behind what hangs, for the source as it is used."""
    used = stand_in_use(source)
    for reading, stood in reversed(taken_as_stood(work)):
        if stood.agrees(used):
            return ReadingBehind(reading)
    if work.read_behind is None:
        return ReadingBehind(None)
    was = stood_when_read(work.read_behind, work)
    return ReadingBehind(None, f"Read {was.beside(used)}, used {used.beside(was)}: read it again")


def _only_level(source: Source) -> float | None:
    """Return the level at which a source was read bare; None where that was at several, or nobody said."""
    levels = {reading.level for reading in source.bare_readings}
    return levels.pop() if len(levels) == 1 else None


def read_behind(source: Source, since: int = 0) -> list[Reading]:
    """Return what was read of a source behind any gels, oldest first.

    They are in `source.readings`, from index `since` on, and in its work. If nobody noted the level of a
    reading, it is that of the bare reading before it, or, behind what hangs, that at which the stack was
    hung.
    """
    found, level = [], None
    for place, reading in enumerate(source.readings):
        if not reading.gels:
            level = reading.level
        elif place >= since:
            at = level if level is not None else _only_level(source)
            found.append(reading if reading.level is not None else reading.model_copy(update={"level": at}))
    work = source.work
    if work is None:
        return found
    for reading, stood in taken_as_stood(work):
        behind = reading if reading.gels else reading.model_copy(update={"gels": work.gels})
        if behind.gels and behind not in source.readings:
            level = stood.level
            found.append(behind if level == behind.level else behind.model_copy(update={"level": level}))
    return found


def read_at(source: Source, work: Work, found: Reading) -> list[Reading]:
    """Return what was read behind what hangs, as it stood when something was `found` there, oldest first."""
    stood = stood_when_read(found, work)
    hangs = Counter(work.gels)
    behind = [r for r in read_behind(source) if Counter(r.gels) == hangs]
    return [r for r in behind if stood_when_read(r, work).agrees(stood)]


def same_but_filled_in(one: Reading, other: Reading) -> bool:
    """Whether two readings are one, the level or the gels of which were filled in since."""
    if one.gels and other.gels and one.gels != other.gels:
        return False
    return same_but_level(one.model_copy(update={"gels": other.gels}), other)


def same_but_level(one: Reading, other: Reading) -> bool:
    """Whether two readings are one, the level of which was filled in since."""
    levels = {one.level, other.level}
    alike = one.model_copy(update={"level": other.level}) == other
    return alike and (len(levels) == 1 or None in levels)


def changed(hung: Sequence[str], wanted: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the gels to take off and those to hang, which lead from what hangs to what is wanted."""
    has, wants = Counter(hung), Counter(wanted)
    return tuple((has - wants).elements()), tuple((wants - has).elements())
