"""Heads of a file and those that are here made one, planned before anything is written.

A head of a file is the one here that shares a test with it, else the one of its name. Tests are the same that
were begun at the same time for the same readings, and readings those that were taken at the same time for the
same step. So nothing is doubled, and the same file a second time changes nothing. Of a head's fields the
newer value wins, field by field. What was removed here stays removed; what was struck out there is struck out
here, unless it was brought back since.
"""

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ...model import HeadTest, KnownHead
from ...model.basis.base import name_key
from ...model.sets.head_file import FiledHead, FiledReading, FiledTest
from . import rows, writes
from .known import StoredHead

_Place = tuple[str, str, float, tuple[float, float] | None]


@dataclass(frozen=True, slots=True)
class FieldMerge:
    """A field of a head that says something else here than in the file; `taken` where the file's is newer.

    `at` is when the one that wins got there; empty where nobody knows.
    """

    name: str
    ours: object
    theirs: object
    taken: bool
    at: str


@dataclass(frozen=True, slots=True)
class TestMerge:
    """A test of a file: the one that it joins here, None for a new one; what that gains, and loses.

    `struck` are readings here, by their ids, with when they were struck out there.
    """

    filed: FiledTest
    into: int | None
    readings: tuple[FiledReading, ...]
    struck: tuple[tuple[int, str], ...] = ()

    @property
    def changes(self) -> bool:
        """Whether it changes anything."""
        return self.into is None or bool(self.readings or self.struck)


@dataclass(frozen=True, slots=True)
class HeadMerge:
    """A head of a file: the one that it joins here, None for a new one, and what of that changes."""

    filed: FiledHead
    into: StoredHead | None
    fields: tuple[FieldMerge, ...]
    tests: tuple[TestMerge, ...]

    @property
    def taken(self) -> list[FieldMerge]:
        """The fields that the file changes."""
        return [f for f in self.fields if f.taken]

    @property
    def changes(self) -> bool:
        """Whether it changes anything."""
        return self.into is None or bool(self.taken) or any(t.changes for t in self.tests)


def plan_merge(conn: sqlite3.Connection, filed: Sequence[FiledHead]) -> list[HeadMerge]:
    """Return what heads of a file would change here, in their order; writes nothing."""
    joined = list[int | None]()
    for one in filed:
        same = _same_tests(conn, one)
        joined.append(None if same in joined else same)
    for index, one in enumerate(filed):
        if joined[index] is None:
            named = _named(conn, one.head.name)
            joined[index] = None if named in joined else named
    merges = []
    for one, head_id in zip(filed, joined, strict=True):
        into = None if head_id is None else rows.load_head(conn, head_id)
        fields = () if into is None else _fields(conn, into, one)
        tests = tuple(_test(conn, head_id, test) for test in one.tests)
        merges.append(HeadMerge(one, into, fields, tests))
    return merges


def merge(conn: sqlite3.Connection, who: str, merges: Sequence[HeadMerge]) -> list[tuple[int, list[int]]]:
    """Write what was planned; return for each head its id here, and those of its tests. Raises Refused."""
    made = []
    for one in merges:
        if one.into is None:
            head_id = writes.insert_head(conn, who, one.filed.head, one.filed.changed, "head.imported")
        else:
            head_id = one.into.id
            if taken := one.taken:
                head = one.into.head.model_copy(update={f.name: f.theirs for f in taken})
                writes.put_head(conn, who, one.into, head, {f.name: f.at for f in taken})
        made.append((head_id, [_merge_test(conn, who, head_id, test) for test in one.tests]))
    return made


def _merge_test(conn: sqlite3.Connection, who: str, head_id: int, test: TestMerge) -> int:
    filed, test_id = test.filed, test.into
    if test_id is None:
        test_id = writes.insert_test(conn, head_id, filed.test, filed.begun_at, filed.who)
        writes.record(conn, who, head_id, "test.imported", test_id)
    for r in test.readings if test.into is not None else ():
        here = rows.load_test(conn, test_id)
        if here.test.step_of(r.reading) is None:
            writes.widen_test(conn, here, r.reading)
    for r in test.readings:
        added = writes.insert_reading(conn, test_id, r.reading, r.taken_at, r.who, r.struck_at)
        if test.into is not None and r.struck_at is None:
            writes.record(conn, who, head_id, "reading.imported", added)
    for reading_id, at in test.struck:
        conn.execute("UPDATE head_readings SET struck_at = ? WHERE id = ?", (at, reading_id))
        writes.record(conn, who, head_id, "reading.struck", reading_id)
    return test_id


def _same_tests(conn: sqlite3.Connection, filed: FiledHead) -> int | None:
    """Return the head here that shares a reading of a test with one of a file, best one of its name."""
    found: dict[int, str] = {}
    for test in filed.tests:
        places = {_place(r) for r in test.readings}
        for row in _begun(conn, test):
            if places & _places(conn, row["id"]).keys():
                found[row["head_id"]] = row["name_key"]
    own = name_key(filed.head.name)
    return min(found, key=lambda head_id: (found[head_id] != own, head_id), default=None)


def _begun(conn: sqlite3.Connection, filed: FiledTest, head_id: int | None = None) -> list[sqlite3.Row]:
    """Return the tests here that were begun when one of a file was, for the same readings; of one head."""
    found = conn.execute(
        """SELECT t.id, t.head_id, t.test, h.name_key FROM head_tests t JOIN heads h ON h.id = t.head_id
           WHERE t.begun_at = ? AND coalesce(? = t.head_id, 1) ORDER BY t.id""",
        (filed.begun_at, head_id),
    ).fetchall()
    own = filed.test.planned
    return [row for row in found if HeadTest.model_validate_json(row["test"]).planned == own]


def _named(conn: sqlite3.Connection, name: str) -> int | None:
    """Return the head here that has a name, a removed one only where no other has it."""
    row = conn.execute(
        "SELECT id FROM heads WHERE name_key = ? ORDER BY deleted_at IS NOT NULL, id DESC LIMIT 1",
        (name_key(name),),
    ).fetchone()
    return None if row is None else int(row["id"])


def _fields(conn: sqlite3.Connection, into: StoredHead, filed: FiledHead) -> tuple[FieldMerge, ...]:
    found = []
    for name in KnownHead.model_fields:
        ours, theirs = getattr(into.head, name), getattr(filed.head, name)
        if ours == theirs:
            continue
        here, there = into.changed.get(name, ""), filed.changed.get(name, "")
        free = name != "name" or into.deleted or not writes.name_taken(conn, filed.head.name, but=into.id)
        taken = there > here and free
        found.append(FieldMerge(name, ours, theirs, taken, there if taken else here))
    return tuple(found)


def _test(conn: sqlite3.Connection, head_id: int | None, filed: FiledTest) -> TestMerge:
    row = next(iter(_begun(conn, filed, head_id)), None) if head_id is not None else None
    if row is None:
        return TestMerge(filed, None, tuple(filed.readings))
    here = _places(conn, row["id"])
    new = tuple(r for r in filed.readings if _place(r) not in here)
    struck = [(here[_place(r)], r.struck_at) for r in filed.readings if r.struck_at and _place(r) in here]
    return TestMerge(
        filed, row["id"], new, tuple((id_, at) for id_, at in struck if not _settled(conn, id_, at))
    )


def _settled(conn: sqlite3.Connection, reading_id: int, struck_at: str) -> bool:
    """Whether a reading here is struck out already, or was brought back after it was struck out there."""
    row = conn.execute(
        """SELECT r.struck_at IS NOT NULL OR EXISTS (
               SELECT 1 FROM head_changes c
               WHERE c.part = r.id AND c.what = 'reading.back' AND c.at > ?) AS settled
           FROM head_readings r WHERE r.id = ?""",
        (struck_at, reading_id),
    ).fetchone()
    return bool(row["settled"])


def _places(conn: sqlite3.Connection, test_id: int) -> dict[_Place, int]:
    """Return the readings of a test, struck ones too, by when they were taken and of what."""
    found = conn.execute("SELECT id, taken_at, reading FROM head_readings WHERE test_id = ?", (test_id,))
    return {_stood(row["taken_at"], json.loads(row["reading"])): row["id"] for row in found}


def _stood(taken_at: str, reading: dict[str, Any]) -> _Place:
    dial = reading.get("dial")
    setting = (float(dial["cct"]), float(dial.get("green", 0.0))) if dial else None
    return taken_at, name_key(reading.get("modifier", "")), float(reading["level"]), setting


def _place(filed: FiledReading) -> _Place:
    own, dial = filed.reading, filed.reading.dial
    return filed.taken_at, name_key(own.modifier), own.level, (dial.cct, dial.green) if dial else None
