"""Tables on their side, or a cell a line: gels across, with what is told of them down the first column."""

import re
from collections.abc import Sequence

from ..text.lines import Record, Separator, records, trimmed
from ..vocabulary.gel_headings import GelColumn, understand_gel_heading
from ..vocabulary.gel_names import fractions_of
from .figures import is_figure
from .layout import COMMENT, MARKS, GelLayout, is_unit_heading
from .likeness import MOST, has_fraction, is_trade_name, share
from .shaping import is_units, plain_cells

_NAMES = (GelColumn.NAME, GelColumn.FAMILY)
_FEWEST_GELS = 2
_FEWEST_ROWS = 2
_PAIR = re.compile(r"([^:=]{2,40}?)\s*[:=]\s*([+-]?\d{1,3}(?:[.,]\d{1,2})?)")


def find_turned(lines: list[str]) -> GelLayout | None:
    """Return a table whose gels stand across as one with a gel a row; None where there is none."""
    for mark in MARKS[:5]:
        if any(mark in line for line in lines):
            table = _turned(list(records(lines, mark, comment=COMMENT)), mark)
            if table is not None:
                return table
    return None


def _turned(rows: Sequence[Record], mark: Separator) -> GelLayout | None:
    cells = [trimmed([c.strip(" *:") for c in plain_cells(r, mark)]) for r in rows]
    start = next((i for i, own in enumerate(cells) if _names_gels(own)), None)
    if start is None:
        return None
    beneath = cells[start + 1] if start + 1 < len(cells) else []
    if beneath[:1] == [""] and len(beneath) > _FEWEST_GELS and all(fractions_of(c) for c in beneath[1:] if c):
        cells[start + 1] = ["strength", *beneath[1:]]
    block = [(r, own) for r, own in zip(rows[start:], cells[start:], strict=True) if own and own[0]]
    block = block if cells[start][0] else [(rows[start], ["gel", *cells[start][1:]]), *block]
    second = [own[1] for _, own in block[1:] if len(own) > 1 and own[1]]
    units = is_unit_heading(block[0][1][1]) or (bool(second) and is_units(second, [*second, ""]))
    heads = [
        f"{own[0]} ({own[1]})" if units and at and own[1:2] > [""] else own[0]
        for at, (_, own) in enumerate(block)
    ]
    told = [(own, understand_gel_heading(head)) for (_, own), head in zip(block, heads, strict=True)]
    held = {meant.column for _, meant in told if meant is not None} - {GelColumn.NAME, GelColumn.FAMILY}
    unknown = sum(meant is None for _, meant in told)
    if len(told) < _FEWEST_ROWS or not held or unknown > len(told) / 2:
        return None
    width = max(len(own) for own, _ in told)
    full = [own + [""] * (width - len(own)) for own, _ in told]
    gels = []
    for at in range(2 if units else 1, width):
        own = [row[at] for row in full]
        if any(own):
            gels.append(Record(rows[start].line, rows[start].text, own))
    head = Record(rows[start].line, rows[start].text, heads)
    return GelLayout(mark, head, gels, [r.text for r in rows[:start]])


def _names_gels(cells: Sequence[str]) -> bool:
    """Whether a row is one of gels' names behind a heading for them, or behind nothing."""
    names = [c for c in cells[1:] if c and not is_unit_heading(c)]
    meant = understand_gel_heading(cells[0]) if cells and cells[0] else None
    headed = bool(cells) and (not cells[0] or (meant is not None and meant.column in _NAMES))
    return headed and len(names) >= _FEWEST_GELS and share(names, _is_gel) >= MOST


def _is_gel(cell: str) -> bool:
    return has_fraction(cell) or is_trade_name(cell)


def gels_and_numbers(lines: Sequence[str]) -> GelLayout | None:
    """Take lines of a gel, a colon and one bare number, of which nothing says what it counts."""
    told = [(at, line, _PAIR.fullmatch(line.strip())) for at, line in enumerate(lines, 1) if line.strip()]
    if len(told) < 2 or not all(found and is_trade_name(found[1]) for _, _, found in told):
        return None
    rows = [Record(at, line, [found[1], found[2]]) for at, line, found in told if found]
    return GelLayout(Separator.TAB, Record(0, "", ["", ""]), rows)


def cell_a_line(lines: Sequence[str]) -> GelLayout | None:
    """Take a table that was copied with one cell a line: its headings, then gel after gel."""
    cells = [(at, line.strip()) for at, line in enumerate(lines, 1) if line.strip()]
    count = 0
    while (
        count < len(cells)
        and understand_gel_heading(cells[count][1]) is not None
        and not is_figure(cells[count][1])
    ):
        count += 1
    rest = cells[count:]
    if count < 2 or not rest or len(rest) % count:
        return None
    rows = [
        Record(rest[i][0], "\n".join(c for _, c in rest[i : i + count]), [c for _, c in rest[i : i + count]])
        for i in range(0, len(rest), count)
    ]
    head = Record(cells[0][0], cells[0][1], [c for _, c in cells[:count]])
    named = [
        at
        for at, c in enumerate(head.cells)
        if (h := understand_gel_heading(c)) and h.column is GelColumn.NAME
    ]
    if not named or not all(is_trade_name(row.cells[named[0]]) for row in rows):
        return None
    return GelLayout(Separator.TAB, head, rows)
