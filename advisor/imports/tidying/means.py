"""A last row that is the mean of the rows above it, in whatever language it says so."""

from collections.abc import Sequence
from dataclasses import replace

from ..grids.table import Table
from ..text.cells import plain_numbers

_FEWEST_ROWS, _MANY_ROWS = 2, 3
_FEWEST_COLUMNS, _MANY_COLUMNS = 2, 3
_ROUNDED = 0.6
"""How far a mean may be off by its rounding, in units of its last place."""


def without_mean_beneath(table: Table, left: list[tuple[int, str, str]]) -> Table:
    """Return a table without its last row where that holds the means of the rows above, which `left` says.

    Two columns of means beneath three rows are no chance, nor three beneath two.
    """
    if len(table.rows) <= _FEWEST_ROWS:
        return table
    *above, last = table.rows
    told = [
        ([row.cell(at) for row in above], cell)
        for at, cell in enumerate(last.cells)
        if at and any(map(str.isdigit, cell))
    ]
    enough = _FEWEST_COLUMNS if len(above) >= _MANY_ROWS else _MANY_COLUMNS
    if len(told) < enough or not all(_is_mean(*column) for column in told):
        return table
    left.append((last.line, last.text.strip(), "left out, it is the mean of the rows above"))
    return replace(table, rows=above)


def _is_mean(cells: Sequence[str], cell: str) -> bool:
    """Whether a cell is the mean of others that are not alike, to its last place."""
    *others, own = plain_numbers([*cells, cell])
    said = [value for value in others if value is not None]
    if own is None or len(said) < len(others) or min(said) == max(said):
        return False
    digits = cell.strip().rstrip("KkLlxXuU ").replace(",", ".")
    places = len(digits.rpartition(".")[2]) if "." in digits and own != int(own) else 0
    return abs(own - sum(said) / len(said)) <= _ROUNDED * 10.0**-places
