"""Sources of lighting sets: added, changed, taken away and brought back; see `sets`."""

import sqlite3
from collections.abc import Mapping, Sequence

from pydantic import ValidationError

from ...model import UNREAD, Reading, Source, Work
from ...model.basis.base import free_name, name_key
from ..file.faults import NotFound
from ..tables import history, names, rows, writes
from ..tables.guards import check_fields, check_revision, require_set, require_source
from ..tables.reading_rows import unreadable
from ..tables.records import Change, Conflict, Removed, StoredSource
from ..tables.writes import ReadingOfTest
from .readings import ReadingStore, file_reading


class SourceStore(ReadingStore):
    """The sources in `db`, with their readings. Every method is one transaction, on any thread."""

    def get_source(self, source_id: int) -> StoredSource:
        """Return a source, also a deleted one, which says so; raises NotFound."""
        with self._db.read() as conn:
            return rows.load_source(conn, source_id)

    def add_source(self, set_id: int, source: Source) -> int:
        """Add a source at the end of a set, and return its id; raises NotFound and Refused."""
        return self._add(set_id, [("name", source)], {}, {})[0]

    def add_tested(self, set_id: int, heads: Sequence[tuple[Source, Sequence[ReadingOfTest]]]) -> list[int]:
        """Add heads that were tested, and return the ids of their sources; of each the last reading counts.

        The sources have no readings but these. Where a name is taken it gets a number behind it. Raises
        NotFound and Refused.
        """
        with self._db.write() as conn:
            require_set(conn, set_id)
            stamp = self._stamp()
            taken = set(names.taken_names(conn, set_id))
            placed = []
            for source, _ in heads:
                name = free_name(source.name, taken)
                taken.add(name_key(name))
                bare = {"name": name, "reading": UNREAD, "readings": []}
                placed.append(("head", source.model_copy(update=bare)))
            ids = writes.insert_sources(conn, stamp, set_id, placed)
            for source_id, (_, readings) in zip(ids, heads, strict=True):
                writes.insert_tested(conn, source_id, readings)
                history.record_source(conn, stamp, "source.added", set_id, source_id)
            if ids:
                writes.touch(conn, stamp.at, set_id)
            return ids

    def add_sources(
        self,
        set_id: int,
        sources: Sequence[Source],
        readings: Mapping[int, Sequence[Reading]] | None = None,
        works: Mapping[int, tuple[Work, Work | None]] | None = None,
        in_order: Sequence[Sequence[Reading]] = (),
    ) -> list[int]:
        """Add all of `sources`, and `readings` to sources that are there, or none; return the new ids.

        The readings of each new source come `in_order`, as they were taken, where that is known. `readings`
        stand by the id of the source, oldest first, and so does what they make of the work on it, in `works`,
        with what that was. Raises NotFound, Refused, and Conflict with a StoredSource where other work is on
        one by now.
        """
        return self._add(set_id, placed(sources), readings or {}, works or {}, in_order)

    def update_source(self, source_id: int, source: Source, *, revision: int | None = None) -> StoredSource:
        """Put `source` in a source's place, and return it; a changed reading joins the earlier ones.

        Raises NotFound, Conflict with a StoredSource, and Refused if another source has the name.
        """
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            require_source(conn, now)
            check_revision(revision, now)
            return self._put(conn, now, source)

    def change_source(
        self, source_id: int, changes: Mapping[str, object], *, revision: int | None = None
    ) -> StoredSource:
        """Put valid values in the place of some fields of a source, but its readings, and return it.

        The other fields stay as they stand, whoever changed them. Raises NotFound, Conflict with a
        StoredSource where one of these fields was changed since `revision`, and Refused as `update_source`.
        """
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            require_source(conn, now)
            check_fields(conn, revision, now, changes)
            return self._put(conn, now, now.source.model_copy(update=changes))

    def change_sources(self, set_id: int, changes: Mapping[int, Mapping[str, object]]) -> None:
        """Put valid values in the place of some fields of several sources of a set, by their ids, or of none.

        Raises NotFound, and Refused as `update_source`.
        """
        with self._db.write() as conn:
            require_set(conn, set_id)
            for source_id, fresh in changes.items():
                now = rows.load_source(conn, source_id)
                require_source(conn, now)
                if now.set_id != set_id:
                    raise NotFound("source", source_id)
                self._put(conn, now, now.source.model_copy(update=fresh))

    def changes_since(self, set_id: int, source_id: int | None, revision: int) -> list[Change]:
        """Return the changes of a set's own fields, or of a source, since a revision, oldest first."""
        with self._db.read() as conn:
            return history.changes_since(conn, set_id, source_id, revision)

    def _put(self, conn: sqlite3.Connection, now: StoredSource, source: Source) -> StoredSource:
        # Readings are only ever added: those of the past are the store's.
        source = source.model_copy(update={"readings": now.source.readings})
        if source == now.source:
            return now
        names.refuse_taken([("name", source)], names.taken_names(conn, now.set_id, but=[now.id]))
        stamp = self._stamp()
        before = history.source_image(conn, now.id)
        writes.put_sources(conn, {now.id: _on_record(conn, now, source)})
        if source.reading != now.source.reading:
            writes.insert_reading(conn, stamp, now.id, source.reading)
        writes.touch(conn, stamp.at, now.set_id, now.id)
        done = writes.when_done(conn, stamp, now.id)
        late = done if done != stamp.at else ""
        history.record_source(conn, stamp, "source.changed", now.set_id, now.id, before, done_at=late)
        return rows.load_source(conn, now.id)

    def work_at(self, source_id: int, at: str) -> Work | None:
        """Return the work on a source as it was at a time, None where it was bare. Raises NotFound."""
        with self._db.read() as conn:
            now = rows.load_source(conn, source_id)
            then = history.work_at(conn, source_id, at)
        if then is None:
            return now.source.work
        try:
            return None if then[0] is None else Work.model_validate_json(then[0])
        except ValidationError as error:
            raise unreadable("source", source_id, error) from error

    def hangs_since(self, source_id: int, gels: Sequence[str]) -> str:
        """Return since when these very gels hang on a source; empty where they do not.

        Where somebody said that they were another gel in truth, that counts from when they were hung. Raises
        NotFound.
        """
        with self._db.read() as conn:
            now = rows.load_source(conn, source_id)
            changes = history.load_changes(conn, now.set_id, source_id)
        since, hung, renamed = "", sorted(gels), False
        for change in reversed(changes):
            work = (change.after or {}).get("details", {}).get("work") or {}
            here = sorted(work.get("gels", ()))
            if work.get("stage", "planned") == "planned" or (here != hung and not renamed):
                break
            since, hung, renamed = change.done, here, change.what == "reading.mended"
        return since

    def delete_source(self, source_id: int) -> None:
        """Hide a source until `restore_source`; raises NotFound."""
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            require_set(conn, now.set_id)
            if now.deleted:
                return
            stamp = self._stamp()
            before = history.source_image(conn, source_id)
            conn.execute("UPDATE sources SET deleted_at = ? WHERE id = ?", (stamp.at, source_id))
            writes.touch(conn, stamp.at, now.set_id, source_id)
            history.record_source(conn, stamp, "source.deleted", now.set_id, source_id, before)

    def restore_source(self, source_id: int) -> StoredSource:
        """Take a source's deletion back, and return it: with its number, renamed if its name is taken.

        Raises NotFound, and Refused if the set is full by now.
        """
        with self._db.write() as conn:
            now = rows.load_source(conn, source_id)
            require_set(conn, now.set_id)
            if not now.deleted:
                return now
            taken = names.taken_names(conn, now.set_id)
            writes.refuse_too_many(len(taken) + 1)
            stamp = self._stamp()
            name = free_name(now.source.name, taken)
            conn.execute(
                "UPDATE sources SET deleted_at = NULL, name = ?, name_key = ? WHERE id = ?",
                (name, name_key(name), source_id),
            )
            writes.touch(conn, stamp.at, now.set_id, source_id)
            gone = history.last_done(conn, "source.deleted", now.set_id, source_id)
            history.record_source(conn, stamp, "source.restored", now.set_id, source_id, undoes=gone)
            return rows.load_source(conn, source_id)

    def removed_sources(self, set_id: int) -> list[Removed]:
        """Return the sources of a set that were deleted, the last one first."""
        with self._db.read() as conn:
            return rows.removed_sources(conn, set_id)

    def _add(
        self,
        set_id: int,
        placed: list[tuple[str, Source]],
        readings: Mapping[int, Sequence[Reading]],
        works: Mapping[int, tuple[Work, Work | None]],
        in_order: Sequence[Sequence[Reading]] = (),
    ) -> list[int]:
        with self._db.write() as conn:
            require_set(conn, set_id)
            stamp = self._stamp()
            ids = writes.insert_sources(conn, stamp, set_id, placed, in_order)
            if ids:
                writes.touch(conn, stamp.at, set_id)
            history.record_added(conn, stamp, set_id, ids)
            for source_id, further in readings.items():
                now = rows.load_source(conn, source_id)
                require_source(conn, now)
                if now.set_id != set_id:
                    raise NotFound("source", source_id)
                work, over = works.get(source_id, (None, None))
                if work is not None and now.source.work != over:
                    raise Conflict(now)
                for reading in further:
                    file_reading(conn, stamp, now, reading, work)
            return ids


def _on_record(conn: sqlite3.Connection, now: StoredSource, source: Source) -> Source:
    """Return a source as it is to be kept: work that stays keeps what rests on readings struck out."""
    if source.work != now.source.work:
        return source
    return source.model_copy(update={"work": rows.work_on_record(conn, now.id)})


def placed(sources: Sequence[Source]) -> list[tuple[str, Source]]:
    """Pair sources with the places where a person finds their names."""
    return [(f"sources[{index}].name", source) for index, source in enumerate(sources)]
