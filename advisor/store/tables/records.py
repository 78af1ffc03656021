"""What comes out of the store: the model's values with their numbers, revisions and times.

Times are ISO 8601 in UTC. A revision counts the changes of what it stands with, from 1.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

from ...model import Exposure, GelTable, LightSet, Limits, Reading, Source, Target
from ..file.faults import NotFound


@dataclass(frozen=True, slots=True)
class Struck:
    """When a reading was struck out, and by whom; `who` is empty where nobody said.

    `by` is the reading that was filed in its place, by its id, where it was mended.
    """

    at: str
    who: str
    by: int | None = None


@dataclass(frozen=True, slots=True)
class StoredReading:
    """A reading of a source; one is only ever added, never changed. `who` is empty where nobody said.

    With `struck` it stays on the record, and counts nowhere; so does one of `another_lamp` than burns now.
    `counts` says that it is neither, and so tells of the source as it is. `sent_at` is when it came in, empty
    where that is when it was taken. `test_id` is the test of a head that it was taken in, if that is here.
    """

    id: int
    reading: Reading
    taken_at: str
    who: str
    struck: Struck | None = None
    sent_at: str = ""
    test_id: int | None = None
    counts: bool = True

    @property
    def another_lamp(self) -> bool:
        """Whether it was read of another lamp than the one that is in the source."""
        return self.struck is None and not self.counts

    @property
    def tested(self) -> bool:
        """Whether it was taken in the test of a head."""
        return self.reading.tested_at is not None


@dataclass(frozen=True, slots=True)
class StoredSource:
    """A source with the readings that count; with those that were struck out there are `readings`.

    Of these each counts once, however often it was mended.

    `number` is its own in its set, from 1, and stays when others are removed: it is on its tag.

    The bare one that counts was taken at `taken_at` by `who`, both empty where none does; `behind` is the
    newest of those that were taken behind gels. `tested` says that what counts is from the test of a head.
    """

    id: int
    set_id: int
    number: int
    source: Source
    revision: int
    readings: int
    taken_at: str
    who: str
    behind: StoredReading | None
    deleted: bool
    tested: bool = False

    @property
    def hangs(self) -> bool:
        """Whether what was decided for it is done: gel hangs, its dials are set, or it stays bare."""
        work = self.source.work
        return work is not None and work.hangs


@dataclass(frozen=True, slots=True)
class StoredSet:
    """A set with the sources that are not deleted, in their order.

    Where the target matches a source, `target.source` is that source's present name, and
    `target_deleted` says that it was deleted: the target then names a source that is not in `sources`.
    `revision` rises with every change of the set or of a source of it, readings included.
    """

    id: int
    name: str
    note: str
    target: Target
    target_source_id: int | None
    target_deleted: bool
    limits: Limits
    exposure: Exposure
    spare_percent: float
    hidden_cautions: tuple[str, ...]
    pulled: tuple[str, ...]
    walk: tuple[int, ...]
    wrapped: bool
    down: tuple[int, ...]
    stays_as: str
    copied_from: str
    sources: tuple[StoredSource, ...]
    uid: str
    revision: int
    changed_at: str
    sample: bool
    deleted: bool

    def index_of(self, source_id: int) -> int:
        """Return the index of a source of it in `sources`, from 0; raises NotFound where it is none now."""
        for index, source in enumerate(self.sources):
            if source.id == source_id:
                return index
        raise NotFound("source", source_id, deleted=True)

    @property
    def walked(self) -> list[int]:
        """The indices of its sources in `sources`, in the order in which the crew goes to them."""
        order = {number: rank for rank, number in enumerate(self.walk)}
        return sorted(
            range(len(self.sources)), key=lambda k: (order.get(self.sources[k].number, len(order)), k)
        )

    @property
    def light_set(self) -> LightSet:
        """The set as the model has it, without numbers and times."""
        return LightSet(
            name=self.name,
            note=self.note,
            target=self.target,
            limits=self.limits,
            exposure=self.exposure,
            spare_percent=self.spare_percent,
            hidden_cautions=list(self.hidden_cautions),
            pulled=list(self.pulled),
            walk=list(self.walk),
            wrapped=self.wrapped,
            down=list(self.down),
            stays_as=self.stays_as,
            copied_from=self.copied_from,
            sources=[s.source for s in self.sources],
        )


@dataclass(frozen=True, slots=True)
class SetSummary:
    """A line of the list of sets; `sources` is how many there are."""

    id: int
    name: str
    sources: int
    changed_at: str
    sample: bool


@dataclass(frozen=True, slots=True)
class Removed:
    """A deleted set or source that can be brought back: when, by whom; `who` is empty where nobody said."""

    id: int
    name: str
    at: str
    who: str


@dataclass(frozen=True, slots=True)
class RemovedGel:
    """A gel that a `version` of the table left out: when, and by whom; `who` is empty where nobody said."""

    version: int
    name: str
    at: str
    who: str


class UnitChange(NamedTuple):
    """Which readings of tests are `gone`, by their ids, since a source is another head, and which `come`.

    `others` are the sources of the set, by their ids, with which it exchanged heads.
    """

    gone: list[int]
    come: list[int]
    others: list[int]


@dataclass(frozen=True, slots=True)
class Change:
    """One change, as it was recorded: what was there and what is there since.

    `what` is one of set.added, set.changed, set.deleted, set.restored, set.imported, source.added,
    source.changed, source.unit, source.deleted, source.restored, reading.added, reading.struck,
    reading.back, reading.mended. In `before` and `after` a source's newest reading stands by its id, since a
    reading never changes. Or it is log: a line of the history that came with an imported set, whose words
    are `after["words"]`. `who` is empty where nobody said. `reading_id` is the reading that it struck out or
    brought back, and `undoes` the change that it undid; None for the others. It came in `at` a time, and was
    made at `done_at`, empty where that is the same: a phone may have had no link.
    """

    id: int
    at: str
    who: str
    set_id: int
    source_id: int | None
    what: str
    before: dict[str, Any] | None
    after: dict[str, Any] | None
    reading_id: int | None
    undoes: int | None
    done_at: str = ""

    @property
    def done(self) -> str:
        """When it was made."""
        return self.done_at or self.at

    @property
    def mended(self) -> list[tuple[int, int]]:
        """The readings that it mended, by their ids: each with the one that counts in its place."""
        return [(old, new) for old, new in (self.after or {}).get("mended", [])]

    @property
    def unit(self) -> "UnitChange | None":
        """What it did where it said which tested head a source is; None of any other."""
        told = (self.after or {}).get("unit")
        return None if told is None else UnitChange(*told)

    @property
    def reading(self) -> int | None:
        """The reading that it is about: the one that it took, struck out or brought back, by its id.

        None of several, nor of those that it mended.
        """
        if self.reading_id is not None or self.source_id is None or self.after is None:
            return self.reading_id
        if self.mended or self.unit:
            return None
        taken = self.after.get("reading_id")
        return None if (self.before or {}).get("reading_id") == taken else taken


@dataclass(frozen=True, slots=True)
class StoredTable:
    """A version of the gel table; version 0 is the table as shipped, which has no time and no maker."""

    version: int
    table: GelTable
    made_at: str | None
    why: str
    who: str = ""


@dataclass(frozen=True, slots=True)
class TableVersion:
    """A line of the gel table's history; `gels` is how many rows that version has."""

    version: int
    made_at: str | None
    why: str
    gels: int
    who: str = ""


class Conflict(Exception):
    """Somebody else changed it since the writer looked. Nothing was written; `current` is as it stands.

    Of a choice that is its text, None where there is none. `by` is the change that was in the way, where the
    store can tell.
    """

    def __init__(
        self, current: StoredSet | StoredSource | StoredTable | str | None, by: Change | None = None
    ) -> None:
        super().__init__("it was changed meanwhile: nothing was written")
        self.current = current
        self.by = by
