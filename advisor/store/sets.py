"""Lighting sets and their sources: kept, changed, taken back, with a record of every change.

`revision` is the revision that the writer saw. Where it differs from the present one, Conflict carries
what is there now and nothing is written; None skips the check. Deleting hides, and can be taken back.
A change that changes nothing writes nothing, so that a retry does no harm.
"""

import secrets
import sqlite3
from collections.abc import Mapping, Sequence

from pydantic import ValidationError

from ..model import Exposure, LightSet, Limits, Reading, Source, Target, Work, refuse
from . import history, names, rows, writes
from .database import Database, utc_now
from .faults import Conflict, NotFound
from .records import Change, SetSummary, StoredReading, StoredSet, StoredSource
from .whole import WholeStore
from .writes import Stamp


class SetStore:
    """The sets in `db`. Every method is one transaction, and may be called from any thread.

    `who` writes: the name that a person gave, which history keeps.
    """

    def __init__(self, db: Database, who: str = "") -> None:
        self._db = db
        self._who = who

    @property
    def db(self) -> Database:
        """The file that the sets are in."""
        return self._db

    @property
    def who(self) -> str:
        """Who writes; empty where nobody said."""
        return self._who

    def by(self, who: str) -> "SetStore":
        """Return the same sets as somebody writes to them."""
        return SetStore(self._db, who)

    @property
    def whole(self) -> WholeStore:
        """The sets as wholes: out to a file and back, copied for another day."""
        return WholeStore(self._db, self._who)

    def _stamp(self) -> Stamp:
        return Stamp(utc_now(), self._who)

    def list_sets(self) -> list[SetSummary]:
        """Return a line for each set, the one changed last first."""
        with self._db.read() as conn:
            return rows.list_sets(conn)

    def get_set(self, set_id: int) -> StoredSet:
        """Return a set; raises NotFound, also where it was deleted."""
        with self._db.read() as conn:
            stored = rows.load_set(conn, set_id)
        if stored.deleted:
            raise NotFound("set", set_id, deleted=True)
        return stored

    def create_set(self, light_set: LightSet, *, sample: bool = False, uid: str = "") -> int:
        """Keep a new set with its sources, and return its id; `sample` marks one made to be thrown away.

        `uid` is the number that it bore elsewhere; a new one is made up where it is empty.
        Raises Refused if two sources share a name, or if the target names none of them.
        """
        with self._db.write() as conn:
            stamp = self._stamp()
            cursor = conn.execute(
                """INSERT INTO sets (name, note, target, limits, details, sample, uid, changed_at)
                   VALUES (?, ?, ?, ?, ?, ?, ?, ?)""",
                (*writes.set_columns(light_set), int(sample), uid or secrets.token_hex(16), stamp.at),
            )
            set_id = int(cursor.lastrowid or 0)
            ids = writes.insert_sources(conn, stamp, set_id, _placed(light_set.sources))
            target, target_id = names.resolve_target(light_set.target, rows.load_set(conn, set_id))
            conn.execute(
                "UPDATE sets SET target = ?, target_source_id = ? WHERE id = ?",
                (target.model_dump_json(exclude_none=True), target_id, set_id),
            )
            history.record_set(conn, stamp, "set.added", set_id)
            for source_id in ids:
                history.record_source(conn, stamp, "source.added", set_id, source_id)
            return set_id

    def update_set(
        self,
        set_id: int,
        *,
        name: str | None = None,
        note: str | None = None,
        target: Target | None = None,
        limits: Limits | None = None,
        exposure: Exposure | None = None,
        spare_percent: float | None = None,
        hidden_cautions: Sequence[str] | None = None,
        revision: int | None = None,
    ) -> StoredSet:
        """Change what is given, leave what is None, and return the set as it then is.

        Raises NotFound, Conflict with a StoredSet, and Refused for a name, a note or a target that
        cannot be.
        """
        with self._db.write() as conn:
            now = rows.load_set(conn, set_id)
            _check(revision, now)
            _require_set(conn, set_id)
            # A target that stays keeps its source, even where another one has come to bear its name.
            goal, goal_id = now.target, now.target_source_id
            if target is not None:
                goal, goal_id = names.resolve_target(target, now)
            given = {
                "name": name,
                "note": note,
                "limits": limits,
                "exposure": exposure,
                "spare_percent": spare_percent,
                "hidden_cautions": None if hidden_cautions is None else list(hidden_cautions),
            }
            changes = {field: value for field, value in given.items() if value is not None}
            standing = now.light_set.model_copy(update={"sources": []})
            wanted = _checked(standing, {**changes, "target": goal})
            if (wanted, goal_id) == (standing, now.target_source_id):
                return now
            stamp = self._stamp()
            before = history.set_image(conn, set_id)
            conn.execute(
                """UPDATE sets SET name = ?, note = ?, target = ?, limits = ?, details = ?,
                   target_source_id = ? WHERE id = ?""",
                (*writes.set_columns(wanted), goal_id, set_id),
            )
            writes.touch(conn, stamp.at, set_id)
            history.record_set(conn, stamp, "set.changed", set_id, before)
            return rows.load_set(conn, set_id)

    def delete_set(self, set_id: int) -> None:
        """Hide a set until `restore_set`; raises NotFound."""
        with self._db.write() as conn:
            _delete_set(conn, self._stamp(), set_id)

    def restore_set(self, set_id: int) -> StoredSet:
        """Take a set's deletion back, and return it; raises NotFound."""
        with self._db.write() as conn:
            now = rows.load_set(conn, set_id)
            if not now.deleted:
                return now
            stamp = self._stamp()
            conn.execute("UPDATE sets SET deleted_at = NULL WHERE id = ?", (set_id,))
            writes.touch(conn, stamp.at, set_id)
            history.record_set(conn, stamp, "set.restored", set_id)
            return rows.load_set(conn, set_id)

    def remove_sample_sets(self) -> list[int]:
        """Delete the sets that were made as samples, and return their ids: each can be restored."""
        with self._db.write() as conn:
            found = conn.execute("SELECT id FROM sets WHERE sample = 1 AND deleted_at IS NULL ORDER BY id")
            ids = [int(row["id"]) for row in found.fetchall()]
            for set_id in ids:
                _delete_set(conn, self._stamp(), set_id)
            return ids

    def history(self, set_id: int) -> list[Change]:
        """Return the changes of a set and its sources, oldest first, also of a deleted set."""
        with self._db.read() as conn:
            rows.one_row(conn, "SELECT id FROM sets WHERE id = ?", "set", set_id)
            return history.load_changes(conn, set_id)

    def get_source(self, source_id: int) -> StoredSource:
        """Return a source, also a deleted one, which says so; raises NotFound."""
        with self._db.read() as conn:
            return rows.load_source(conn, source_id)

    def add_source(self, set_id: int, source: Source) -> int:
        """Add a source at the end of a set, and return its id; raises NotFound and Refused."""
        return self._add(set_id, [("name", source)], {})[0]

    def add_sources(
        self, set_id: int, sources: Sequence[Source], readings: Mapping[int, Sequence[Reading]] | None = None
    ) -> list[int]:
        """Add all of `sources`, and `readings` to sources that are there, or none; return the new ids.

        `readings` stand by the id of the source, oldest first. Raises NotFound and Refused.
        """
        return self._add(set_id, _placed(sources), readings or {})

    def update_source(self, source_id: int, source: Source, *, revision: int | None = None) -> StoredSource:
        """Put `source` in a source's place, and return it; a changed reading joins the earlier ones.

        Raises NotFound, Conflict with a StoredSource, and Refused if another source has the name.
        """
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            _check(revision, now)
            _require_source(conn, now)
            # Readings are only ever added: those of the past are the store's.
            source = source.model_copy(update={"readings": now.source.readings})
            if source == now.source:
                return now
            names.refuse_taken([("name", source)], names.taken_names(conn, now.set_id, but=source_id))
            stamp = self._stamp()
            before = history.source_image(conn, source_id)
            conn.execute(
                """UPDATE sources SET name = ?, name_key = ?, kind = ?, note = ?, keep = ?, aim = ?,
                   details = ? WHERE id = ?""",
                (*writes.source_columns(source), source_id),
            )
            if source.reading != now.source.reading:
                writes.insert_reading(conn, stamp, source_id, source.reading)
            writes.touch(conn, stamp.at, now.set_id, source_id)
            history.record_source(conn, stamp, "source.changed", now.set_id, source_id, before)
            return rows.load_source(conn, source_id)

    def add_reading(self, source_id: int, reading: Reading, work: Work | None = None) -> int:
        """Add a reading, which if it is bare is the source's from now on, and return its id.

        `work` is what it makes of the work on the source; None leaves that as it is. Raises NotFound.
        """
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            _require_source(conn, now)
            return _add_reading(conn, self._stamp(), now, reading, work)

    def readings_of(self, source_id: int) -> list[StoredReading]:
        """Return the readings of a source, oldest first, also of a deleted one; raises NotFound."""
        with self._db.read() as conn:
            rows.one_row(conn, "SELECT id FROM sources WHERE id = ?", "source", source_id)
            return rows.load_readings(conn, source_id)

    def delete_source(self, source_id: int) -> None:
        """Hide a source until `restore_source`; raises NotFound."""
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            _require_set(conn, now.set_id)
            if now.deleted:
                return
            stamp = self._stamp()
            before = history.source_image(conn, source_id)
            conn.execute("UPDATE sources SET deleted_at = ? WHERE id = ?", (stamp.at, source_id))
            writes.touch(conn, stamp.at, now.set_id, source_id)
            history.record_source(conn, stamp, "source.deleted", now.set_id, source_id, before)

    def restore_source(self, source_id: int) -> StoredSource:
        """Take a source's deletion back, and return it: in its old place, renamed if its name is taken.

        Raises NotFound, and Refused if the set is full by now.
        """
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            _require_set(conn, now.set_id)
            if not now.deleted:
                return now
            taken = names.taken_names(conn, now.set_id)
            writes.refuse_too_many(len(taken) + 1)
            stamp = self._stamp()
            name = names.free_name(now.source.name, taken)
            conn.execute(
                "UPDATE sources SET deleted_at = NULL, name = ?, name_key = ? WHERE id = ?",
                (name, names.name_key(name), source_id),
            )
            writes.touch(conn, stamp.at, now.set_id, source_id)
            history.record_source(conn, stamp, "source.restored", now.set_id, source_id)
            return rows.load_source(conn, source_id)

    def _add(
        self,
        set_id: int,
        placed: list[tuple[str, Source]],
        readings: Mapping[int, Sequence[Reading]],
    ) -> list[int]:
        with self._db.write() as conn:
            _require_set(conn, set_id)
            stamp = self._stamp()
            ids = writes.insert_sources(conn, stamp, set_id, placed)
            if ids:
                writes.touch(conn, stamp.at, set_id)
            for source_id in ids:
                history.record_source(conn, stamp, "source.added", set_id, source_id)
            for source_id, further in readings.items():
                now = rows.load_source(conn, source_id)
                _require_source(conn, now)
                if now.set_id != set_id:
                    raise NotFound("source", source_id)
                for reading in further:
                    _add_reading(conn, stamp, now, reading)
            return ids


def _add_reading(
    conn: sqlite3.Connection, stamp: Stamp, now: StoredSource, reading: Reading, work: Work | None = None
) -> int:
    before = history.source_image(conn, now.id)
    reading_id = writes.insert_reading(conn, stamp, now.id, reading)
    if work is not None:
        columns = writes.source_columns(now.source.model_copy(update={"work": work}))
        conn.execute("UPDATE sources SET details = ? WHERE id = ?", (columns[-1], now.id))
    writes.touch(conn, stamp.at, now.set_id, now.id)
    history.record_source(conn, stamp, "reading.added", now.set_id, now.id, before)
    return reading_id


def _placed(sources: Sequence[Source]) -> list[tuple[str, Source]]:
    return [(f"sources[{index}].name", source) for index, source in enumerate(sources)]


def _check(revision: int | None, now: StoredSet | StoredSource) -> None:
    if revision is not None and revision != now.revision:
        raise Conflict(now)


def _require_set(conn: sqlite3.Connection, set_id: int) -> None:
    row = rows.one_row(conn, "SELECT deleted_at FROM sets WHERE id = ?", "set", set_id)
    if row["deleted_at"] is not None:
        raise NotFound("set", set_id, deleted=True)


def _require_source(conn: sqlite3.Connection, now: StoredSource) -> None:
    _require_set(conn, now.set_id)
    if now.deleted:
        raise NotFound("source", now.id, deleted=True)


def _checked(now: LightSet, changes: Mapping[str, object]) -> LightSet:
    try:
        return LightSet.model_validate({**dict(now), **changes})
    except ValidationError as error:
        raise refuse(error) from error


def _delete_set(conn: sqlite3.Connection, stamp: Stamp, set_id: int) -> None:
    row = rows.one_row(conn, "SELECT deleted_at FROM sets WHERE id = ?", "set", set_id)
    if row["deleted_at"] is not None:
        return
    before = history.set_image(conn, set_id)
    conn.execute("UPDATE sets SET deleted_at = ? WHERE id = ?", (stamp.at, set_id))
    writes.touch(conn, stamp.at, set_id)
    history.record_set(conn, stamp, "set.deleted", set_id, before)
