"""Names that a table gives once for several rows, or in two columns: “Kitchen”, “Panel A”."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ..grids.table import Table, is_summary
from ..vocabulary.headings import TAGS, Field
from ..vocabulary.languages import folded_each
from ..vocabulary.words import words

_SAYS_HOW = TAGS | {Field.GEL, Field.TIME, Field.DATE}
"""What tells readings of one source apart."""
_PARTS = words(
    "unit units where room place area zone set stage floor wall side corner spot location position head "
    "fixture lamp panel ort raum zimmer platz standort lieu piece endroit lugar sala sitio stanza "
    "luogo posto local ruimte plaats miejsce pokoj pomieszczenie 場所 部屋 位置"
)
"""Headings of where a source is, or which of several it is."""


def with_names(table: Table, *, join: bool = True) -> Table:
    """Give each row the name that it goes by: that of the row above, or, with `join`, that of two columns."""
    fields = [head.field if head else None for head in table.known]
    if Field.NAME not in fields:
        return table
    at = fields.index(Field.NAME)
    table = _filled_down(table, at, fields)
    return _joined(table, at, fields) if join else table


def without_means(table: Table, left: list[tuple[int, str, str]]) -> Table:
    """Leave out rows whose second name says that they sum up others: “Panel 7”, “Mean”; they go to `left`."""
    if not table.joined:
        return table
    at = table.headings.index("name")
    last = re.compile(r"\s(\S+)$")
    sums = [row for row in table.rows if (said := last.search(row.cell(at))) and is_summary(said[1])]
    left += [(row.line, row.text.strip(), "left out, it is a summary") for row in sums]
    return replace(table, rows=[row for row in table.rows if row not in sums])


def _filled_down(table: Table, at: int, fields: Sequence[Field | None]) -> Table:
    """Give rows without a name that of the row above, where a column tells readings of one source apart."""
    how = [i for i, field in enumerate(fields) if field in _SAYS_HOW]
    if not how:
        return table
    rows, name = list(table.rows), ""
    gap: list[int] = []
    for n, row in enumerate([*table.rows, None]):
        named = row.cell(at) if row is not None else ""
        if row is not None and not named:
            gap += [n] if name and any(row.cell(i) for i in how) else []
            continue
        if named != name:  # who writes the name again has left it out for another reason
            for i in gap:
                rows[i] = replace(rows[i], cells=[*rows[i].cells[:at], name, *rows[i].cells[at + 1 :]])
        name, gap = named, []
    return replace(table, rows=rows)


def _joined(table: Table, at: int, fields: Sequence[Field | None]) -> Table:
    """Join the names with a second column, where they come again and both together do not."""
    names = table.cells[at]
    if len(set(names)) == len(names):
        return table
    said = folded_each([heading[:60] for heading in table.headings])
    for other, field in enumerate(fields):
        if other == at or field not in (None, Field.NAME):
            continue
        if _PARTS.isdisjoint(re.findall(r"[^\W\d_]+", said[other])):
            continue
        first, last = sorted((at, other))
        whole = [" ".join(f"{r.cell(first)} {r.cell(last)}".split()) for r in table.rows]
        more = table.cells[other]
        if all(more) and len(set(whole)) == len(whole) and len(set(more)) > 1:
            return _with_one(table, first, last, whole)
    return table


def _with_one(table: Table, first: int, last: int, names: Sequence[str]) -> Table:
    """Return the table with the names in the column `first`, and without the column `last`."""
    headings = [*table.headings[: first + 1], *table.headings[first + 1 : last], *table.headings[last + 1 :]]
    headings[first] = "name"
    rows = []
    for row, name in zip(table.rows, names, strict=True):
        cells = [*row.cells[:last], *row.cells[last + 1 :]]
        cells[first] = name
        rows.append(replace(row, cells=cells))
    return replace(table, headings=headings, rows=rows, joined=(table.headings[first], table.headings[last]))
