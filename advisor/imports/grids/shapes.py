"""Tables that are turned, tables with one cell a line, and tables whose headings nobody knows."""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from typing import NamedTuple

from ..text.cells import bare
from ..text.lines import Record, Separator, cells_in
from ..vocabulary.headings import MEASURED, NUMBERS, Field, understand, understand_each
from .contents import by_unit, holds_colour
from .head_lines import is_number, marks_in, with_units
from .source_lines import SourceLines
from .table import FoundTables, Table, is_summary

_MOST_LINES = 2000
_MOST_COLUMNS = 600
_LONGEST_CELL = 60
_FEWEST_LIKE = 0.6


def find_turned(lines: SourceLines) -> FoundTables | None:
    """Find a table whose rows begin with headings and whose columns are readings; None if there is none."""
    for mark in (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.COMMA, Separator.SPACES):
        rows = [
            (at, cells_in(text, mark))
            for at, text in enumerate(lines.texts[:_MOST_LINES])
            if text.strip() and len(text) < 20 * _MOST_COLUMNS and not re.fullmatch(r"[\s|+:=-]*", text)
        ]
        if mark is Separator.SPACES:
            rows = _with_corners(lines, rows)
        sheet = _turned(lines, mark, rows)
        if sheet is not None:
            return sheet
    return None


def _with_corners(lines: SourceLines, rows: list[tuple[int, list[str]]]) -> list[tuple[int, list[str]]]:
    """Put an empty cell before lines of fixed width that begin with blanks and lack a cell."""
    width = Counter(len(cells) for _, cells in rows).most_common(1)[0][0] if rows else 0
    return [
        (at, ["", *cells] if len(cells) == width - 1 and lines.texts[at].startswith("  ") else cells)
        for at, cells in rows
    ]


def _turned(lines: SourceLines, mark: Separator, rows: list[tuple[int, list[str]]]) -> FoundTables | None:
    measured = [i for i, (_, cells) in enumerate(rows) if len(cells) > 2 and _is_measured(cells[0])]
    if len(measured) < 2:
        return None
    width = len(rows[measured[0]][1])
    # Empty cells at the end of a line are often lost.
    body = [
        i for i, (_, cells) in enumerate(rows) if 1 < len(cells) <= width and (cells[0] or i < measured[0])
    ]
    first = body[0]
    while (
        first < measured[0]
        and understand(rows[first][1][0]) is None
        and not _is_corner(rows, first, measured[0])
    ):
        body = body[1:]
        first = body[0]
    inside = [i for i in body if i >= first]
    values = [rows[i][1][j] for i in measured for j in range(1, len(rows[i][1]))]
    if width > _MOST_COLUMNS or sum(map(is_number, map(bare, filter(None, values)))) * 2 < len(values):
        return None
    headings = [rows[i][1][0] or ("name" if i == first else "") for i in inside]
    if (
        not any((h := understand(x)) is not None and h.field is Field.NAME for x in headings)
        and inside[0] < measured[0]
        and understand(headings[0]) is None
    ):
        headings[0] = "name"
    line = lines.numbers[rows[inside[0]][0]]
    records, summaries = [], []
    named = headings.index("name") if "name" in headings else 0
    for j in range(1, width):
        cells = [rows[i][1][j] if j < len(rows[i][1]) else "" for i in inside]
        beneath = [cell for at, cell in enumerate(cells) if at != named]
        if j == 1 and (units := with_units(headings, ["", *beneath])) and named == 0:
            headings = units
        elif cells[named] and is_summary(cells[named]):
            summaries.append((line, cells[named], "left out, it is a summary"))
        elif any(cells):
            shown = ", ".join(f"{h}: {c}" if h else c for h, c in zip(headings, cells, strict=True) if c)
            records.append(Record(line, shown[:500], cells))
    used = {rows[i][0] for i in inside}
    left = [
        (lines.numbers[at], lines.shown[at].strip(), "")
        for at, text in enumerate(lines.texts)
        if text.strip() and at not in used and not re.fullmatch(r"[\s|+:=-]*", text)
    ]
    return FoundTables([Table(line, mark, headings, records)], left + summaries)


def _is_measured(cell: str) -> bool:
    found = understand(cell)
    return found.field in MEASURED if found is not None else by_unit(cell) is not None


def _is_corner(rows: list[tuple[int, list[str]]], at: int, measured: int) -> bool:
    """Whether a row above the first measured one has the names: none of its other cells is a number."""
    cells = rows[at][1]
    return at == measured - 1 or (len(cells) == len(rows[measured][1]) and not any(map(is_number, cells[1:])))


def find_cells(lines: SourceLines) -> FoundTables | None:
    """Find a table that was copied with one cell a line: its headings, then row after row."""
    cells = [(at, text.strip()) for at, text in enumerate(lines.texts) if text.strip()]
    if not 4 <= len(cells) <= _MOST_LINES * 10 or any(_wide(text) for _, text in cells):
        return None
    start = next((i for i, (_, text) in enumerate(cells[:20]) if understand(text) is not None), None)
    if start is None:
        return None
    count = 0
    while start + count < len(cells) and understand(cells[start + count][1]) is not None:
        count += 1
    headings = [text for _, text in cells[start : start + count]]
    rest = cells[start + count :]
    if count < 2 or not rest or len(rest) % count or not any(map(_is_measured, headings)):
        return None
    records = [
        Record(
            lines.numbers[rest[i][0]],
            "\n".join(lines.shown[rest[i][0] : rest[i + count - 1][0] + 1]),
            [text for _, text in rest[i : i + count]],
        )
        for i in range(0, len(rest), count)
    ]
    heads = understand_each(headings)
    numeric = [i for i, head in enumerate(heads) if head is not None and head.field in NUMBERS]
    read = [is_number(bare(record.cells[i])) for record in records for i in numeric]
    if sum(read) < _FEWEST_LIKE * len(read):
        return None
    left = [(lines.numbers[at], lines.shown[at].strip(), "") for at, _ in cells[:start]]
    return FoundTables([Table(lines.numbers[cells[start][0]], Separator.TAB, headings, records)], left)


def _wide(text: str) -> bool:
    return len(text) > _LONGEST_CELL or re.search(r"[\t;|:=]|\S\s\s+\S|, ", text) is not None


def paragraphs(lines: SourceLines) -> SourceLines | None:
    """Join lines that hold one cell each to a line for each paragraph; None where nothing is to be joined."""
    groups: list[list[int]] = [[]]
    for at, text in enumerate(lines.texts[: 5 * _MOST_LINES]):
        if _wide(text):
            return None
        if text.strip():
            groups[-1].append(at)
        elif groups[-1]:
            groups.append([])
    groups = [group for group in groups if group]
    if not any(3 <= len(group) <= 8 for group in groups):
        return None
    texts = ["\t".join(lines.texts[at].strip() for at in group) for group in groups]
    shown = ["\n".join(lines.shown[at] for at in group) for group in groups]
    return SourceLines(texts, shown, [lines.numbers[group[0]] for group in groups], lines.made)


_CELLS = frozenset({Separator.TAB, Separator.SEMICOLON, Separator.PIPE})
"""What parts cells and nothing else."""
_FEWEST_HEADLESS = 3
"""So many cells a line have columns without headings: a name, a CCT and a Duv."""


class _Head(NamedTuple):
    """A line of a text: its index among the lines, and its cells."""

    at: int
    cells: list[str]


_Rows = Sequence[tuple[int, list[str]]]
_Find = Callable[[SourceLines, Separator, _Rows, int], "FoundTables | None"]


def find_unknown(lines: SourceLines) -> FoundTables | None:
    """Find a table whose headings nobody knows, by columns that can be nothing but a colour."""
    return _by_columns(lines, frozenset(Separator), _unknown)


def find_commas(lines: SourceLines) -> FoundTables | None:
    """Find cells without headings that commas part, as many in each line, as `find_headless` does others."""
    return _by_columns(lines, frozenset({Separator.COMMA}), _headless)


def find_headless(lines: SourceLines) -> FoundTables | None:
    """Find cells without headings, as many in each line, by columns that can be nothing but a colour."""
    return _by_columns(lines, _CELLS, _headless)


def _by_columns(lines: SourceLines, allowed: frozenset[Separator], find: _Find) -> FoundTables | None:
    texts = [(at, text) for at, text in enumerate(lines.texts[: 2 * _MOST_LINES]) if text.strip()]
    marks = {mark for _, text in texts[:40] for mark in marks_in(text)} & allowed - {Separator.SPACE}
    for mark in (m for m in Separator if m in marks):
        rows = [(at, cells_in(text, mark)) for at, text in texts]
        widths = Counter(len(cells) for _, cells in rows if len(cells) > 1)
        if widths and (width := widths.most_common(1)[0][0]) <= _MOST_COLUMNS:
            sheet = find(lines, mark, rows, width)
            if sheet is not None:
                return sheet
    return None


def _unknown(lines: SourceLines, mark: Separator, rows: _Rows, width: int) -> FoundTables | None:
    alike = [(at, cells) for at, cells in rows if 1 < len(cells) <= width]
    head = next((i for i, (_, cells) in enumerate(alike) if len(cells) == width and _is_head(alike, i)), None)
    if head is None:
        return None
    at, headings = alike[head]
    used = {i for i, _ in alike[head:]}
    left = [(lines.numbers[i], lines.shown[i].strip(), "") for i, _ in rows if i not in used]
    return _of_columns(lines, mark, _Head(at, headings), alike[head + 1 :], left)


def _headless(lines: SourceLines, mark: Separator, rows: _Rows, width: int) -> FoundTables | None:
    if width < _FEWEST_HEADLESS or len(rows) < 2 or any(len(cells) != width for _, cells in rows):
        return None
    headings = [f"column {j + 1}" for j in range(width)]
    return _of_columns(lines, mark, _Head(rows[0][0], headings), rows, [])


def _of_columns(
    lines: SourceLines, mark: Separator, head: _Head, rows: _Rows, left: list[tuple[int, str, str]]
) -> FoundTables | None:
    records = [Record(lines.numbers[i], lines.shown[i], cells) for i, cells in rows if any(cells)]
    columns = [[r.cells[j] for r in records if j < len(r.cells)] for j in range(len(head.cells))]
    if not holds_colour(columns):
        return None
    return FoundTables([Table(lines.numbers[head.at], mark, head.cells, records)], left)


def _is_head(rows: Sequence[tuple[int, list[str]]], at: int) -> bool:
    """Whether no cell of a row is a number, and some of the next one are."""
    cells = rows[at][1]
    if any(map(is_number, cells)) or sum(map(bool, cells)) < 2 or at + 1 >= len(rows):
        return False
    below = rows[at + 1][1] if not _is_unit_row(rows[at + 1][1]) or at + 2 >= len(rows) else rows[at + 2][1]
    return sum(is_number(bare(cell)) for cell in below) >= 2


def _is_unit_row(cells: Sequence[str]) -> bool:
    return not any(map(is_number, cells)) and all(len(cell) <= 8 for cell in cells)
