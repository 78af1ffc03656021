"""A row of a gel table on its way to a gel: what was read, what is wrong, and where each field stood."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ...model import Gel, Problem
from ..gel_layouts.columns import TakenColumn


@dataclass
class DraftRow:
    """A row as it was read: `gel` is None where something is `wrong` with it.

    `number` is its place among the rows, from 1. `likely` are the likeliest meanings of a wrong cell, by its
    column; `notes` say how cells were read where that is not plain; `said` are the fields that the row gives.
    `doubted` tells that the row could be taken as it is.
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
    """A row on its way to a gel; `aside` is what is remarked in a cell that says something else."""

    row: DraftRow
    values: dict[str, object] = field(default_factory=dict)
    at: dict[str, TakenColumn] = field(default_factory=dict)
    aside: str = ""

    def refuse(
        self, column: str, says: str, allowed: str, at: int | None = None, likely: Sequence[str] = ()
    ) -> None:
        """Add what is wrong, at a column."""
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
