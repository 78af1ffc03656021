"""What was read behind what hangs, as it is kept with the work: the newest, and those taken otherwise.

A lamp that is dimmed, or gets another modifier, is another light: each reading belongs to how it stood.
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
        """Whether the two may be one: a level that nobody said is no other level."""
        return self._same_level(other) and self._same_modifier(other)

    def beside(self, other: "Conditions") -> str:
        """Say this one as far as the other is not known to be the same: “at 40 %”, “with softbox”."""
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
    """Return the work with a new reading behind it; those that were taken otherwise are kept beside it."""
    fresh = stood_when_read(reading, work)
    kept = [r for r in taken(work) if not stood_when_read(r, work).agrees(fresh)]
    return work.model_copy(update={"read_behind": reading, "read_elsewhere": kept[-MAX_EARLIER:]})


def with_earlier(work: Work, reading: Reading) -> Work:
    """Return the work with a reading behind it that was taken before the newest one.

    It is kept beside that, where nothing newer was taken as it was.
    """
    own = stood_when_read(reading, work)
    newer = taken(work)
    if any(stood_when_read(r, work).agrees(own) for r in newer):
        return work
    return work.model_copy(update={"read_elsewhere": [reading, *work.read_elsewhere][-MAX_EARLIER:]})


def without_found(work: Work) -> Work:
    """Return the work with nothing found behind it now; what was is kept among the earlier readings."""
    return work.model_copy(update={"read_behind": None, "read_elsewhere": taken(work)[-MAX_EARLIER:]})


def taken(work: Work) -> list[Reading]:
    """Return all that was read behind a stack, the newest last."""
    return [*work.read_elsewhere, *([work.read_behind] if work.read_behind else [])]


def stood_when_read(reading: Reading, work: Work) -> Conditions:
    """Return how a source stood when it was read; a level that nobody noted is that of the hanging."""
    hung = stand_when_hung(work)
    level = hung.level if reading.level is None and hung else reading.level
    return Conditions(level, reading.modifier)
