"""Lines that read as headings, and what separates their cells."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from ...model.basis import numbers
from ..text.cells import bare_each
from ..text.lines import Separator, cells_in
from ..vocabulary.headings import MEASURED, Field, are_units, mention_each, understand_each
from ..vocabulary.qualifiers import qualified_each

LONGEST_HEADING_LINE = 5000
_MOST_COLUMNS = 100
_MOST_WORDS = 5
_MOST_CACHED = 8192
# A cell that is a number of four digits or a share, as rows of data have them.
_DATA = re.compile(
    r"""(?:^|[\t;,|]|\s{2,})[\s"']{0,9}[-+~]?(?:\d{4,6}|\d{0,6}[.,]\d{1,9})(?:\s?(?:K|lx|lux))?[\s"']{0,9}"""
    r"(?:$|[\t;,|]|\s{2,})"
)

_WIDE = re.compile(r"\S\s\s+\S")

PLACEHOLDERS = frozenset("-–—/1·")
"""What stands beneath a heading that has no unit."""


@dataclass(frozen=True)
class HeadLine:
    """A line of headings: its index among the lines, what separates the cells, and the cells.

    `score` counts the headings that were understood.
    """

    at: int
    mark: Separator
    headings: list[str]
    score: int

    @property
    def plain(self) -> bool:
        """Whether it can hardly be a row of something else: most of its cells are headings."""
        filled = sum(1 for heading in self.headings if heading)
        return self.score >= 2 and 2 * self.score >= filled


def head_lines(lines: Sequence[tuple[int, str]]) -> list[HeadLine]:
    """Return those of some lines, each with its index, that read as headings for measurements."""
    short = [(at, line) for at, line in lines if len(line) <= LONGEST_HEADING_LINE]
    told = mention_each([line for _, line in short])
    may_be = [each for each, says in zip(short, told, strict=True) if says and not _DATA.search(each[1])]
    return [head for at, line in may_be if (head := _head_line(line, at)) is not None]


def _head_line(line: str, at: int) -> HeadLine | None:
    # Earlier marks win a tie: tabs and semicolons stand in no heading, commas and spaces may.
    best: HeadLine | None = None
    for mark in marks_in(line):
        cells = headings_in(line) if mark is Separator.SPACE else cells_in(line, mark)
        score = _score(cells, mark)
        if score and (best is None or score > best.score):
            best = HeadLine(at, mark, cells, score)
        if cells and score == len(cells):
            break  # every cell is a heading
    return best


def said_to_be(lines: Sequence[str], at: int) -> HeadLine:
    """Part a line of headings as most lines beneath it can be parted; tabs and semicolons win a tie."""
    beneath = [line for line in lines[at + 1 : at + 21] if line.strip()]

    def fit(head: HeadLine) -> tuple[int, int]:
        count = len(head.headings)
        alike = sum(len(cells_in(line, head.mark)) == count for line in beneath) if count > 1 else 0
        return alike, _score(head.headings, head.mark)

    marks = [mark for mark in Separator if len(lines[at]) <= LONGEST_HEADING_LINE]
    heads = [HeadLine(at, mark, cells_in(lines[at], mark)[:_MOST_COLUMNS], 0) for mark in marks]
    return max(heads, key=fit, default=HeadLine(at, Separator.TAB, [lines[at][:80]], 0))


def marks_in(line: str) -> list[Separator]:
    """Return what may separate the cells of a line; single spaces only where nothing wider stands in it."""
    marks = [m for m in (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.COMMA) if m in line]
    if "\t" in line:
        return marks
    wide = _WIDE.search(line) is not None
    if wide and any(_WIDE.search(cell.strip()) for cell in line.split(",")):
        marks = [mark for mark in marks if mark is not Separator.COMMA]  # it stands within a heading: "x,y"
    return [*marks, Separator.SPACES if wide else Separator.SPACE]


def headings_in(line: str) -> list[str]:
    """Part a line at single spaces into headings, of which some have several words: "CCT (K) Duv E (lx)".

    None where some words belong to no heading. Each of very many words is a cell.
    """
    words = line.split()
    if len(words) > 3 * _MOST_WORDS:
        return words
    starts, counts = range(len(words)), range(1, _MOST_WORDS + 1)
    spans = [" ".join(words[at : at + count]) for at in starts for count in counts]
    known = {span for span, heading in zip(spans, understand_each(spans), strict=True) if heading is not None}
    out: list[str] = []
    at = 0
    while at < len(words):
        for count in range(min(_MOST_WORDS, len(words) - at), 0, -1):
            heading = " ".join(words[at : at + count])
            if heading in known:
                out.append(heading)
                at += count
                break
        else:
            return []
    return out


def _score(cells: Sequence[str], mark: Separator) -> int:
    """Count the headings among the cells; none if it is no line of headings for a measurement."""
    if not cells or len(cells) > _MOST_COLUMNS:
        return 0
    found = understand_each(cells)
    understood = [h for h in found if h is not None]
    if not any(h.field in MEASURED for h in understood):
        if mark is Separator.SPACE:
            return 0
        # Headings that name a field among other words: "CCT bare".
        unknown = [c for h, c in zip(found, cells, strict=True) if h is None]
        beside = sum(each is not None for each in qualified_each(unknown))
        return len(understood) + beside if beside > 1 else 0
    if mark is Separator.SPACE and len(understood) < len(cells):
        return 0  # single spaces stand within headings too: only where every word is one
    if any(h is None and is_number(c) for h, c in zip(found, cells, strict=True)):
        return 0  # a row of data
    return len(understood)


@lru_cache(maxsize=_MOST_CACHED)
def is_number(cell: str) -> bool:
    """Whether a cell holds one number, with a unit or without."""
    if not any(sign.isdigit() for sign in cell):
        return False
    try:
        numbers.parse(cell)
    except numbers.NotANumber:
        return False
    return True


def are_numbers(cells: Sequence[str]) -> list[bool]:
    """Say of each cell whether it holds one number, whatever stands around it: “~5480*”."""
    plain = bare_each(cells)
    figures = [cell for cell in dict.fromkeys(plain) if any(sign.isdigit() for sign in cell)]
    read = dict(zip(figures, numbers.parse_each(figures), strict=True))
    return [isinstance(read.get(cell), numbers.Parsed) for cell in plain]


def with_units(headings: Sequence[str], cells: Sequence[str]) -> list[str] | None:
    """Return headings joined with the units in the row beneath them; None if it is no row of units."""
    cells = ["" if c in PLACEHOLDERS else c for c in cells]
    if len(cells) > len(headings) or not any(cells) or not all(are_units([c for c in cells if c])):
        return None
    units = [re.sub(r"[()\[\]]", "", c) for c in cells] + [""] * (len(headings) - len(cells))
    joined = [f"{h} [{u}]" if u else h for h, u in zip(headings, units, strict=True)]
    alone, beneath = understand_each(headings), understand_each(joined)
    lost = any(h and not j for h, j in zip(alone, beneath, strict=True))
    in_percent = [j for j, u in zip(beneath, units, strict=True) if u.strip() == "%"]
    fields = {heading.field for heading in in_percent if heading is not None}
    # A percent sign is the unit of dim levels; beneath anything else that is used it is a slip.
    return None if lost or (in_percent and fields != {Field.LEVEL}) else joined
