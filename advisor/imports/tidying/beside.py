"""Tables that stand side by side, with the same headings or with others."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ..grids.table import Table
from ..vocabulary.headings import MEASURED, Field, Heading, understand_each

_WHITES = (
    {Field.CCT},
    {Field.MIRED},
    {Field.X, Field.Y},
    {Field.U76, Field.V76},
    {Field.U60, Field.V60},
)


def beside(table: Table) -> list[Table]:
    """Part tables that stand side by side; the table as it is where it is one.

    Either their headings come again in the same order, or a column that holds nothing, or a second column of
    names, parts headings that each give a white.
    """
    heads = [re.sub(r"\W+", " ", h).strip().casefold() for h in table.headings]
    known = table.known
    starts = _again(heads) or _in_turn(heads, known) or _at_gaps(table, heads, known) or _at_names(known)
    if not starts:
        return [table]
    spans = list(zip(starts, [*starts[1:], len(heads)], strict=True))
    return [_span(table, a, b, part) for part, (a, b) in enumerate(spans)]


def _again(heads: Sequence[str]) -> list[int]:
    """Return where the same headings begin again; none where they do not."""
    filled = [i for i, head in enumerate(heads) if head]
    starts = [i for i in filled if heads[i] == heads[filled[0]]]
    if len(starts) < 2:
        return []
    parts = [[h for h in heads[a:b] if h] for a, b in zip(starts, [*starts[1:], len(heads)], strict=True)]
    alike = len(parts[0]) > 1 and all(part == parts[0] for part in parts[1:])
    return starts if alike and sum(h is not None for h in understand_each(parts[0])) > 1 else []


def _in_turn(heads: Sequence[str], known: Sequence[Heading | None]) -> list[int]:
    """Return where tables begin whose measurements come again behind other words: “Stage A”, “Stage B”."""
    found = [i for i, h in enumerate(known) if h is not None and h.field in MEASURED]
    if len(found) < 4 or found[0] != 1:
        return []
    starts = [i - 1 for i in found if heads[i] == heads[found[0]]]
    parts = [
        [heads[i] for i in found if a < i < b] for a, b in zip(starts, [*starts[1:], len(heads)], strict=True)
    ]
    named = all(heads[at] and known[at] is None for at in starts)
    alike = len(parts) > 1 and len(parts[0]) > 1 and all(part == parts[0] for part in parts)
    return starts if alike and named else []


def _at_gaps(table: Table, heads: Sequence[str], known: Sequence[Heading | None]) -> list[int]:
    """Return where tables begin that columns without heading and cells part."""
    empty = [not head and not any(row.cell(i) for row in table.rows) for i, head in enumerate(heads)]
    starts = [i for i, gone in enumerate(empty) if not gone and (i == 0 or empty[i - 1])]
    return starts if len(starts) > 1 and _are_tables(known, starts) else []


def _at_names(known: Sequence[Heading | None]) -> list[int]:
    """Return the columns of names, where each begins a table."""
    starts = [i for i, head in enumerate(known) if head is not None and head.field is Field.NAME]
    return starts if len(starts) > 1 and starts[0] == 0 and _are_tables(known, starts) else []


def _are_tables(known: Sequence[Heading | None], starts: Sequence[int]) -> bool:
    """Whether each part has names of its own and gives a white."""
    for a, b in zip(starts, [*starts[1:], len(known)], strict=True):
        fields = {head.field for head in known[a:b] if head is not None}
        if not any(white <= fields for white in _WHITES) or Field.NAME not in fields:
            return False
        if len(fields & MEASURED) < 2:
            return False
    return True


def _span(table: Table, start: int, end: int, part: int) -> Table:
    while end > start + 1 and not table.headings[end - 1] and not any(r.cell(end - 1) for r in table.rows):
        end -= 1
    rows = [replace(row, cells=row.cells[start:end]) for row in table.rows if any(row.cells[start:end])]
    return replace(table, headings=table.headings[start:end], rows=rows, part=part)
