"""Which cuts come down and go up again elsewhere, and which have to be new."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...model import Opening, Source


@dataclass(frozen=True)
class HungCut:
    """One sheet as it is cut for an opening of a source; `opening` is None where nobody gave a size."""

    gel: str
    opening: Opening | None

    def covers(self, other: "HungCut") -> bool:
        """Whether it will do in the place of another cut of the same gel.

        Where nobody gave a size, it is taken for one size.
        """
        if self.gel != other.gel:
            return False
        if self.opening is None or other.opening is None:
            return self.opening is other.opening
        has, wants = (sorted((one.width, one.height)) for one in (self.opening, other.opening))
        return has[0] >= wants[0] and has[1] >= wants[1]

    @property
    def area(self) -> float:
        """Its area [m²]; 0 where nobody gave a size."""
        return self.opening.width * self.opening.height if self.opening else 0.0


def cuts_of(source: Source, gels: Sequence[str]) -> list[HungCut]:
    """Return the cuts that gels on a source are: one for each of its openings, else one."""
    openings: list[Opening | None] = [one for one in source.openings for _ in range(one.count)]
    return [HungCut(gel, opening) for gel in gels for opening in (openings or [None])]


def shared_out(
    down: Sequence[HungCut], up: Sequence[HungCut]
) -> tuple[tuple[HungCut, ...], tuple[HungCut, ...]]:
    """Return of the cuts that go up those that come down elsewhere, and those that have to be new.

    The largest is served first, with the smallest cut that covers it.
    """
    left, again, fresh = list(down), [], []
    for wanted in sorted(up, key=lambda one: -one.area):
        fits = [one for one in left if one.covers(wanted)]
        if not fits:
            fresh.append(wanted)
            continue
        left.remove(min(fits, key=lambda one: one.area))
        again.append(wanted)
    return tuple(again), tuple(fresh)
