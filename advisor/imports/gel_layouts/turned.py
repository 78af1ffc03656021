"""Tables on their side: the gels stand across, and what is told of them down the first column."""

from collections.abc import Sequence

from ..text.lines import Record, Separator, records
from ..vocabulary.gel_headings import GelColumn, understand_gel_heading
from ..vocabulary.gel_names import fractions_of
from .layout import COMMENT, MARKS, GelLayout, is_unit_heading, trimmed
from .likeness import MOST, has_fraction, is_trade_name, share
from .shaping import is_units, plain_cells

_NAMES = (GelColumn.NAME, GelColumn.FAMILY)
_FEWEST_GELS = 2
_FEWEST_ROWS = 2


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
