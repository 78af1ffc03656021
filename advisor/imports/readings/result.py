"""What came of a pasted text: rows, what each column was taken for, what was left out, what to ask."""

from collections.abc import Mapping, Sequence
from enum import StrEnum

from pydantic import Field

from ...model import Kind, Problem, Role, Source
from ...model.basis.base import Model
from ...model.sets.reading import UNREAD

Answers = Mapping[str, str]
"""What was chosen, by the keys of columns, questions and cells. One that is not there says nothing."""


class Sure(StrEnum):
    """How sure it is what a column holds."""

    CHOSEN = "chosen"
    """Somebody said so."""
    SAID = "said"
    """Its heading says so."""
    LIKELY = "likely"
    """What is in it looks so, and its heading is not known: to be confirmed."""
    LEFT_OUT = "left out"
    """It is not used."""


class Reply(Model):
    """One answer to what is asked: what is sent back, and the words on its button."""

    value: str
    words: str


class Understood(Model):
    """A heading, and what it was taken for.

    `key` is what an answer about this column goes by, `field` what it was taken for, empty where it is not
    used; `meaning` says it with its unit, and `why` says why it is not used, or how it was known. `examples`
    are its first cells; `answer` is what was chosen for it, empty where nobody chose.
    """

    heading: str
    meaning: str
    key: str = ""
    field: str = ""
    sure: Sure = Sure.SAID
    why: str = ""
    examples: list[str] = Field(default_factory=list)
    answer: str = ""


class PasteQuestion(Model):
    """What nobody can tell but who pasted it. Until it is answered, `lines` are not read.

    `key` is what the answer goes by, `likely` the value of the likeliest choice (empty where none is), and
    `answer` what was chosen (empty until then). An answer that is given stays listed, so that it can be
    changed. Where `blocks` is false the rows are read as `likely` says. A `lasting` answer holds for every
    text with these headings, as which of two columns is the reading; another one for this text alone.
    """

    key: str
    says: str
    choices: list[Reply]
    likely: str = ""
    answer: str = ""
    lines: list[int] = Field(default_factory=list)
    blocks: bool = True
    lasting: bool = False

    @classmethod
    def of(
        cls,
        key: str,
        says: str,
        choices: Mapping[str, str],
        answers: Answers,
        *,
        likely: str = "",
        blocks: bool = True,
        lasting: bool = False,
    ) -> "PasteQuestion":
        """Ask with `choices`, words by their value; an answer that is none of them does not count."""
        answer = answers.get(key, "")
        return cls(
            key=key,
            says=says,
            choices=[Reply(value=value, words=words) for value, words in choices.items()],
            likely=likely,
            answer=answer if answer in choices else "",
            blocks=blocks,
            lasting=lasting,
        )

    @property
    def open(self) -> bool:
        """Whether it still waits for its answer."""
        return not self.answer


class PassedOver(Model):
    """A line of the text that is no reading: its number, from 1, what stands there, and why it is no row."""

    line: int
    text: str
    why: str = ""


class PastedCell(Model):
    """A cell that can be mended where it stands: its heading, what stands there, and what is wrong with it.

    `key` is what its new text goes by. `likely` is what was probably meant, None where nothing is likely.
    """

    key: str
    heading: str
    text: str
    says: str = ""
    likely: Reply | None = None


class PastedRow(Model):
    """One reading of the text, as it stood there and as it was understood.

    `line` counts from 1 in the pasted text, `part` from 0 the readings on that line. Without a `source` the
    row was not understood and `problems` says why; beside a source, problems only remark on what was left
    out of it. `named` is whether the text names it. `joins` and `joins_part` are line and part of the row to
    whose source this reading belongs too, None where it is a source's first or only one. `time` is when it
    was read, as the text says it. Of a row that was not understood, `cells` are what it gives, or lacks, and
    `called` is the name that it gives.
    """

    line: int
    text: str
    source: Source | None
    problems: list[Problem]
    named: bool = True
    joins: int | None = None
    part: int = 0
    joins_part: int = 0
    time: str = ""
    cells: list[PastedCell] = Field(default_factory=list)
    called: str = ""

    @property
    def key(self) -> str:
        """Name the row within its text: “7”, or “7.1” for the second reading on line 7."""
        return f"{self.line}.{self.part}" if self.part else str(self.line)

    @property
    def of(self) -> tuple[int, int]:
        """Line and part of the first row of its source."""
        return (self.line, self.part) if self.joins is None else (self.joins, self.joins_part)


def keys_of(rows: Sequence[PastedRow]) -> list[tuple[str, tuple[int, int]]]:
    """Return of each row its key, and line and part of the first row of its source."""
    return [(row.key, row.of) for row in rows]


class Paste(Model):
    """The readings of a pasted text, in its order.

    `columns` says what was used, and `unused` the columns that were not, each with why; `left_out` the lines
    that are no readings; `ignored` says both in words. `asked` is what is to be asked, those without an
    answer first. `shape` is what can be said of the text as a whole, where it was read wrongly: rows and
    columns swapped, the line of its headings.
    """

    rows: list[PastedRow]
    columns: list[Understood]
    ignored: list[str]
    unused: list[Understood] = Field(default_factory=list)
    left_out: list[PassedOver] = Field(default_factory=list)
    asked: list[PasteQuestion] = Field(default_factory=list)
    shape: list[PasteQuestion] = Field(default_factory=list)

    @property
    def sources(self) -> list[Source]:
        """The sources whose readings were understood, each with all of its readings."""
        groups: dict[tuple[int, int], list[Source]] = {}
        for row in self.rows:
            if row.source is not None:
                groups.setdefault(row.of, []).append(row.source)
        return [joined(group) for group in groups.values()]


def joined(rows: Sequence[Source]) -> Source:
    """Make one source of rows that are readings of it, in the order of the text; there is at least one.

    The last bare reading counts, as the newest. Kind, role and note are those of the first row that has
    them; the power is the most of any row, as that at full.
    """
    kind = next((row.kind for row in rows if row.kind is not Kind.UNKNOWN), Kind.UNKNOWN)
    note = next((row.note for row in rows if row.note), "")
    watts = max((row.watts for row in rows if row.watts), default=None)
    readings = [reading for row in rows for reading in (*row.readings, row.reading) if reading.said]
    bare = [at for at, reading in enumerate(readings) if not reading.gels]
    counts = readings.pop(bare[-1]) if bare else UNREAD
    role = next((row for row in rows if row.role is not Role.OTHER or row.on_subject is not None), rows[0])
    parts = {"role": role.role, "on_subject": role.on_subject}
    said = parts | {"kind": kind, "note": note, "watts": watts, "reading": counts, "readings": readings}
    return rows[0].model_copy(update=said)
