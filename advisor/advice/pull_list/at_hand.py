"""The cuts that came down since a set was begun and hang nowhere now: they are at hand."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from ...model import Opening
from .lines import LooseCut
from .reuse import cuts_down, largest_first, smallest_that_covers


@dataclass(frozen=True)
class Rehung:
    """One change of what hangs on a source: the gels that hung and those that hang, and its openings.

    `reused` are the gels among these for which nothing was cut: the work says so (`Work.reused`).
    """

    source: str
    openings: tuple[Opening, ...]
    hung: tuple[str, ...]
    hangs: tuple[str, ...]
    reused: tuple[str, ...] = ()


def cuts_at_hand(changes: Iterable[Rehung]) -> tuple[LooseCut, ...]:
    """Return the cuts that are down after changes, which come in the order in which they were made.

    Of the cuts at hand the smallest that cover the openings were used again, as the pull list says.
    """
    loose: list[LooseCut] = []
    for change in changes:
        up = Counter(change.hangs) - Counter(change.hung)
        for gel in set(up) & set(change.reused):
            wanted = cuts_down(change.source, change.openings, [gel] * up[gel])
            for sides in largest_first(cut.sides for cut in wanted):
                if used := smallest_that_covers([one for one in loose if one.gel == gel], sides):
                    loose.remove(used)
        off = list((Counter(change.hung) - Counter(change.hangs)).elements())
        loose += cuts_down(change.source, change.openings, off)
    return tuple(loose)
