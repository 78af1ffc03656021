"""The readings behind a stack, kept with the work: the newest, and those at other levels or modifiers.

A lamp that is dimmed, or gets another modifier, gives another light, so each reading keeps its conditions.
"""

from dataclasses import dataclass
from math import isclose

from ..basis.quantities import tidy
from .reading import Reading
from .source import MAX_EARLIER, Work


@dataclass(frozen=True)
class Conditions:
    """The dim level [%] of a source, None where nobody said, and its modifier; empty where there is none."""

    level: float | None
    modifier: str

    def agrees(self, other: "Conditions") -> bool:
        """Whether the two may be the same. A level that nobody noted may be any."""
        return self._same_level(other) and self._same_modifier(other)

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
    return Conditions(work.read_bare.level, work.read_bare.modifier) if work.read_bare else None


def with_found(work: Work, reading: Reading) -> Work:
    """Return the work with a new reading behind it. Readings in other conditions are kept as earlier ones."""
    fresh = stood_when_read(reading, work)
    kept = [r for r in taken(work) if not stood_when_read(r, work).agrees(fresh)]
    return work.model_copy(update={"read_behind": reading, "read_elsewhere": kept[-MAX_EARLIER:]})


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
    return Conditions(level, reading.modifier)
