"""Lighting sets and their sources: kept, changed, taken back, with a record of every change.

`revision` is the revision that the writer saw. Where what is to be written was changed since, Conflict
carries what is there now and who changed it, and nothing is written; None skips the check. Deleting hides,
and can be taken back. A change that changes nothing writes nothing, so that a
retry does no harm.
"""

import secrets
import sqlite3
from collections.abc import Iterator, Mapping, Sequence

from pydantic import ValidationError

from ...model import Exposure, LightSet, Limits, Target, refuse
from ..file.database import Database
from ..tables import history, names, rows, writes
from ..tables.guards import check_fields, require_set
from ..tables.kept_sources import KeptSources
from ..tables.records import Change, Removed, SetSummary, StoredSet, StoredSource
from ..tables.writes import Stamp
from .adopting import AdoptedStore
from .days import DayStore
from .record import RecordStore
from .sources import SourceStore, placed
from .undo import load_change, undo_fields
from .units import UnitStore
from .whole import WholeStore


class SetStore(SourceStore):
    """The sets in `db`, with their sources. Every method writes in one transaction, on any thread."""

    def __init__(
        self,
        db: Database,
        who: str = "",
        age: float = 0.0,
        kept: KeptSources | None = None,
        most: int | None = None,
    ) -> None:
        super().__init__(db, who, age)
        self._kept = KeptSources() if kept is None else kept
        self._most = most

    def by(self, who: str, age: float = 0.0, most: int | None = None) -> "SetStore":
        """Return the same sets for somebody: `who` it is, and how long before (`age`, in s) it was done.

        `most` is for how many readings they wait: see `get_set`.
        """
        return SetStore(self._db, who, age, self._kept, most)

    @property
    def whole(self) -> WholeStore:
        """The sets as wholes: out to a file and back."""
        return WholeStore(self._db, self._who)

    @property
    def record(self) -> RecordStore:
        """What was done on the sets, line by line."""
        return RecordStore(self._db)

    @property
    def days(self) -> DayStore:
        """The sets and their days: a copy for the next one, and what to compare with."""
        return DayStore(self._db, self._who)

    @property
    def units(self) -> UnitStore:
        """The sources by the tested heads that they are: other ones than they were taken for."""
        return UnitStore(self._db, self._who)

    @property
    def adopted(self) -> AdoptedStore:
        """The sets and plans for whole sets: adopted at one tap, and taken back."""
        return AdoptedStore(self._db, self._who, self._kept)

    def list_sets(self) -> list[SetSummary]:
        """Return a line for each set, the one changed last first."""
        with self._db.read() as conn:
            return rows.list_sets(conn)

    def get_set(self, set_id: int) -> StoredSet:
        """Return a set; raises NotFound, also where it was deleted.

        Raises NotReadYet where more readings than `most` would be read from the file first; see `by`.
        """
        kept = None if self._db.in_transaction else self._kept
        with self._db.read() as conn:
            return rows.present_set(conn, set_id, kept, self._most)

    def read_ahead(self, set_id: int) -> Iterator[tuple[float, StoredSource]]:
        """Read the sources that would have to be read first for a set, and keep them.

        Yields each with the share that is done, 0 to 1. Raises NotFound.
        """
        with self._db.read() as conn:
            missing = rows.unread(conn, set_id, self._kept)
        for done, source_id in enumerate(missing, 1):
            with self._db.read() as conn:
                read = rows.read_source(conn, source_id, self._kept)
            yield done / len(missing), read

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
            ids = writes.insert_sources(conn, stamp, set_id, placed(light_set.sources))
            target, target_id = names.resolve_target(light_set.target, rows.load_set(conn, set_id))
            conn.execute(
                "UPDATE sets SET target = ?, target_source_id = ? WHERE id = ?",
                (target.model_dump_json(exclude_none=True), target_id, set_id),
            )
            history.record_set(conn, stamp, "set.added", set_id)
            history.record_added(conn, stamp, set_id, ids)
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
        pulled: Sequence[str] | None = None,
        walk: Sequence[int] | None = None,
        wrapped: bool | None = None,
        down: Sequence[int] | None = None,
        stays_as: str | None = None,
        revision: int | None = None,
    ) -> StoredSet:
        """Change what is given, leave what is None, and return the set as it then is.

        What others changed of the rest meanwhile is in nobody's way. Raises NotFound, Conflict with a
        StoredSet, and Refused for a name, a note or a target that cannot be.
        """
        found = self._kept.only_found()
        with self._db.read() as conn:  # many readings of each source, while others may write
            rows.load_set(conn, set_id, self._kept)
        with self._db.write() as conn:
            now = rows.load_set(conn, set_id, found)
            require_set(conn, set_id)
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
                "pulled": None if pulled is None else list(pulled),
                "walk": None if walk is None else list(walk),
                "wrapped": wrapped,
                "down": None if down is None else list(down),
                "stays_as": stays_as,
            }
            changes = {field: value for field, value in given.items() if value is not None}
            own = ["target", "target_source_id"] if target is not None else []
            check_fields(conn, revision, now, [*changes, *own])
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
            return rows.load_set(conn, set_id, found)

    def previous_target(self, set_id: int) -> Target | None:
        """Return the target that a set had before the present one, so that this one can be taken back.

        None where it had no other, or where that matched a source that was removed since. Raises NotFound.
        """
        with self._db.read() as conn:
            require_set(conn, set_id)
            image = history.target_before(conn, set_id)
            if image is None:
                return None
            target, source_id = Target.model_validate(image["target"]), image["target_source_id"]
            if source_id is None:
                return target
            # By its present name, as the target itself goes along with it.
            name = rows.name_of(conn, set_id, source_id)
        return None if name is None else target.model_copy(update={"source": name})

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
            gone = history.last_done(conn, "set.deleted", set_id)
            history.record_set(conn, stamp, "set.restored", set_id, undoes=gone)
            return rows.load_set(conn, set_id)

    def removed_sets(self) -> list[Removed]:
        """Return the sets that were deleted, the last one first."""
        with self._db.read() as conn:
            return rows.removed_sets(conn)

    def change(self, number: int) -> Change:
        """Return a change by its number; raises NotFound."""
        with self._db.read() as conn:
            return load_change(conn, number)

    def undo(self, number: int) -> Change:
        """Undo a change, and return it; one that is undone already stays so.

        Raises NotFound, also where what it changed was removed since; Refused where it cannot be undone, or
        another source has by now the name that would come back; Touched where the same was changed since.
        """
        change = self.change(number)
        if change.what == "set.deleted":
            self.restore_set(change.set_id)
        elif change.what == "source.deleted" and change.source_id is not None:
            self.restore_source(change.source_id)
        else:
            with self._db.write() as conn:
                undo_fields(conn, self._stamp(), change)
        return change

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
