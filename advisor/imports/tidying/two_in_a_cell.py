"""Columns that hold two things in each cell, as “5480 K / +0.0042” under “CCT / Duv”."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ..grids.table import Table
from ..text.lines import Record
from ..vocabulary.headings import MEASURED, understand_each

_HEADS = re.compile(r"\s*(?:[/|,;&+]|\band\b|\bund\b|\bet\b|\s)\s*")
_CELLS = tuple(map(re.compile, (r"\s*[/|;]\s*", r"\s*,\s+", r"\s*,\s*", r"\s+(?=[-+−.\d])")))
_PAIRS = {"xy": ["x", "y"], "uv": ["u", "v"], "u'v'": ["u'", "v'"], "u′v′": ["u′", "v′"]}
_MOST = 3
_LONGEST = 80


def with_one_thing_a_cell(table: Table) -> Table:
    """Part the columns whose headings name several measurements, where most cells hold as many."""
    each = zip(table.headings, table.known, strict=True)
    parted = [[] if one else _parts(heading) for heading, one in each]
    every = list(dict.fromkeys(part for ways in parted for heads in ways for part in heads))
    if not every:
        return table
    fields = {part: h.field for part, h in zip(every, understand_each(every), strict=True) if h is not None}
    for at in range(len(table.headings) - 1, -1, -1):
        found = [({fields.get(part) for part in heads}, heads) for heads in parted[at]]
        several = [heads for own, heads in found if len(own) == len(heads) and own <= MEASURED]
        if several:
            table = _parted(table, at, several[0])
    return table


def _parts(heading: str) -> list[list[str]]:
    """Return the ways to part a heading into two or three."""
    if len(heading) > _LONGEST:
        return []
    pair = re.sub(r"\bcie\b|19\d\d|[\s(),/;]", "", heading, flags=re.IGNORECASE)
    if pair in _PAIRS:
        return [_PAIRS[pair]]
    texts = (heading, re.sub(r"[()\[\]]", " ", heading))
    ways = [[part for part in _HEADS.split(text.strip()) if part] for text in texts]
    return [way for way in ways if 2 <= len(way) <= _MOST]


def _parted(table: Table, at: int, heads: Sequence[str]) -> Table:
    cells = [row.cell(at) for row in table.rows]
    parts = [_in_parts(cell, len(heads)) for cell in cells]
    filled = [part for cell, part in zip(cells, parts, strict=True) if cell]
    if not filled or 2 * sum(map(bool, filled)) < len(filled):
        return table
    rows = [_row(row, at, part, len(heads)) for row, part in zip(table.rows, parts, strict=True)]
    headings = [*table.headings[:at], *heads, *table.headings[at + 1 :]]
    return replace(table, headings=headings, rows=rows)


def _row(row: Record, at: int, parts: Sequence[str], count: int) -> Record:
    if at >= len(row.cells):
        return row
    inside = parts or [row.cells[at], *[""] * (count - 1)]
    return replace(row, cells=[*row.cells[:at], *inside, *row.cells[at + 1 :]])


def _in_parts(cell: str, count: int) -> list[str]:
    """Part a cell into so many numbers; none where it does not hold as many."""
    if len(cell) > _LONGEST:
        return []
    text = cell.strip().strip("()[]{}").strip()
    for mark in _CELLS:
        found = mark.split(text)
        if len(found) == count and all(re.search(r"\d", part) for part in found):
            return found
    return []
