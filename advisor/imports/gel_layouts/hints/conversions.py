"""Two CCTs in one cell, "5600 K to 3200 K": what a gel makes of what, as two columns."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ...text.lines import Record
from ...vocabulary.gel_headings import GelColumn, understand_gel_heading

_CCT = r"(?:1?\d|2[0-5])[.,' ]?\d{3}\s?°?[kK]?"
_CONVERTS = re.compile(
    rf"(?:from\s|von\s|de\s|da\s|van\s)?({_CCT})\s?(?:to|into|->|=>|→|>|–|—|-|auf|nach|zu|à|a|naar|na|/)\s?({_CCT})",
    re.IGNORECASE,
)
_MOST = 0.7
"""The share of a column's cells that has to be of this sort (our own judgement)."""


def with_conversions(head: Record, rows: Sequence[Record]) -> tuple[Record, list[Record]]:
    """Return a table with such a column parted in two; as it is where it has none, or says both already."""
    held = {h.column for c in head.cells if (h := understand_gel_heading(c)) is not None}
    for at in range(len(head.cells)) if not {GelColumn.FROM, GelColumn.TO} & held else ():
        cells = [row.cells[at] for row in rows if not row.broken and row.cell(at).strip()]
        told = sum(_CONVERTS.fullmatch(cell.strip()) is not None for cell in cells)
        if told and told >= _MOST * len(cells):
            return _parted(head, rows, at)
    return head, list(rows)


def _parted(head: Record, rows: Sequence[Record], at: int) -> tuple[Record, list[Record]]:
    width = len(head.cells)

    def two(row: Record) -> Record:
        cells = [*row.cells, *[""] * (width - len(row.cells))]
        found = _CONVERTS.fullmatch(cells[at].strip())
        ends = [found[1], found[2]] if found else [cells[at], ""]
        return replace(row, cells=[*cells[:at], ends[0], *cells[at + 1 : width], ends[1], *cells[width:]])

    heads = [*head.cells[:at], "from CCT", *head.cells[at + 1 :], "to CCT"]
    return replace(head, cells=heads), [two(row) for row in rows]
