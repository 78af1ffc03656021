"""A row of a gel table, from its cells to its gel: what was read, what is wrong, and in which column."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ...model import Gel, Problem
from ..gel_layouts.columns import TakenColumn


@dataclass
class DraftRow:
    """A row as it was read, with its faults (`wrong`); `gel` is None if its cells make no gel.

    `number` is which of the rows it is, from 1. `likely` holds the likeliest meanings of a wrong cell, by
    its column. `notes` say how a cell was read if that is not obvious. `said` are the fields that the row
    gives. `doubted` is true if the row is valid but looks wrong: a person may keep it as it is.
    """

    number: int
    line: int
    cells: list[str]
    gel: Gel | None = None
    wrong: list[Problem] = field(default_factory=list)
    likely: dict[int, tuple[str, ...]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    said: frozenset[str] = frozenset()
    doubted: bool = False


@dataclass
class RowMaking:
    """A row while its cells are read.

    `values` are the fields found so far, and `at` the columns they came from. `aside` is a remark found in a
    cell beside its value, as in “1/2 CTO (creased)”. `rolled` says that its sheets are on rolls.
    """

    row: DraftRow
    values: dict[str, object] = field(default_factory=dict)
    at: dict[str, TakenColumn] = field(default_factory=dict)
    aside: str = ""
    rolled: bool = False

    def refuse(
        self, column: str, says: str, allowed: str, at: int | None = None, likely: Sequence[str] = ()
    ) -> None:
        """Add a fault; `likely` are the likeliest meanings of the cell in column `at` (from 0)."""
        self.row.wrong.append(placed(self.row.line, column, says, allowed))
        if at is not None and likely:
            self.row.likely[at] = tuple(likely)

    def text(self, column: TakenColumn) -> str:
        """Return what stands in a column."""
        return self.row.cells[column.at].strip() if column.at < len(self.row.cells) else ""


def placed(line: int, column: str, says: str, allowed: str) -> Problem:
    """Return a problem at a line and, where one is named, a column."""
    where = f"line {line}" + (f", column {column}" if column else "")
    return Problem(where=where, says=says, allowed=allowed)
