"""All that is known of a set, as one JSON file that restores it elsewhere.

    {"advisor_set": 3, "uid": …, "exported_at": …, "changed_at": …, "sample": …,
     "set": {the set without its sources}, "target_source": …,
     "sources": [{"number": …, "readings": [{"taken_at", "sent_at", "who", "reading", "test",
                                              "struck": {"at", "who", "by"}}],
                  "source": {…}, "removed_at": …}],
     "last_number": …, "gels": [rows of the table in force], "history": [{"at", "who", "what"}],
     "heads": [as in a file of heads]}

Times are ISO 8601 in UTC. Fields without a value are left out. `advisor_set` is the number of the format. It
rises when an older advisor could not read a whole file. `test` says from which test of `heads` a reading
comes; where none does the format is 2, which has neither. Files of format 1 are read too. Their gels do not
say how they are known. Their sets have one doubt for all gels, which is ignored. Their heads have no numbers:
heads in the set are numbered in order, and removed ones after them.
"""

import re
from collections import Counter
from collections.abc import Sequence
from typing import Annotated, Self

from pydantic import AfterValidator, Field, ValidationError, ValidationInfo, field_validator, model_validator

from ..basis.base import Model, Time, TypedText, Who, copies
from ..basis.problems import wrong
from ..basis.quantities import HeadNumber
from ..gels.gel import Gel
from .head_file import FiledHead, numbers_on_a_line
from .lightset import LightSet
from .reading import UNREAD, Reading
from .source import MAX_READINGS, Source
from .work import Lamp

FORMAT, WITHOUT_HEADS = 3, 2
"""The format that is written where heads come along, and else. Earlier ones are read too."""
MAX_LINES = 100_000
"""The most lines of history; older ones are left out."""


def _uid(value: str) -> str:
    if not re.fullmatch(r"[0-9A-Za-z-]{1,64}", value):
        raise wrong(f"{value[:70]!r} is not the number of a set", "1 to 64 letters, digits and hyphens")
    return value


Uid = Annotated[str, AfterValidator(_uid)]


class FromTest(Model):
    """From which test a reading comes: the index of its head in `heads`, and of the test in it, from 0."""

    head: int = Field(ge=0)
    test: int = Field(ge=0)


class StruckOut(Model):
    """When a reading was struck out, and by whom; `who` is empty where nobody said.

    `by` is the index, from 0, of the reading that replaced it.
    """

    at: Time
    who: Who = ""
    by: int | None = Field(default=None, ge=0)


class DatedReading(Model):
    """A reading with when it was taken, and by whom; `who` is empty where nobody said.

    With `struck` it stays on the record, and counts nowhere. `sent_at` is when it came in, where that was
    later. `test` is the test of a head that it comes from.
    """

    taken_at: Time
    sent_at: Time | None = None
    who: Who = ""
    reading: Reading
    struck: StruckOut | None = None
    test: FromTest | None = None

    @model_validator(mode="after")
    def _one_time(self) -> Self:
        if self.reading.taken_at is not None:
            raise wrong("taken_at stands inside the reading", "taken_at beside the reading")
        return self


class WholeSource(Model):
    """A source with all its readings, oldest first; the newest bare one that is not struck out counts.

    What was read of another lamp than is in it counts for nothing.

    In JSON, `source` is written without the readings. `removed_at` is when it was taken out of the set.
    `number` is its lasting number in the set; None in files that have none.
    """

    number: HeadNumber | None = None

    readings: list[DatedReading] = Field(min_length=1, max_length=MAX_READINGS + 1)
    source: Source
    removed_at: Time | None = None

    @model_validator(mode="after")
    def _mended_by_another(self) -> Self:
        for index, dated in enumerate(self.readings):
            by = dated.struck.by if dated.struck else None
            if by is not None and (by == index or by >= len(self.readings)):
                raise wrong(f"reading {index} is replaced by reading {by}", "another one of the source")
        return self

    @field_validator("source", mode="before")
    @classmethod
    def _with_readings(cls, value: object, info: ValidationInfo) -> object:
        if not isinstance(value, dict):
            return value
        for field in ("reading", "readings"):
            if field in value:
                raise wrong(
                    f"{field} stands inside the source", "readings beside the source, with their times"
                )
        dated = info.data.get("readings")
        if dated is None:  # the error is noted already; with a dummy reading the rest can be checked
            return {**value, "reading": Reading(cct=5600.0, duv=0.0)}
        since = _lamp_since(value)
        counts, others = that_count([d.reading for d in dated if d.struck is None and d.taken_at >= since])
        return {**value, "reading": counts, "readings": others}


def _lamp_since(source: dict[str, object]) -> str:
    """Return when the lamp of a source came that is not checked yet; empty where its lamp is wrong."""
    try:
        return Lamp.model_validate(source.get("lamp") or {}).since or ""
    except ValidationError:
        return ""  # the source itself says so


def that_count(readings: Sequence[Reading]) -> tuple[Reading, list[Reading]]:
    """Return the newest bare reading, which counts, and the others; `readings` come oldest first.

    If none is bare, the first is `UNREAD`.
    """
    counts = max((k for k, reading in enumerate(readings) if not reading.gels), default=None)
    if counts is None:
        return UNREAD, list(readings)
    return readings[counts], [*readings[:counts], *readings[counts + 1 :]]


def with_readings(sources: Sequence[Source], readings: Sequence[Sequence[Reading]]) -> list[Source]:
    """Return each source with its readings, which come oldest first: the newest bare one counts."""
    counted = [that_count(own) for own in readings]
    return copies(sources, [{"reading": counts, "readings": others} for counts, others in counted])


class LogLine(Model):
    """What somebody did, in words."""

    at: Time
    who: Who = ""
    what: Annotated[str, TypedText("what", 1000)]


class Whole(Model):
    """A set with its sources, removed ones too, their readings, the gels' labels and the history.

    `set` has no sources. If the target matches a source, `target_source` is its index in `sources`, from 0.
    `last_number` is the highest number that any head ever had, including the day before. `gels` say what the
    labels meant. `heads` are those whose tests the readings come from.
    """

    advisor_set: int = WITHOUT_HEADS
    uid: Uid
    exported_at: Time
    changed_at: Time
    sample: bool = False
    set: LightSet
    target_source: int | None = Field(default=None, ge=0)
    sources: list[WholeSource] = Field(max_length=1000)
    last_number: HeadNumber | None = None
    gels: list[Gel] = Field(max_length=2000)
    history: list[LogLine] = Field(max_length=MAX_LINES)
    heads: list[FiledHead] = Field(default=[], max_length=1000)

    @model_validator(mode="after")
    def _joined(self) -> Self:
        if self.set.sources:
            raise wrong("set holds sources", "sources beside the set, with their readings")
        named = self.set.target.source
        if named is None and self.target_source is not None:
            raise wrong("target_source is given, and the target matches no source", "no target_source")
        if named is not None:
            if self.target_source is None or self.target_source >= len(self.sources):
                raise wrong(f"target_source does not say which source is {named!r}", "its place, from 0")
            if self.sources[self.target_source].source.name != named:
                there = self.sources[self.target_source].source.name
                raise wrong(f"target_source is {there!r}, and the target is {named!r}", "the same source")
        return self

    @model_validator(mode="after")
    def _tests_there(self) -> Self:
        tests = [len(one.tests) for one in self.heads]
        for source in self.sources:
            for at in (d.test for d in source.readings if d.test):
                if at.head >= len(tests) or at.test >= tests[at.head]:
                    says = f"a reading is from test {at.test} of head {at.head}, which is not in the file"
                    raise wrong(says, "the place of one of heads, and of its tests, from 0")
        return self

    @model_validator(mode="after")
    def _told_apart(self) -> Self:
        numbers = Counter(source.number for source in self.sources if source.number is not None)
        for number, sources in numbers.items():
            if sources > 1:
                raise wrong(f"{sources} sources have the number {number}", "a number of its own for each")
        return self

    @property
    def numbers(self) -> list[int]:
        """The numbers of its sources, in their order. Sources without a number get free ones."""
        numbers = {i: s.number for i, s in enumerate(self.sources) if s.number is not None}
        # Sources still in the set come first, so that without numbers they count from 1 in order.
        rest = sorted(
            (i for i in range(len(self.sources)) if i not in numbers),
            key=lambda i: self.sources[i].removed_at is not None,
        )
        first = max([0, *numbers.values()]) + 1
        numbers |= {i: first + k for k, i in enumerate(rest)}
        return [numbers[i] for i in range(len(self.sources))]

    def to_json(self) -> str:
        """Write it as the file that `imports.set_file` reads: a line for everything but lists of numbers."""
        written = self.model_dump_json(
            indent=1,
            exclude_none=True,
            exclude={
                "set": {"sources": True},
                "sources": {"__all__": {"source": {"reading": True, "readings": True}}},
                **({} if self.heads else {"heads": True}),
            },
        )
        return numbers_on_a_line(written)
