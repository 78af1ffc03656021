"""What came of a pasted text."""

from ..model import Problem, Source
from ..model.base import Model


class Understood(Model):
    """A heading, and what it was taken for."""

    heading: str
    meaning: str


class PastedRow(Model):
    """One reading of the text, as it stood there and as it was understood.

    `line` counts from 1 in the pasted text. Without a `source` the row was not understood and
    `problems` says why; beside a source, problems only remark on what was left out of it.
    """

    line: int
    text: str
    source: Source | None
    problems: list[Problem]


class Paste(Model):
    """The readings of a pasted text, in its order; `ignored` tells what was not used, and why."""

    rows: list[PastedRow]
    columns: list[Understood]
    ignored: list[str]

    @property
    def sources(self) -> list[Source]:
        """The rows that were understood."""
        return [row.source for row in self.rows if row.source is not None]
