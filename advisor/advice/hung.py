"""What was read behind what hangs, at the level and with the modifier in use.

A reading behind gels belongs to the level and the modifier at which it was taken: a lamp that is dimmed, or
gets another modifier, is another light, so that it is to be read again there.
"""

from dataclasses import dataclass
from math import isclose

from ..model import Reading, Source, Work
from ..model.quantities import tidy
from ..model.source import MAX_EARLIER


@dataclass(frozen=True)
class Found:
    """The newest reading behind what hangs that holds for the source as it is used; None where none does.

    `again` says in words why it has to be read again, where it was read otherwise than it is used.
    """

    reading: Reading | None
    again: str = ""


@dataclass(frozen=True)
class Stand:
    """The dim level [%] of a source, None where nobody said, and its modifier; empty where there is none."""

    level: float | None
    modifier: str

    def agrees(self, other: "Stand") -> bool:
        """Whether the two may be one: a level that nobody said is no other level."""
        return self._same_level(other) and self._same_modifier(other)

    def beside(self, other: "Stand") -> str:
        """Say this one as far as it differs from the other: “at 40 %”, “with softbox”."""
        parts = [] if self._same_level(other) or self.level is None else [f"at {tidy(self.level)} %"]
        if not self._same_modifier(other):
            parts.append(f"with {self.modifier}" if self.modifier else "without a modifier")
        return " ".join(parts)

    def _same_level(self, other: "Stand") -> bool:
        return self.level is None or other.level is None or isclose(self.level, other.level)

    def _same_modifier(self, other: "Stand") -> bool:
        return self.modifier.casefold() == other.modifier.casefold()


def stand_in_use(source: Source) -> Stand:
    """Return how a source is used; where nobody said at which level, as its reading was taken."""
    level = source.reading.level if source.level is None else source.level
    return Stand(level, source.modifier_in_use)


def stand_when_hung(work: Work) -> Stand | None:
    """Return how the source stood when its stack was predicted; None where nobody knows."""
    return Stand(work.bare.level, work.bare.modifier) if work.bare else None


def found_in_use(source: Source, work: Work) -> Found:
    """Return what was read behind what hangs, for the source as it is used."""
    used = stand_in_use(source)
    for reading in reversed(_taken(work)):
        if _stand(reading, work).agrees(used):
            return Found(reading)
    if work.found is None:
        return Found(None)
    was = _stand(work.found, work)
    return Found(None, f"Read {was.beside(used)}, used {used.beside(was)}: read it again")


def with_found(work: Work, reading: Reading) -> Work:
    """Return the work with a new reading behind it; those that were taken otherwise are kept beside it."""
    fresh = _stand(reading, work)
    kept = [r for r in _taken(work) if not _stand(r, work).agrees(fresh)]
    return work.model_copy(update={"found": reading, "earlier": kept[-MAX_EARLIER:]})


def without_found(work: Work) -> Work:
    """Return the work with nothing found behind it now; what was is kept among the earlier readings."""
    return work.model_copy(update={"found": None, "earlier": _taken(work)[-MAX_EARLIER:]})


def _taken(work: Work) -> list[Reading]:
    """Return all that was read behind a stack, the newest last."""
    return [*work.earlier, *([work.found] if work.found else [])]


def _stand(reading: Reading, work: Work) -> Stand:
    """Return how a source stood when it was read; a level that nobody noted is that of the hanging."""
    hung = stand_when_hung(work)
    level = hung.level if reading.level is None and hung else reading.level
    return Stand(level, reading.modifier)
