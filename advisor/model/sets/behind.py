"""The readings behind gels: those kept with the work, and which of them hold for the source as it is used.

A lamp that is dimmed, or gets another modifier, gives another light. So each reading keeps its conditions,
holds for these alone, and has to be taken again in others.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import isclose

from ..basis.quantities import tidy
from .reading import Reading
from .source import Source
from .work import MAX_EARLIER, Work

_SAME_PLACE = 0.01
"""A stand that is this share of its distance elsewhere was not moved: nobody places one more closely."""


def as_far_as(one: float, other: float) -> bool:
    """Whether two places of a stand, in times of its first distance, are one."""
    return isclose(one, other, rel_tol=_SAME_PLACE)


@dataclass(frozen=True)
class Conditions:
    """The dim level [%] of a source, None where nobody said, and its modifier; empty where there is none.

    `as_far` is how many times as far it stands as where it was first read.
    """

    level: float | None
    modifier: str
    as_far: float = 1.0

    def agrees(self, other: "Conditions") -> bool:
        """Whether the two may be the same. A level that nobody noted may be any."""
        return self._same_level(other) and self._same_modifier(other) and self.same_place(other)

    def same_place(self, other: "Conditions") -> bool:
        """Whether the head was not moved between the two."""
        return as_far_as(self.as_far, other.as_far)

    def beside(self, other: "Conditions") -> str:
        """Say what of this one may differ from the other: “at 40 %”, “with softbox”."""
        known = other.level is not None and self._same_level(other)
        parts = [] if known or self.level is None else [f"at {tidy(self.level)} %"]
        if not self._same_modifier(other):
            parts.append(f"with {self.modifier}" if self.modifier else "without a modifier")
        return " ".join(parts)

    def _same_level(self, other: "Conditions") -> bool:
        return self.level is None or other.level is None or isclose(self.level, other.level)

    def _same_modifier(self, other: "Conditions") -> bool:
        return self.modifier.casefold() == other.modifier.casefold()


def stand_when_hung(work: Work) -> Conditions | None:
    """Return how the source stood when its stack was predicted; None where nobody knows."""
    return conditions_of(work.read_bare) if work.read_bare else None


def conditions_of(reading: Reading) -> Conditions:
    """Return how a source stood when it was read, as far as the reading says."""
    return Conditions(reading.level, reading.modifier, reading.as_far)


def with_found(work: Work, reading: Reading) -> Work:
    """Return the work with a new reading behind it. Readings in other conditions are kept as earlier ones."""
    fresh = stood_when_read(reading, work)
    kept = [r for r in taken(work) if not stood_when_read(r, work).agrees(fresh)]
    found = {"read_behind": reading, "read_elsewhere": kept[-MAX_EARLIER:], "read_turned": None}
    return work.model_copy(update=found)


def with_earlier(work: Work, reading: Reading) -> Work:
    """Return the work with a reading behind it that was taken before the newest one.

    It is kept only if there is no newer one in the same conditions.
    """
    own = stood_when_read(reading, work)
    newer = taken(work)
    if any(stood_when_read(r, work).agrees(own) for r in newer):
        return work
    return work.model_copy(update={"read_elsewhere": [reading, *work.read_elsewhere][-MAX_EARLIER:]})


def without_found(work: Work) -> Work:
    """Return the work with no newest reading behind it: that one joins the earlier readings."""
    return work.model_copy(update={"read_behind": None, "read_elsewhere": taken(work)[-MAX_EARLIER:]})


def taken(work: Work) -> list[Reading]:
    """Return all that was read behind a stack, the newest last."""
    return [*work.read_elsewhere, *([work.read_behind] if work.read_behind else [])]


def taken_as_stood(work: Work) -> list[tuple[Reading, Conditions]]:
    """Return all that was read behind a stack, the newest last, each with its conditions."""
    return [(reading, stood_when_read(reading, work)) for reading in taken(work)]


def stood_when_read(reading: Reading, work: Work) -> Conditions:
    """Return the conditions of a reading. A level that was not noted is that at which the stack was hung."""
    hung = stand_when_hung(work)
    level = hung.level if reading.level is None and hung else reading.level
    return Conditions(level, reading.modifier, reading.as_far)


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
    return Conditions(level, source.modifier_in_use, source.stands_as_far)


def found_in_use(source: Source, work: Work) -> ReadingBehind:
    """Return what was read behind what hangs, for the source as it is used."""
    return found_as(stand_in_use(source), work)


def found_as(used: Conditions, work: Work) -> ReadingBehind:
    """Return what was read behind what hangs, for a source that is used so."""
    for reading, stood in reversed(taken_as_stood(work)):
        if stood.agrees(used):
            return ReadingBehind(reading)
    if work.read_behind is None:
        return ReadingBehind(None)
    was = stood_when_read(work.read_behind, work)
    if not was.same_place(used) and not was.beside(used):
        return ReadingBehind(None, "Read before it was moved: read it again")
    return ReadingBehind(None, f"Read {was.beside(used)}, used {used.beside(was)}: read it again")


def _only_level(source: Source) -> float | None:
    """Return the level at which a source was read bare; None where that was at several, or nobody said."""
    levels = {reading.level for reading in source.bare_readings}
    return levels.pop() if len(levels) == 1 else None


def read_behind(source: Source, since: int = 0) -> list[Reading]:
    """Return what was read of a source behind any gels, oldest first.

    They are in `source.readings`, from index `since` on, and in its work. If nobody noted the level of a
    reading, it is that of the bare reading before it, or, behind what hangs, that at which the stack was
    hung. What was read behind gel that had burnt is left out.
    """
    found, level = [], None
    for index, reading in enumerate(source.readings):
        if not reading.gels:
            level = reading.level
        elif index >= since and not reading.gel_burnt:
            at = level if level is not None else _only_level(source)
            found.append(reading if reading.level is not None else reading.model_copy(update={"level": at}))
    work = source.work
    if work is None:
        return found
    for reading, stood in taken_as_stood(work):
        behind = reading if reading.gels else reading.model_copy(update={"gels": work.gels})
        if behind.gels and not behind.gel_burnt and behind not in source.readings:
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


def changed_each(
    hung: Sequence[str], wanted: Sequence[Sequence[str]]
) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Return for each stack that is wanted what `changed` says."""
    return [changed(hung, gels) for gels in wanted]


def changed(hung: Sequence[str], wanted: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the gels to take off and those to hang, which lead from what hangs to what is wanted."""
    has, wants = Counter(hung), Counter(wanted)
    return tuple((has - wants).elements()), tuple((wants - has).elements())
