"""Words that say that a cell is as the one above it: "ditto", "〃"."""

from dataclasses import replace

from ..grids.table import Table
from ..vocabulary.headings import Field
from ..vocabulary.languages import folded_each

_DITTO = frozenset(
    {"ditto", "dito", "ditto.", "idem", "idem.", "id.", "do.", "same", "as above", "same as above"}
    | {"wie oben", "dto.", "dto", "comme ci-dessus", "igual", "come sopra", "jw.", "j.w.", "同上"}
    | {'"', "''", "″", "〃", "”", "“", '-"-', "-″-", "–″–", '- " -', ",,"}
)


def without_dittos(table: Table) -> Table:
    """Return a table in which each such cell holds what stands above it; names are left as they are."""
    short = dict.fromkeys(cell.strip()[:20] for row in table.rows for cell in row.cells)
    dittos = {cell for cell, said in zip(short, folded_each(list(short)), strict=True) if said in _DITTO}
    if not dittos:
        return table
    named = {i for i, head in enumerate(table.known) if head is not None and head.field is Field.NAME}
    above: dict[int, str] = {}
    rows, changed = [], False
    for row in table.rows:
        cells = list(row.cells)
        for i, cell in enumerate(cells):
            if i not in named and i in above and cell.strip()[:20] in dittos:
                cells[i], changed = above[i], True
            elif cell:
                above[i] = cell
        rows.append(replace(row, cells=cells))
    return replace(table, rows=rows) if changed else table
