"""Heads with their tests, as one JSON file that restores them elsewhere, or joins them with those there.

    {"advisor_heads": 1, "exported_at": …,
     "heads": [{"head": {…}, "changed": {"kind": …},
                "tests": [{"begun_at", "who", "test": {…},
                           "readings": [{"taken_at", "who", "reading": {…}, "struck_at"}]}]}]}

Times are ISO 8601 in UTC. Fields without a value are left out. `advisor_heads` is the number of the format.
It rises when an older advisor could not read a whole file.
"""

import re
from collections import Counter
from typing import Self

from pydantic import Field, field_validator, model_validator

from ..basis.base import Model, Time, Who, refuse_twice
from ..basis.problems import wrong
from .known_head import HeadReading, HeadSetup, HeadStep, HeadTest, KnownHead

HEADS_FORMAT = 1
"""The format that is written."""
MOST_FILED = 2000
"""The most heads in one file, as in one laptop."""
_MOST_TESTS, _MOST_READINGS = 500, 2000


class FiledReading(Model):
    """A reading of a test with when it was taken, and by whom; with `struck_at` it counts nowhere."""

    taken_at: Time
    who: Who = ""
    reading: HeadReading
    struck_at: Time | None = None

    @model_validator(mode="after")
    def _one_time(self) -> Self:
        if self.reading.taken_at is not None:
            raise wrong("taken_at stands inside the reading", "taken_at beside the reading")
        return self


class FiledTest(Model):
    """A test with when it was begun, and by whom, and its readings, oldest first."""

    begun_at: Time
    who: Who = ""
    test: HeadTest
    readings: list[FiledReading] = Field(default=[], max_length=_MOST_READINGS)

    @model_validator(mode="after")
    def _asked_for(self) -> Self:
        for filed in self.readings:
            refuse_unasked(self.test, filed.reading)
        return self


class FiledHead(Model):
    """A head with its tests; `changed` is when each of its fields got the value that it has, where known."""

    head: KnownHead
    changed: dict[str, Time] = Field(default={})
    tests: list[FiledTest] = Field(default=[], max_length=_MOST_TESTS)

    @field_validator("changed")
    @classmethod
    def _fields(cls, changed: dict[str, str]) -> dict[str, str]:
        for name in changed:
            if name not in KnownHead.model_fields:
                raise wrong(f"{name[:40]!r} is not a field of a head", ", ".join(KnownHead.model_fields))
        return changed

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        times = Counter((t.begun_at, t.test.model_dump_json()) for t in self.tests)
        for (begun_at, _), count in times.items():
            if count > 1:
                raise wrong(f"{count} like tests were begun at {begun_at}", "each test once")
        return self


class HeadFile(Model):
    """Heads with their tests, each head once."""

    advisor_heads: int
    exported_at: Time
    heads: list[FiledHead] = Field(max_length=MOST_FILED)

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        refuse_twice((one.head.name for one in self.heads), "is in it twice", "each head once")
        return self

    def to_json(self) -> str:
        """Write it as the file that `imports.head_file` reads."""
        return numbers_on_a_line(self.model_dump_json(indent=1, exclude_defaults=True))


def numbers_on_a_line(written: str) -> str:
    """Return JSON that is written a value a line with each list of numbers on one."""
    # No text holds a line's end as it is, so that only lists are found.
    return re.sub(r"\[\n[\s\d.,eE+-]+\]", lambda found: re.sub(r"\s+", "", found[0]), written)


def refuse_unasked(test: HeadTest, reading: HeadReading) -> None:
    """Raise the error that a validator raises where a test does not ask for a reading."""
    if test.step_of(reading) is None:
        own = HeadStep(HeadSetup(reading.modifier, reading.dial), reading.level).words
        asked = " · ".join(step.words for step in test.steps[:6])
        more = f" and {len(test.steps) - 6} more" if len(test.steps) > 6 else ""
        raise wrong(f"a reading is at {own}, which its test does not ask for", asked + more)
