"""Rows that are the mean of the rows above them, in whatever language they say so."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..grids.table import Table
from ..text.cells import plain_numbers
from ..text.lines import Record

_FEWEST_ROWS, _MANY_ROWS = 2, 3
_FEWEST_COLUMNS, _MANY_COLUMNS = 2, 3
_LONG = 200
"""How many rows a table has at most that is looked through for the means of its parts. [1]"""
_ROUNDED = 0.6
"""How far a mean may be off by its rounding, in units of its last place."""


@dataclass
class _Run:
    """The figures of a column in the rows so far: how many, their sum, the least and the most."""

    count: int = 0
    total: float = 0.0
    least: float = float("inf")
    most: float = float("-inf")

    def add(self, value: float | None) -> None:
        if value is not None:
            self.count, self.total = self.count + 1, self.total + value
            self.least, self.most = min(self.least, value), max(self.most, value)


def without_mean_beneath(table: Table, left: list[tuple[int, str, str]]) -> Table:
    """Return a table without rows that hold the means of the rows above them, which `left` says.

    Those above are all, or all since the last such row; in a long table only its last row is looked at.
    Two columns of means beneath three rows are no chance, nor three beneath two.
    """
    width = len(table.headings)
    cells = [[*row.cells[1:width], *[""] * (width - len(row.cells))] for row in table.rows]
    if len(cells) > _LONG and not _may_end_in_mean(cells):
        return table
    columns = range(width - 1)
    numbers = iter(plain_numbers([cell for own in cells for cell in own]))
    figures = [[next(numbers) for _ in own] for own in cells]
    kept: list[Record] = []
    every, since = [_Run() for _ in columns], [_Run() for _ in columns]
    counts = [0, 0]
    for number, row in enumerate(table.rows):
        pairs = enumerate(zip(cells[number], figures[number], strict=True))
        own = [(at, cell, value) for at, (cell, value) in pairs if any(map(str.isdigit, cell))]
        runs = ((since, counts[1]), (every, counts[0]))
        if any(_is_mean_row(own, run, count) for run, count in runs):
            left.append((row.line, row.text.strip(), "left out, it is the mean of the rows above"))
            since, counts[1] = [_Run() for _ in columns], 0
            continue
        kept.append(row)
        counts = [counts[0] + 1, counts[1] + 1]
        for at, value in enumerate(figures[number]):
            every[at].add(value)
            since[at].add(value)
    return replace(table, rows=kept) if len(kept) < len(table.rows) else table


def _may_end_in_mean(cells: Sequence[Sequence[str]]) -> bool:
    """Whether the first figure of the last row is the mean of those above it."""
    at = next((at for at, cell in enumerate(cells[-1]) if any(map(str.isdigit, cell))), None)
    if at is None:
        return False
    *above, own = plain_numbers([row[at] for row in cells])
    run = _Run()
    for value in above:
        run.add(value)
    return _is_mean(cells[-1][at], own, run, len(above))


def _is_mean_row(own: Sequence[tuple[int, str, float | None]], runs: Sequence[_Run], count: int) -> bool:
    """Whether the cells of a row are the means of so many rows; each cell with its column and its number."""
    enough = _FEWEST_COLUMNS if count >= _MANY_ROWS else _MANY_COLUMNS
    if count < _FEWEST_ROWS or len(own) < enough:
        return False
    return all(_is_mean(cell, value, runs[at], count) for at, cell, value in own)


def _is_mean(cell: str, own: float | None, run: _Run, count: int) -> bool:
    """Whether a cell is the mean of others that are not alike, to its last place."""
    if own is None or run.count < count or run.least == run.most:
        return False
    digits = cell.strip().rstrip("KkLlxXuU ").replace(",", ".")
    places = len(digits.rpartition(".")[2]) if "." in digits and own != int(own) else 0
    return abs(own - run.total / run.count) <= _ROUNDED * 10.0**-places
