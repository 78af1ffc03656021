"""Readings that stand in columns side by side, each in a row of its own."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ..grids.table import Table


def rows_beneath(
    table: Table, heading: str, columns: Mapping[str, Sequence[int | None]], measured: Sequence[str]
) -> Table:
    """Give each row of a table a row for each way its source was read, such as each dim level.

    `columns` are those of each way, by what stands for it beneath the new `heading`, in the order of the
    headings `measured`; None where a way has no such column. All other columns stand in each row.
    """
    used = {at for own in columns.values() for at in own}
    shared = [at for at in range(len(table.headings)) if at not in used]
    rows = []
    for row in table.rows:
        before = [row.cell(at) for at in shared]
        for way, own in columns.items():
            cells = ["" if at is None else row.cell(at) for at in own]
            if any(cells):
                rows.append(replace(row, cells=[*before, way, *cells]))
    return replace(table, headings=[*(table.headings[at] for at in shared), heading, *measured], rows=rows)
