"""What came of a pasted text."""

from collections.abc import Sequence

from ...model import Kind, Problem, Source
from ...model.base import Model


class Understood(Model):
    """A heading, and what it was taken for."""

    heading: str
    meaning: str


class PastedRow(Model):
    """One reading of the text, as it stood there and as it was understood.

    `line` counts from 1 in the pasted text. Without a `source` the row was not understood and
    `problems` says why; beside a source, problems only remark on what was left out of it. `named` is
    whether the text names it. `joins` is the line of the row to whose source this reading belongs too,
    None where it is a source's first or only one.
    """

    line: int
    text: str
    source: Source | None
    problems: list[Problem]
    named: bool = True
    joins: int | None = None


class Paste(Model):
    """The readings of a pasted text, in its order; `ignored` tells what was not used, and why."""

    rows: list[PastedRow]
    columns: list[Understood]
    ignored: list[str]

    @property
    def sources(self) -> list[Source]:
        """The sources whose readings were understood, each with all of its readings."""
        groups: dict[int, list[Source]] = {}
        for row in self.rows:
            if row.source is not None:
                groups.setdefault(row.joins or row.line, []).append(row.source)
        return [joined(group) for group in groups.values()]


def joined(rows: Sequence[Source]) -> Source:
    """Make one source of rows that are readings of it, in the order of the text; there is at least one.

    The last reading counts, as the newest. Kind and note are those of the first row that has them.
    """
    kind = next((row.kind for row in rows if row.kind is not Kind.UNKNOWN), Kind.UNKNOWN)
    note = next((row.note for row in rows if row.note), "")
    *earlier, last = [row.reading for row in rows]
    return rows[0].model_copy(update={"kind": kind, "note": note, "reading": last, "readings": earlier})
