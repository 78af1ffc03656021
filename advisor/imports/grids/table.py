"""Find the table in a pasted text: its heading line, its separator, its rows."""

import re
from dataclasses import dataclass

from ...model import numbers
from ..text.lines import Record, Separator, cells_in
from ..vocabulary.headings import MEASURED, Field, is_unit, understand

#: How many lines may stand above the headings (a title, a date).
_HEADINGS_WITHIN = 20
_LONGEST_HEADING_LINE = 5000
_MOST_COLUMNS = 100


@dataclass(frozen=True)
class Table:
    """Where the headings stand (an index into the lines) and what separates the cells."""

    at: int
    mark: Separator
    headings: list[str]


def find_table(lines: list[str], headings: int | None = None) -> Table | None:
    """Find the first line that reads as headings; None if the first lines hold none.

    `headings` is the place of the line that somebody said they are in, whatever it holds.
    """
    if headings is not None and headings < len(lines) and lines[headings].strip():
        return _said_to_be(lines, headings)
    seen = 0
    for at, line in enumerate(lines):
        if not line.strip():
            continue
        seen += 1
        if seen > _HEADINGS_WITHIN:
            break
        if len(line) <= _LONGEST_HEADING_LINE:
            # Earlier marks win a tie: tabs and semicolons stand in no heading, commas and spaces may.
            tables = [Table(at, mark, cells_in(line, mark)) for mark in Separator]
            best = max(tables, key=lambda t: _score(t.headings, t.mark))
            if _score(best.headings, best.mark):
                return best
    return None


def _said_to_be(lines: list[str], at: int) -> Table:
    """Part a line of headings as most lines beneath it can be parted; tabs and semicolons win a tie."""
    beneath = [line for line in lines[at + 1 : at + 21] if line.strip()]

    def fit(table: Table) -> tuple[int, int]:
        count = len(table.headings)
        alike = sum(len(cells_in(line, table.mark)) == count for line in beneath) if count > 1 else 0
        return alike, _score(table.headings, table.mark)

    marks = [mark for mark in Separator if len(lines[at]) <= _LONGEST_HEADING_LINE]
    tables = [Table(at, mark, cells_in(lines[at], mark)[:_MOST_COLUMNS]) for mark in marks]
    return max(tables, key=fit, default=Table(at, Separator.TAB, [lines[at][:80]]))


def _score(cells: list[str], mark: Separator) -> int:
    """Count the headings among the cells; none if it is no line of headings for a measurement."""
    if len(cells) > _MOST_COLUMNS:
        return 0
    found = [understand(c) for c in cells]
    known = [h for h in found if h is not None]
    if not any(h.field in MEASURED for h in known):
        return 0
    if mark is Separator.SPACE and len(known) < len(cells):
        return 0  # single spaces stand within headings too: only where every word is one
    if any(h is None and is_number(c) for h, c in zip(found, cells, strict=True)):
        return 0  # a row of data
    return len(known)


def is_number(cell: str) -> bool:
    """Whether a cell holds one number, with a unit or without."""
    try:
        numbers.parse(cell)
    except numbers.NotANumber:
        return False
    return True


def with_units(table: Table, first: Record) -> list[str] | None:
    """Return the headings joined with the units in the row beneath them; None if it is no row of units."""
    cells = ["" if c in ("-", "–", "—") else c for c in first.cells]
    if len(cells) > len(table.headings) or not any(cells) or not all(is_unit(c) for c in cells if c):
        return None
    units = [re.sub(r"[()\[\]]", "", c) for c in cells] + [""] * (len(table.headings) - len(cells))
    joined = [f"{h} [{u}]" if u else h for h, u in zip(table.headings, units, strict=True)]
    lost = any(understand(h) and not understand(j) for h, j in zip(table.headings, joined, strict=True))
    in_percent = [understand(j) for j, u in zip(joined, units, strict=True) if u.strip() == "%"]
    fields = {heading.field for heading in in_percent if heading is not None}
    # A percent sign is the unit of dim levels; beneath anything else that is used it is a slip.
    return None if lost or (in_percent and fields != {Field.LEVEL}) else joined
