"""Where a clause begins and ends among the items of a line, and what stands in it."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ..vocabulary.headings import Field
from .item import Is, Item

CCTS = frozenset({Field.CCT, Field.MIRED})
"""Fields of which each figure is a reading's first."""
DUVS = frozenset({Field.DUV, Field.CC})
"""Fields that tell how far a colour is off the locus."""
_BOUNDS = frozenset({",", ";", ".", "!", "?", "-", "–", "—"})
_TURNS = frozenset({"but", "while", "whereas", "aber", "mais", "pero", "ma", "maar", "ale", "men", "mas"})
_NEAR = 4


@dataclass
class Told:
    """A CCT, by its index among the items, and what was found to go with it."""

    at: int
    cells: dict[Field, str]
    gels: list[str] = field(default_factory=list)
    names: list[str] = field(default_factory=list)


def is_cct(item: Item) -> bool:
    """Whether an item is the CCT of a reading."""
    return item.kind is Is.FIGURE and item.field in CCTS


def clause(items: Sequence[Item], at: int) -> tuple[int, int]:
    """Return where the clause of an item begins and ends: at marks, and at another CCT."""
    start = at
    while start > 0 and not _bounds(items[start - 1]) and not is_cct(items[start - 1]):
        start -= 1
    end = at + 1
    while end < len(items) and not _bounds(items[end]) and not is_cct(items[end]):
        end += 1
    return start, end


def has_duv(items: Sequence[Item], at: int) -> bool:
    """Whether the figure behind a CCT is its Duv."""
    following = next((item for item in items[at + 1 : at + 1 + _NEAR] if item.kind is Is.FIGURE), None)
    return following is not None and following.field in DUVS


def ends_between(items: Sequence[Item], first: int, last: int) -> int:
    """Count the ends of sentences between two items."""
    return sum(item.kind is Is.END for item in items[min(first, last) : max(first, last)])


def _bounds(item: Item) -> bool:
    if item.kind is Is.WORD:
        return item.text in _TURNS
    return item.kind in (Is.PART, Is.END) and item.text in _BOUNDS
