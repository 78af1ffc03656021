"""Room for words on a picture: whether a word lies clear of all that is drawn there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from math import hypot

from ...advice.readings.steps import Point

TEXT = 16.0
"""Size of the text: on the narrowest screens, where pictures shrink to nine tenths, still 14 px. [px]"""
_GAP = 3.0
"""Between a word and what is drawn. [px]"""
_HEIGHT = 0.75
"""Height of figures and capitals as a share of the text's size."""
_WIDTHS = {
    **dict.fromkeys("⅛¼½¾", 0.9),
    **dict.fromkeys("fl\N{NO-BREAK SPACE}", 0.36),
    "\N{NARROW NO-BREAK SPACE}": 0.2,
}
_WIDTH = 0.6
"""Widths of letters as a share of the text's size, on the wide side for the fonts of phones."""


@dataclass(frozen=True)
class Word:
    """A text around the place `at`, its centre. [px]"""

    text: str
    at: Point

    @cached_property
    def half(self) -> Point:
        """Half its width and half its height. [px]"""
        return sum(_WIDTHS.get(c, _WIDTH) for c in self.text) * TEXT / 2, _HEIGHT * TEXT / 2


@dataclass
class Drawn:
    """What is drawn on a picture: `circles` with their radii, `lines` as points in order, `words`."""

    circles: list[tuple[Point, float]] = field(default_factory=list)
    lines: list[Sequence[Point]] = field(default_factory=list)
    words: list[Word] = field(default_factory=list)

    def first_clear(self, words: Iterable[Word]) -> Word | None:
        """Return the first of several words that would stand where nothing is drawn; None where none does."""
        return next((word for word in words if self.clear(word)), None)

    def first_clear_each(self, several: Iterable[Iterable[Word]]) -> list[Word | None]:
        """Return the `first_clear` of each lot of words, as if the others were not there."""
        return [self.first_clear(words) for words in several]

    def clear(self, word: Word) -> bool:
        """Whether nothing is drawn where a word would stand."""
        return (
            all(_away(word, centre) >= radius + _GAP for centre, radius in self.circles)
            and not any(_touches(word, other) for other in self.words)
            and not any(_crossed(word, a, b) for line in self.lines for a, b in pairwise(line))
        )


def _away(word: Word, point: Point) -> float:
    """Return how far a point is from the word's box; 0 in it. [px]"""
    (x, y), (wide, high) = word.at, word.half
    return hypot(max(abs(point[0] - x) - wide, 0.0), max(abs(point[1] - y) - high, 0.0))


def _touches(one: Word, other: Word) -> bool:
    """Whether less than the gap lies between two words."""
    across = abs(one.at[0] - other.at[0]) - one.half[0] - other.half[0]
    along = abs(one.at[1] - other.at[1]) - one.half[1] - other.half[1]
    return max(across, along) < _GAP


def _crossed(word: Word, a: Point, b: Point) -> bool:
    """Whether a line from `a` to `b` comes nearer to the word's box than the gap (clipped side by side)."""
    (x, y), (wide, high) = word.at, word.half
    wide, high = wide + _GAP, high + _GAP
    if (a[0] < x - wide and b[0] < x - wide) or (a[0] > x + wide and b[0] > x + wide):
        return False  # most lines are far away
    if (a[1] < y - high and b[1] < y - high) or (a[1] > y + high and b[1] > y + high):
        return False
    start, end = 0.0, 1.0
    for axis in (0, 1):
        room = word.half[axis] + _GAP
        low, high = word.at[axis] - room, word.at[axis] + room
        along = b[axis] - a[axis]
        if abs(along) < 1e-9:
            if not low < a[axis] < high:
                return False
            continue
        first, last = sorted(((low - a[axis]) / along, (high - a[axis]) / along))
        start, end = max(start, first), min(end, last)
    return start < end
