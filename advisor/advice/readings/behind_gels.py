"""What was read behind what hangs, at the level and with the modifier in use.

A reading behind gels belongs to the level and the modifier at which it was taken: a lamp that is dimmed, or
gets another modifier, is another light, so that it is to be read again there.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ...model import Reading, Source, Work
from ...model.sets.behind import (
    Conditions,
    stand_when_hung,
    stood_when_read,
    taken,
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

    `again` says in words why it has to be read again, where it was read otherwise than it is used.
    """

    reading: Reading | None
    again: str = ""


def stand_in_use(source: Source) -> Conditions:
    """Return how a source is used; where nobody said at which level, as its reading was taken."""
    level = source.reading.level if source.level is None else source.level
    return Conditions(level, source.modifier_in_use)


def found_in_use(source: Source, work: Work) -> ReadingBehind:
    """Return what was read behind what hangs, for the source as it is used."""
    used = stand_in_use(source)
    for reading in reversed(taken(work)):
        if stood_when_read(reading, work).agrees(used):
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

    That is in its other readings, from the place `since` on, and in its work. A reading of which nobody noted
    the level was taken at that of the bare one before it; one behind what hangs, at that of the hanging.
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
    for reading in taken(work):
        behind = reading.model_copy(update={"gels": reading.gels or work.gels})
        if behind.gels and behind not in source.readings:
            found.append(behind.model_copy(update={"level": stood_when_read(reading, work).level}))
    return found


def read_at(source: Source, work: Work, found: Reading) -> list[Reading]:
    """Return what was read behind what hangs, as it stood when something was `found` there, oldest first."""
    stood = stood_when_read(found, work)
    hangs = Counter(work.gels)
    behind = [r for r in read_behind(source) if Counter(r.gels) == hangs]
    return [r for r in behind if stood_when_read(r, work).agrees(stood)]


def same_but_level(one: Reading, other: Reading) -> bool:
    """Whether two readings are one, the level of which was filled in since."""
    levels = {one.level, other.level}
    alike = one.model_copy(update={"level": other.level}) == other
    return alike and (len(levels) == 1 or None in levels)


def changed(hung: Sequence[str], wanted: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the gels to take off and those to hang, which lead from what hangs to what is wanted."""
    has, wants = Counter(hung), Counter(wanted)
    return tuple((has - wants).elements()), tuple((wants - has).elements())
