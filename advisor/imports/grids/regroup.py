"""Decimal commas in tables whose separator is a comma too: a row then has more cells than the headings."""

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
    """Return the rows; cells that a decimal comma split are joined if only one way of joining fits the row.

    `fields` are the headings as understood, None for one that is not known. A row with as many cells as
    columns is left as it is, unless a cell such as 0042 can only be the decimals of a number.
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
    # ways[j] holds up to two ways to fill the columns so far with the first j cells.
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
    """Return what the next column may hold, and how many cells that takes: one, or two that a comma split."""
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
