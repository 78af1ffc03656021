"""Readings of sources: added, struck out, brought back, and filed in the place of wrong ones; see `sets`."""

import json
import sqlite3
from collections.abc import Collection, Mapping
from datetime import timedelta

from ...model import Reading, Work
from ..file.database import Database, utc_now
from ..tables import history, mended, places, reading_rows, rows, writes
from ..tables.guards import require_source
from ..tables.records import Change, Conflict, StoredReading, StoredSource
from ..tables.writes import Stamp
from .undo import undo_fields, undone_by


class ReadingStore:
    """The readings in `db`. Every method is one transaction, and may be called from any thread.

    `who` is the name of the person who writes; the history keeps it. `age` [s] is how long ago the person did
    what is written now, for instance on a phone without a link. Readings are filed by that time.
    """

    def __init__(self, db: Database, who: str = "", age: float = 0.0) -> None:
        self._db = db
        self._who = who
        self._age = age

    @property
    def db(self) -> Database:
        """The file that the sets are in."""
        return self._db

    @property
    def who(self) -> str:
        """Who writes; empty where nobody said."""
        return self._who

    def _stamp(self) -> Stamp:
        return Stamp(utc_now(), self._who, self._age)

    def add_reading(
        self, source_id: int, reading: Reading, work: Work | None = None, over: Work | None = None
    ) -> int:
        """Add a reading, which if it is bare and the newest is the source's from now on, and return its id.

        `work` is what it makes of the work on the source, which was `over`; None leaves that as it is.
        Raises NotFound, and Conflict with a StoredSource where other work is on it by now.
        """
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            require_source(conn, now)
            if work is not None and now.source.work != over:
                raise Conflict(now)
            return file_reading(conn, self._stamp(), now, reading, work)

    def reading_source(self, reading_id: int) -> int:
        """Return the source that a reading is of, by its id; raises NotFound."""
        with self._db.read() as conn:
            query = "SELECT source_id FROM readings WHERE id = ?"
            return int(rows.one_row(conn, query, "reading", reading_id)["source_id"])

    def as_far_then(self, source_id: int) -> float:
        """Return how far off a source stood when what is written now was done. Raises NotFound."""
        with self._db.read() as conn:
            return place_then(conn, self._stamp(), rows.load_source(conn, source_id))

    def told_since(self, source_id: int) -> bool:
        """Whether it was said where a stand goes, or that it went, since what is written now was done."""
        with self._db.read() as conn:
            stamp = self._stamp()
            taken = writes.when_done(conn, stamp, source_id)
            return taken != stamp.at and places.ordered_since(conn, source_id, taken)

    def by_light(self, source_id: int) -> places.ByLight | None:
        """Return the newest reading if a stand was taken as moved by its light, and nothing done since."""
        with self._db.read() as conn:
            return places.by_light(conn, source_id)

    def strike(self, reading_id: int) -> StoredSource:
        """Strike a reading out, and return its source: it stays on the record, and counts nowhere.

        One that is struck already stays so, with who was first. Raises NotFound.
        """
        with self._db.write() as conn:
            now = self._of_reading(conn, reading_id)
            found = conn.execute("SELECT 1 FROM struck WHERE reading_id = ?", (reading_id,)).fetchone()
            if found:
                return now
            statement = "INSERT INTO struck (reading_id, at, who) VALUES (:id, :at, :who)"
            return self._struck(conn, now, reading_id, "reading.struck", statement)

    def bring_back(self, reading_id: int) -> StoredSource:
        """Have a reading count again that was struck out, and return its source.

        Where it was mended, that is undone, with all that was mended at once. Raises NotFound, and Touched
        where what counts in its place was mended again since, or what hangs was changed.
        """
        with self._db.write() as conn:
            now = self._of_reading(conn, reading_id)
            found = conn.execute("SELECT 1 FROM struck WHERE reading_id = ?", (reading_id,)).fetchone()
            if not found:
                return now
            if mend := self._mend_of(conn, now, reading_id):
                undo_fields(conn, self._stamp(), mend)
                return rows.load_source(conn, now.id)
            return self._struck(
                conn, now, reading_id, "reading.back", "DELETE FROM struck WHERE reading_id = :id"
            )

    def mend(
        self,
        source_id: int,
        readings: Mapping[int, Reading],
        work: Work | None = None,
        over: Work | None = None,
        taken: Mapping[int, str] | None = None,
        unmoved: places.ByLight | None = None,
    ) -> StoredSource:
        """File `readings` of a source in the place of wrong ones, by the ids of those, and return the source.

        Those in `taken` were taken at another time than was said, and are filed by that. With `unmoved`
        they were read where the stand stood before it was taken as moved, and it is still to go there.
        The wrong ones are struck out, in one change with `work`, what that makes of the work on the source,
        which was `over`; None leaves it as it is. Raises NotFound, Refused where the source is full, and
        Conflict with a StoredSource where one of them is struck out by now, or other work is on it.
        """
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            require_source(conn, now)
            if work is not None and now.source.work != over:
                raise Conflict(now)
            mended.mend(conn, self._stamp(), now, readings, work, taken or {}, unmoved)
            return rows.load_source(conn, source_id)

    def _mend_of(self, conn: sqlite3.Connection, now: StoredSource, reading_id: int) -> Change | None:
        """Return the change that mended a reading, where what it filed, or what mended that, counts.

        Or that since which it is gone with its test.
        """
        changes = history.load_changes(conn, now.set_id, now.id)
        if (gone := mended.gone_in(changes, reading_id)) and gone.id not in undone_by(changes):
            return gone
        struck, last = reading_rows.struck_in(conn, now.set_id), reading_id
        while last in struck and (by := struck[last].by):
            last = by
        if last == reading_id or last in struck:
            return None
        return mended.mended_in(changes, reading_id)

    def _of_reading(self, conn: sqlite3.Connection, reading_id: int) -> StoredSource:
        row = rows.one_row(conn, "SELECT source_id FROM readings WHERE id = ?", "reading", reading_id)
        now = rows.load_source(conn, row["source_id"])
        require_source(conn, now)
        return now

    def _struck(
        self, conn: sqlite3.Connection, now: StoredSource, reading_id: int, what: str, statement: str
    ) -> StoredSource:
        stamp = self._stamp()
        before = history.source_image(conn, now.id)
        conn.execute(statement, {"id": reading_id, "at": stamp.at, "who": stamp.who})
        writes.touch(conn, stamp.at, now.set_id, now.id)
        history.record_source(conn, stamp, what, now.set_id, now.id, before, reading_id=reading_id)
        return rows.load_source(conn, now.id)

    def taken_between(self, set_id: int) -> dict[int, tuple[str, str]]:
        """Return when the readings of each source of a set were taken, from first to last, by its id.

        Struck ones count nowhere; a source without any other is left out.
        """
        with self._db.read() as conn:
            # Each end by the index: a set may have a million readings.
            end = """SELECT taken_at FROM readings WHERE source_id = s.id
                     AND id NOT IN (SELECT reading_id FROM struck) ORDER BY taken_at"""
            found = conn.execute(
                f"SELECT s.id, ({end} LIMIT 1), ({end} DESC LIMIT 1) FROM sources s WHERE s.set_id = ?",
                (set_id,),
            )
            return {source_id: (first, last) for source_id, first, last in found if first is not None}

    def read_lately(self, source_id: int, span: timedelta) -> list[StoredReading]:
        """Return the readings of a source that say how its light went lately, oldest first.

        They count, were not taken in a test of a head, and were taken within a `span` before the newest of
        them, at its level, with its modifier and dials, and behind its gels.
        """
        with self._db.read() as conn:
            return reading_rows.load_lately(conn, source_id, span)

    def behind_gels(self, readings: Collection[int]) -> set[int]:
        """Return which of some readings, by their ids, were taken behind gels, struck ones too."""
        query = """SELECT id FROM readings WHERE id IN (SELECT value FROM json_each(?))
                   AND json_valid(reading) AND json_array_length(reading, '$.gels')"""
        with self._db.read() as conn:
            return {int(row["id"]) for row in conn.execute(query, (json.dumps(sorted(readings)),))}

    def readings_of(self, source_id: int) -> list[StoredReading]:
        """Return the readings of a source, oldest first, struck ones too, also of a deleted source.

        Raises NotFound.
        """
        with self._db.read() as conn:
            rows.one_row(conn, "SELECT id FROM sources WHERE id = ?", "source", source_id)
            return reading_rows.load_readings(conn, source_id)


def place_then(conn: sqlite3.Connection, stamp: Stamp, now: StoredSource) -> float:
    """Return how far off a source stood when it was read; what comes in late may be from before a move."""
    taken = writes.when_done(conn, stamp, now.id)
    if taken == stamp.at:
        return now.source.stands_as_far
    return places.stood_at(conn, now.source, now.id, taken)


def file_reading(
    conn: sqlite3.Connection, stamp: Stamp, now: StoredSource, reading: Reading, work: Work | None = None
) -> int:
    """Add a reading to a source within a transaction, with the work that it leads to, and return its id."""
    before = history.source_image(conn, now.id)
    here, then = now.source.stands_as_far, place_then(conn, stamp, now)
    reading_id = writes.insert_reading(conn, stamp, now.id, reading.model_copy(update={"as_far": then}))
    changes: dict[str, object] = {} if work is None else {"work": work}
    if now.source.stand and now.source.stand.done and then == here:
        changes |= {"stand": None, "as_far": here}  # its light is read where it stands now
    lamp = now.source.lamp
    if lamp and lamp.out and writes.when_done(conn, stamp, now.id) >= lamp.out:
        changes |= {"lamp": lamp.back()}  # what gives light burns again
    if changes:
        columns = writes.source_columns(now.source.model_copy(update=changes))
        conn.execute("UPDATE sources SET details = ? WHERE id = ?", (columns[-1], now.id))
    writes.touch(conn, stamp.at, now.set_id, now.id)
    history.record_source(conn, stamp, "reading.added", now.set_id, now.id, before)
    return reading_id
