"""A table whose columns are dim levels, with one measurement in its cells: "100 %", "50 %", "10 %"."""

import re

from ..text.cells import bare, plain_numbers
from ..text.lines import Record, Separator, cells_in
from ..vocabulary.headings import MEASURED, Field, understand
from .head_lines import is_number
from .source_lines import SourceLines
from .table import FoundTables, Table

_MOST_TRIED = 40
_MOST_ROWS = 200
_MOST_COLUMNS = 30
_LEVEL = re.compile(r"(?:at |@ ?)?\d{1,3}(?:[.,]\d)?\s?%")


def find_levels(lines: SourceLines) -> FoundTables | None:
    """Find such a table: each of its cells is a reading at the level above it. None where there is none.

    The corner says what was measured; where it does not, numbers of a CCT's size are CCTs.
    """
    filled = [at for at, text in enumerate(lines.texts[:_MOST_TRIED]) if "%" in text and len(text) < 1000]
    for at in filled:
        for mark in (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.COMMA, Separator.SPACES):
            cells = cells_in(lines.texts[at], mark)
            if 3 <= len(cells) <= _MOST_COLUMNS and all(map(_LEVEL.fullmatch, cells[1:])):
                return _found(lines, at, mark, cells)
    return None


def _found(lines: SourceLines, head: int, mark: Separator, levels: list[str]) -> FoundTables | None:
    records: list[Record] = []
    left = [(lines.numbers[i], lines.shown[i].strip(), "") for i in range(head) if lines.texts[i].strip()]
    for at in range(head + 1, min(len(lines.texts), head + _MOST_ROWS)):
        cells = cells_in(lines.texts[at], mark)
        if len(cells) < 2 or len(cells) > len(levels) or not any(is_number(bare(c)) for c in cells[1:]):
            if lines.texts[at].strip():
                left.append((lines.numbers[at], lines.shown[at].strip(), ""))
            continue
        records += [
            Record(lines.numbers[at], lines.shown[at], [cells[0], level, cell])
            for level, cell in zip(levels[1:], cells[1:], strict=False)
            if cell
        ]
    measured = understand(levels[0])
    heading = levels[0] if measured is not None and measured.field in MEASURED - {Field.LUX} else ""
    values = plain_numbers([record.cells[2] for record in records])
    if not heading and values and all(value is not None and 1500 <= value <= 20000 for value in values):
        heading = "CCT"
    if not heading or not records:
        return None
    return FoundTables([Table(lines.numbers[head], mark, ["name", "level", heading], records)], left)
