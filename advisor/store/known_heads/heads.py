"""The heads that a crew knows: added, tested, changed, removed; every change can be undone.

A reading is only ever added: a later one of the same level and modifier counts in its place, and one that is
struck out stays on record. An undo is a change like any other, which says what it undoes.
"""

import sqlite3
from collections.abc import Sequence

from ...model import HeadReading, HeadTest, Kind, KnownHead, Refused
from ..file.database import Database, utc_now
from ..file.faults import NotFound
from ..tables.records import Conflict
from . import kept, rows, writes
from .exchange import HeadExchange
from .kept import OnSet
from .known import HeadChange, HeadSummary, SameReadings, StoredHead, StoredTest


class HeadStore:
    """The heads in `db`. Every method is one transaction, on any thread.

    `who` writes: the name that a person gave, which history keeps. Readings were taken at `done_at`, which on
    a phone without a link is before they come in; empty is now.
    """

    def __init__(self, db: Database, who: str = "", done_at: str = "") -> None:
        self._db = db
        self._who = who
        self._done_at = done_at

    def by(self, who: str, done_at: str = "") -> "HeadStore":
        """Return the same heads as somebody writes to them, who did that at some time."""
        return HeadStore(self._db, who, done_at)

    @property
    def exchange(self) -> HeadExchange:
        """The heads, out to a file and back."""
        return HeadExchange(self._db, self._who)

    def list_heads(self) -> list[HeadSummary]:
        """Return a line for each head, by group and name."""
        with self._db.read() as conn:
            return rows.list_heads(conn)

    def removed_heads(self) -> list[StoredHead]:
        """Return the heads that were removed, the last one first."""
        with self._db.read() as conn:
            return rows.removed_heads(conn)

    def get_head(self, head_id: int) -> StoredHead:
        """Return a head, also a removed one, which says so; raises NotFound."""
        with self._db.read() as conn:
            return rows.load_head(conn, head_id)

    def get_test(self, test_id: int) -> StoredTest:
        """Return a test with the readings that count; raises NotFound, also where it was removed."""
        with self._db.read() as conn:
            found = rows.load_test(conn, test_id)
            rows.present_head(conn, found.head_id)
        if found.deleted:
            raise NotFound("test", test_id, deleted=True)
        return found

    def tests_of(self, head_id: int) -> list[StoredTest]:
        """Return the tests of a head that were not removed, the newest first; raises NotFound."""
        with self._db.read() as conn:
            rows.load_head(conn, head_id)
            found = conn.execute(
                "SELECT id FROM head_tests WHERE head_id = ? AND deleted_at IS NULL "
                "ORDER BY begun_at DESC, id DESC",
                (head_id,),
            ).fetchall()
            return [rows.load_test(conn, r["id"]) for r in found]

    def same_readings(self, head_id: int) -> list[SameReadings]:
        """Return the heads that share two readings or more with one: no two lamps read alike so often."""
        with self._db.read() as conn:
            return rows.same_readings(conn, head_id, least=2)

    def newest_test(self, kind: Kind) -> HeadTest | None:
        """Return the newest test that any head of a kind had; None where there is none."""
        with self._db.read() as conn:
            return rows.newest_test(conn, kind)

    def newest_meter(self) -> str:
        """Return the meter that the newest test of any head was read with; empty where none says."""
        with self._db.read() as conn:
            return rows.newest_meter(conn)

    def changes(self, head_id: int) -> list[HeadChange]:
        """Return what was done to a head, the newest first; raises NotFound."""
        with self._db.read() as conn:
            rows.load_head(conn, head_id)
            return rows.load_changes(conn, head_id)

    def add_head(self, head: KnownHead) -> int:
        """Keep a new head, and return its id; raises Refused where another has the name."""
        with self._db.write() as conn:
            times = dict.fromkeys(rows.said_of(head), utc_now())
            return writes.insert_head(conn, self._who, head, times, "head.added")

    def change_head(self, head_id: int, head: KnownHead, *, revision: int | None = None) -> StoredHead:
        """Put `head` in a head's place, and return it.

        Raises NotFound, Refused where another has the name, and Conflict where it was changed since
        `revision`; None skips that check.
        """
        with self._db.write() as conn:
            now = rows.present_head(conn, head_id)
            if revision is not None and now.revision != revision:
                raise Conflict(now.head.name)
            return writes.put_head(conn, self._who, now, head)

    def delete_head(self, head_id: int) -> None:
        """Hide a head with its tests until that is undone; raises NotFound."""
        with self._db.write() as conn:
            now = rows.load_head(conn, head_id)
            if not now.deleted:
                self._hide(conn, now)

    def restore_head(self, head_id: int) -> StoredHead:
        """Bring a removed head back; raises NotFound, and Refused where another has its name by now."""
        with self._db.write() as conn:
            now = rows.load_head(conn, head_id)
            return self._back(conn, now) if now.deleted else now

    def begin_test(self, head_id: int, test: HeadTest) -> int:
        """Begin a test of a head, and return its id; raises NotFound."""
        with self._db.write() as conn:
            rows.present_head(conn, head_id)
            begun_at = self._done_at or utc_now()
            test_id = writes.insert_test(conn, head_id, test, begun_at, self._who)
            writes.record(conn, self._who, head_id, "test.begun", test_id)
            return test_id

    def add_test(self, head_id: int, test: HeadTest, readings: Sequence[HeadReading]) -> int:
        """Add a test of a head with all its readings at once, and return its id.

        Raises NotFound, and Refused for a reading that the test does not ask for.
        """
        with self._db.write() as conn:
            rows.present_head(conn, head_id)
            at = self._done_at or utc_now()
            test_id = writes.insert_test(conn, head_id, test, at, self._who)
            for reading in readings:
                if test.step_of(reading) is None:
                    says = f"the test asks for nothing at {reading.level:g} %"
                    raise Refused.one("level", says, "one of its levels and modifiers")
                writes.insert_reading(conn, test_id, reading, at, self._who)
            writes.record(conn, self._who, head_id, "test.begun", test_id)
            return test_id

    def take_reading(
        self, test_id: int, reading: HeadReading, moved: int | None = None, *, other: bool = False
    ) -> int:
        """Add a reading to a test, and return its id; the newest of a level and modifier counts.

        It may be that of the step `moved`, from 0, which was another: nothing was read of that. With `other`
        the head may have been set otherwise than the test asks. Raises NotFound, and Refused for a reading
        that the test does not ask for, or too many others.
        """
        with self._db.write() as conn:
            test = rows.load_test(conn, test_id)
            rows.present_head(conn, test.head_id)
            if test.deleted:
                raise NotFound("test", test_id, deleted=True)
            if test.test.step_of(reading) is None:
                if not other:
                    says = f"the test asks for nothing at {reading.level:g} %"
                    raise Refused.one("level", says, "one of its levels and modifiers")
                writes.widen_test(conn, test, reading)
            if moved is not None:
                writes.strike_step(conn, self._who, test, moved)
            taken_at = self._done_at or utc_now()
            reading_id = writes.insert_reading(conn, test_id, reading, taken_at, self._who)
            writes.record(conn, self._who, test.head_id, "reading.taken", reading_id)
            return reading_id

    def drop_step(self, test_id: int, step: int) -> None:
        """Strike out what was read at a step of a test, from 0, until that is undone; raises NotFound."""
        with self._db.write() as conn:
            test = rows.load_test(conn, test_id)
            rows.present_head(conn, test.head_id)
            writes.strike_step(conn, self._who, test, step)

    def head_of_source(self, source_id: int, name: str) -> StoredHead | None:
        """Return the head that a source is: that of its tests, else the one called so; None without one.

        Raises NotFound where the head was removed.
        """
        with self._db.read() as conn:
            return kept.head_of_source(conn, source_id, name)

    def kept_of(self, head_id: int, source_id: int) -> int:
        """Return how many readings of a source of a set are kept to a head, and count there."""
        with self._db.read() as conn:
            return kept.kept_of(conn, head_id, source_id)

    def kept_as(self, source_id: int) -> dict[int, tuple[int, HeadTest]]:
        """Return to which head each reading of a source is kept, as what test, by the id of the reading."""
        with self._db.read() as conn:
            return kept.kept_as(conn, source_id)

    def tested_since(self, set_id: int) -> list[int]:
        """Return the sources of a set, by their ids, whose heads have other tests by now."""
        with self._db.read() as conn:
            return kept.tested_since(conn, set_id)

    def not_kept(self, head_id: int, taken: Sequence[OnSet]) -> list[OnSet]:
        """Return those of the readings from a set that count in no test of the head yet."""
        with self._db.read() as conn:
            return kept.not_kept(conn, head_id, taken)

    def keep(self, head_id: int, tests: Sequence[tuple[HeadTest, Sequence[OnSet]]]) -> list[int]:
        """Keep readings that were taken on a set as tests of a head, and return their ids.

        What was kept already is not kept again, and a test of which nothing is left is none. Raises NotFound.
        """
        with self._db.write() as conn:
            rows.present_head(conn, head_id)
            ids = []
            for test, taken in tests:
                if fresh := kept.not_kept(conn, head_id, taken):
                    ids.append(kept.keep(conn, head_id, test, fresh, self._who))
                    writes.record(conn, self._who, head_id, "test.kept", ids[-1])
            return ids

    def undo(self, change_id: int) -> StoredHead:
        """Undo a change of a head, and return the head; what was undone already stays so.

        Raises NotFound, and Refused where the same was changed since, or where it is none to be undone.
        """
        with self._db.write() as conn:
            change = rows.load_change(conn, change_id)
            now = rows.load_head(conn, change.head_id)
            if change.undone:
                return now
            if change.what == "head.changed":
                return self._unchanged(conn, now, change)
            if change.what in ("head.deleted", "head.restored"):
                if now.deleted != (change.what == "head.deleted"):
                    return now
                if now.deleted:
                    return self._back(conn, now, change.id)
                return self._hide(conn, now, change.id)
            if change.what not in _SWITCHED:
                raise Refused.one("change", "this cannot be undone", "remove the head, or change it anew")
            if now.deleted:
                raise NotFound("head", now.id, deleted=True)
            if change.what == "test.removed" and change.part and kept.doubled(conn, now.id, change.part):
                raise Refused.one("change", "its readings were kept again since", "nothing: they are there")
            table, column, off, what = _SWITCHED[change.what]
            conn.execute(
                f"UPDATE {table} SET {column} = ? WHERE id = ?",
                (utc_now() if off else None, change.part),
            )
            writes.record(conn, self._who, now.id, what, change.part, undoes=change.id)
            return now

    def _unchanged(self, conn: sqlite3.Connection, now: StoredHead, change: HeadChange) -> StoredHead:
        if now.deleted:
            raise NotFound("head", now.id, deleted=True)
        if now.head != change.after or change.before is None:
            raise Refused.one(
                "change", "the head was changed again since", "undo what was changed last first"
            )
        return writes.put_head(conn, self._who, now, change.before, undoes=change.id)

    def _hide(self, conn: sqlite3.Connection, now: StoredHead, undoes: int | None = None) -> StoredHead:
        conn.execute("UPDATE heads SET deleted_at = ? WHERE id = ?", (utc_now(), now.id))
        writes.record(conn, self._who, now.id, "head.deleted", undoes=undoes)
        return rows.load_head(conn, now.id)

    def _back(self, conn: sqlite3.Connection, now: StoredHead, undoes: int | None = None) -> StoredHead:
        writes.refuse_taken(conn, now.head.name)
        conn.execute("UPDATE heads SET deleted_at = NULL WHERE id = ?", (now.id,))
        if undoes is None:
            undoes = next(c.id for c in rows.load_changes(conn, now.id) if c.what == "head.deleted")
        writes.record(conn, self._who, now.id, "head.restored", undoes=undoes)
        return rows.load_head(conn, now.id)


_SWITCHED = {
    "test.begun": ("head_tests", "deleted_at", True, "test.removed"),
    "test.imported": ("head_tests", "deleted_at", True, "test.removed"),
    "test.kept": ("head_tests", "deleted_at", True, "test.removed"),
    "test.back": ("head_tests", "deleted_at", True, "test.removed"),
    "test.removed": ("head_tests", "deleted_at", False, "test.back"),
    "reading.taken": ("head_readings", "struck_at", True, "reading.struck"),
    "reading.imported": ("head_readings", "struck_at", True, "reading.struck"),
    "reading.back": ("head_readings", "struck_at", True, "reading.struck"),
    "reading.struck": ("head_readings", "struck_at", False, "reading.back"),
}
"""What undoes each change: table, column, whether that is set, and what the undo is called."""
