"""What comes out of the store of heads: the model's values with their numbers, times and who did it."""

from dataclasses import dataclass

from ...model import HeadReading, HeadTest, KnownHead


@dataclass(frozen=True, slots=True)
class StoredHead:
    """A head; `revision` counts its changes, from 1; `changed` is when its fields got their values."""

    id: int
    head: KnownHead
    revision: int
    changed_at: str
    deleted: bool
    changed: dict[str, str]


@dataclass(frozen=True, slots=True)
class HeadSummary:
    """A head as a list has it, with its newest test that has readings, else its newest; None without one.

    What was kept from a set counts after all tests of its own; `kept_at` is when it was last read on one
    since, empty where it was not.

    `readings` are how many steps of the test were read, of `steps` that it needs; `in_all` those of all
    `tests` of its own of which something was read.
    """

    stored: StoredHead
    test_id: int | None
    tested_at: str
    readings: int
    steps: int
    on_set: bool
    kept_at: str
    tests: int
    in_all: int


@dataclass(frozen=True, slots=True)
class SameReadings:
    """Another head of which so many different readings are to the last digit those of one."""

    head_id: int
    name: str
    count: int


@dataclass(frozen=True, slots=True)
class TakenReading:
    """A reading of a test that counts; a later one of the same step counts in its place."""

    id: int
    reading: HeadReading
    taken_at: str
    who: str


@dataclass(frozen=True, slots=True)
class StoredTest:
    """A test of a head with the readings that count, by the step of the test, from 0."""

    id: int
    head_id: int
    test: HeadTest
    begun_at: str
    who: str
    readings: dict[int, TakenReading]
    deleted: bool

    @property
    def unread(self) -> list[int]:
        """The steps that it needs and that were not read yet."""
        return [k for k in range(self.test.needed) if k not in self.readings]

    @property
    def left_out(self) -> list[int]:
        """The steps that a short test does without, and that were not read."""
        asked = len(self.test.steps) - len(self.test.others)
        return [k for k in range(self.test.needed, asked) if k not in self.readings]


@dataclass(frozen=True, slots=True)
class HeadChange:
    """A change of a head: `what` was done to which `part` (a test's or a reading's id), and what it undid.

    `undone` says that a later change undid it. `reading` is what was read where the part is one.
    """

    id: int
    head_id: int
    at: str
    who: str
    what: str
    part: int | None
    before: KnownHead | None
    after: KnownHead | None
    undoes: int | None
    undone: bool
    reading: HeadReading | None = None
