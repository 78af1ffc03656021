"""Lines that read as headings, and what separates their cells."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from ...model import numbers
from ..text.lines import Separator, cells_in
from ..vocabulary.headings import MEASURED, Heading, is_unit, understand

_LONGEST_HEADING_LINE = 5000
_MOST_COLUMNS = 100
_MOST_WORDS = 5
# A cell that is a number and nothing else, as rows of data have it.
_DATA = re.compile(
    r"(?:^|[\t;,|]|\s{2,})[\s\"']*[-+~]?(?:\d{4,6}|\d*[.,]\d+)(?:\s?(?:K|lx|lux))?[\s\"']*(?:$|[\t;,|]|\s{2,})"
)


@dataclass(frozen=True)
class HeadLine:
    """A line of headings: its index among the lines, what separates the cells, and the cells."""

    at: int
    mark: Separator
    headings: list[str]
    score: int


@lru_cache(maxsize=8192)
def known(heading: str) -> Heading | None:
    """Understand a heading that was perhaps understood before."""
    return understand(heading)


def head_line(line: str, at: int) -> HeadLine | None:
    """Read a line as headings; None if it is none for measurements."""
    if len(line) > _LONGEST_HEADING_LINE or not line.strip() or _DATA.search(line):
        return None
    # Earlier marks win a tie: tabs and semicolons stand in no heading, commas and spaces may.
    best: HeadLine | None = None
    for mark in marks_in(line):
        cells = headings_in(line) if mark is Separator.SPACE else cells_in(line, mark)
        score = _score(cells, mark)
        if score and (best is None or score > best.score):
            best = HeadLine(at, mark, cells, score)
    return best


def marks_in(line: str) -> list[Separator]:
    """Return what may separate the cells of a line; single spaces only where nothing wider stands in it."""
    wide = re.search(r"\t|\S\s{2,}\S", line) is not None
    marks = [m for m in (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.COMMA) if m in line]
    return [*marks, Separator.SPACES if wide else Separator.SPACE] if "\t" not in line else marks


def headings_in(line: str) -> list[str]:
    """Part a line at single spaces into headings, of which some have several words: "CCT (K) Duv E (lx)".

    None are returned if some words belong to no heading.
    """
    words = line.split()
    if len(words) > 3 * _MOST_WORDS:
        return words
    out: list[str] = []
    at = 0
    while at < len(words):
        for count in range(min(_MOST_WORDS, len(words) - at), 0, -1):
            heading = " ".join(words[at : at + count])
            if known(heading) is not None:
                out.append(heading)
                at += count
                break
        else:
            return words
    return out


def _score(cells: Sequence[str], mark: Separator) -> int:
    """Count the headings among the cells; none if it is no line of headings for a measurement."""
    if not cells or len(cells) > _MOST_COLUMNS:
        return 0
    found = [known(c) for c in cells]
    understood = [h for h in found if h is not None]
    if not any(h.field in MEASURED for h in understood):
        return 0
    if mark is Separator.SPACE and len(understood) < len(cells):
        return 0  # single spaces stand within headings too: only where every word is one
    if any(h is None and is_number(c) for h, c in zip(found, cells, strict=True)):
        return 0  # a row of data
    return len(understood)


@lru_cache(maxsize=8192)
def is_number(cell: str) -> bool:
    """Whether a cell holds one number, with a unit or without."""
    if not re.search(r"\d", cell):
        return False
    try:
        numbers.parse(cell)
    except numbers.NotANumber:
        return False
    return True


def joined_units(headings: Sequence[str], cells: Sequence[str]) -> list[str] | None:
    """Return headings joined with the units in the row beneath; None if it is no row of units."""
    bare = ["" if c in ("-", "–", "—", "–", "/") else c for c in cells]
    if len(bare) > len(headings) or not any(bare) or not all(is_unit(c) for c in bare if c):
        return None
    units = [re.sub(r"[()\[\]]", "", c) for c in bare] + [""] * (len(headings) - len(bare))
    joined = [f"{h} [{u}]" if u else h for h, u in zip(headings, units, strict=True)]
    lost = any(known(h) and not known(j) for h, j in zip(headings, joined, strict=True))
    return None if lost else joined
