"""The rows of a text as they are gathered, and what is said of those that were left out."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ..sources.colour import WAYS
from ..text.cells import in_rows
from ..vocabulary.headings import Field
from .joining import APART, BuiltRow, Joining, answer_of, repeats_question, settled
from .mending import cells_to_mend
from .result import Answers, PassedOver, Paste, PastedRow, PasteQuestion, Understood
from .too_many import BEYOND

_MOST_IGNORED = 50
_LONGEST_IGNORED = 120


@dataclass
class Gathered:
    """The rows so far, told apart or joined, and the fields that were given and used.

    `meanings` (heading, words) are for a person where no `columns` say more; `ignored` says what was not
    used, beside the lines in `left_out`.
    """

    rows: list[PastedRow] = field(default_factory=list)
    joining: Joining = field(default_factory=Joining)
    given: set[Field] = field(default_factory=set)
    used: set[Field] = field(default_factory=set)
    meanings: dict[tuple[str, str], None] = field(default_factory=dict)
    columns: list[Understood] = field(default_factory=list)
    unused: list[Understood] = field(default_factory=list)
    left_out: list[PassedOver] = field(default_factory=list)
    ignored: dict[str, None] = field(default_factory=dict)
    asked: list[PasteQuestion] = field(default_factory=list)
    shape: list[PasteQuestion] = field(default_factory=list)

    def next_names(self, count: int = 1) -> list[str]:
        """Return the names of so many rows that are added next and have none."""
        return [f"Source {len(self.rows) + number + 1}" for number in range(count)]

    @classmethod
    def under(cls, answers: Answers) -> "Gathered":
        """Begin with what was answered about sources that are read several times."""
        return cls(joining=Joining(repeats=answer_of(answers) not in ("", APART)))

    def add(self, rows: Sequence[BuiltRow]) -> None:
        """Take in what came of some rows."""
        for read, told, row in zip(
            rows, in_rows([read.cells for read in rows]), self.joining.rows_of(rows), strict=True
        ):
            if row.source is None:
                name = read.cells.get(Field.NAME)
                called = name.text.strip() if name is not None else ""
                row = row.model_copy(update={"cells": cells_to_mend(row, read.cells), "called": called})
            self.rows.append(row)
            self.given |= {*told.given, *told.unread}
            self.used |= set(read.built.way or ())

    def leave_rest(self, line: int, text: str) -> None:
        """Say which reading is the first that was left out because there are too many."""
        self.left_out.append(PassedOver(line=line, text=text, why=BEYOND))

    def _unused(self) -> list[str]:
        """Say which colour columns were filled in and not needed."""
        used = next((", ".join(w) for w in WAYS if set(w) <= self.used), None)
        colours = [f for way in WAYS for f in way if f in self.given and f not in self.used]
        return (
            [f"{', '.join(colours)}: not used, the colour is taken from {used}"] if colours and used else []
        )

    def settle(self, answers: Answers) -> None:
        """Ask what to do with sources that were read several times, and do what was answered."""
        question = repeats_question(self.rows, answers)
        if question is not None:
            self.asked.append(question)
            self.rows = settled(self.rows, question.answer)

    def paste(self) -> Paste:
        """Return all of it."""
        said = [*map(_said, self.left_out), *self.ignored, *self._unused()]
        ignored = [t if len(t) <= _LONGEST_IGNORED else t[: _LONGEST_IGNORED - 1] + "…" for t in said]
        if len(ignored) > _MOST_IGNORED:
            ignored = [*ignored[:_MOST_IGNORED], f"and {len(ignored) - _MOST_IGNORED} more"]
        columns = self.columns or [Understood(heading=h, meaning=m) for h, m in self.meanings]
        return Paste(
            rows=self.rows,
            columns=columns,
            ignored=ignored,
            unused=self.unused,
            left_out=self.left_out,
            shape=self.shape,
            asked=sorted(self.asked, key=lambda each: bool(each.answer)),
        )


def _said(left: PassedOver) -> str:
    return f"{left.text.rstrip(':;, ')}: {left.why}" if left.why else left.text
