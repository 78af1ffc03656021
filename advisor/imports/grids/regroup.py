"""Decimal commas in tables whose cells are parted by commas: found by the count of cells."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ..text.lines import Record
from ..vocabulary.headings import NUMBERS, Heading
from .contents import in_range

_MOST_OVER = 12
_MOST_CELLS = 60
_WHOLE = re.compile(r"[-+−–~]?\d{1,7}")
_PART = re.compile(r"\d{1,6}(?:\s?(?:K|lx|lux|%|fc))?")
_LEADING_ZERO = re.compile(r"[-+−–]?0\d+")


def regrouped(rows: Sequence[Record], fields: Sequence[Heading | None]) -> list[Record]:
    """Return rows with the cells joined that a decimal comma parted, in each row where one way alone fits.

    `fields` are the headings as understood, None where one is not known. A row that fits as it is stays so,
    unless it holds a number such as 0042, which can be nothing but what stands behind a comma.
    """
    return [_row(row, fields) for row in rows]


def _row(row: Record, fields: Sequence[Heading | None]) -> Record:
    cells = row.cells
    while len(cells) > len(fields) and not cells[-1]:
        cells = cells[:-1]
    over = len(cells) - len(fields)
    parted = any(_LEADING_ZERO.fullmatch(cell) for cell in cells)
    if (
        (over <= 0 and not parted)
        or over > _MOST_OVER
        or len(cells) > _MOST_CELLS
        or row.broken
        or '"' in row.text
    ):
        return row
    found = _ways(cells, fields)
    return replace(row, cells=found[0]) if len(found) == 1 else row


def _ways(cells: Sequence[str], fields: Sequence[Heading | None]) -> list[list[str]]:
    """Return the ways in which cells fill the columns, two at most; the last columns may stay empty.

    Takes time in proportion to cells × columns.
    """
    # ways[j] holds up to two ways to fill the columns up to now with the first j cells.
    ways: dict[int, list[list[str]]] = {0: [[]]}
    whole: list[list[str]] = []
    for heading in fields:
        following: dict[int, list[list[str]]] = {}
        for at, found in ways.items():
            for cell, count in _next(cells, at, heading):
                into = following.setdefault(at + count, [])
                into += [[*way, cell] for way in found][: 2 - len(into)]
        ways = following
        whole += ways.get(len(cells), [])[: 2 - len(whole)]
    return whole


def _next(cells: Sequence[str], at: int, heading: Heading | None) -> list[tuple[str, int]]:
    """Return what may stand in the next column: one cell, or two that a comma parted."""
    out = []
    if at < len(cells):
        cell = cells[at]
        numeric = heading is not None and heading.field in NUMBERS
        if not numeric or (not _LEADING_ZERO.fullmatch(cell) and in_range(heading, cell)):
            out.append((cell, 1))
        if numeric and at + 1 < len(cells) and _WHOLE.fullmatch(cell) and _PART.fullmatch(cells[at + 1]):
            joined = f"{cell},{cells[at + 1]}"
            if in_range(heading, joined.replace(",", ".")):
                out.append((joined, 2))
    return out
