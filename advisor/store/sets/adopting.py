"""A plan for a whole set, adopted at one tap: a target, with the work on its sources; and taken back."""

import sqlite3
from collections.abc import Collection, Mapping, Sequence

from ...model import Refused, StandMove, Target, Work
from ..file.database import Database, utc_now
from ..file.faults import NotFound
from ..tables import history, names, rows, writes
from ..tables.guards import require_set
from ..tables.kept_sources import KeptSources
from ..tables.records import Conflict, StoredSet
from ..tables.writes import Stamp
from .undo import changed_fields, load_change, undo_fields


class AdoptedStore:
    """The sets in `db`. Every method is one transaction that writes. `who` is named in the history."""

    def __init__(self, db: Database, who: str, kept: KeptSources) -> None:
        self._db = db
        self._who = who
        self._kept = kept

    def adopt(
        self,
        set_id: int,
        target: Target,
        works: Mapping[int, Work | None],
        *,
        revision: int,
        levels: Mapping[int, float] | None = None,
        stands: Mapping[int, StandMove | None] | None = None,
    ) -> list[int]:
        """Give a set a target and its sources, by their ids, other work; return the numbers of the changes.

        `levels` [%] are where the dimmers of some of them are set then, `stands` where their stands go.
        What is so already is not written. Raises NotFound, Refused for a target that cannot be, and Conflict
        with a StoredSet where anything of the set was changed since `revision`.
        """
        with self._db.read() as conn:  # many readings of each source, while others may write
            rows.load_set(conn, set_id, self._kept)
        with self._db.write() as conn:
            require_set(conn, set_id)
            now = rows.load_set(conn, set_id, self._kept.only_found())
            if now.revision != revision:
                raise Conflict(now)
            last = max((change.id for change in history.load_changes(conn, set_id)), default=0)
            stamp = Stamp(utc_now(), self._who)
            _retarget(conn, stamp, now, target)
            for source_id, work in works.items():
                fresh: dict[str, object] = {"work": work}
                if levels and source_id in levels:
                    fresh["level"] = levels[source_id]
                if stands and source_id in stands:
                    fresh |= _stand(now, source_id, stands[source_id])
                _rework(conn, stamp, now, source_id, fresh)
            return [change.id for change in history.load_changes(conn, set_id) if change.id > last]

    def newest(self, set_id: int) -> list[int]:
        """Return the numbers of the changes that planned last for a set, as `adopt` does; none if undone."""
        with self._db.read() as conn:
            return history.planned_last(conn, set_id)

    def take_back(self, set_id: int, numbers: Sequence[int], only: Collection[str] | None = None) -> None:
        """Undo changes of a set, all or none; those that are undone already stay so.

        With `only` they may have changed no other fields than these. Raises NotFound, also for changes of
        another set, Refused, and Touched where the same was changed since.
        """
        with self._db.write() as conn:
            require_set(conn, set_id)
            for number in sorted(numbers, reverse=True):
                change = load_change(conn, number)
                if change.set_id != set_id:
                    raise NotFound("change", number)
                if only is not None and not set(changed_fields(change)) <= set(only):
                    raise Refused.one(
                        "change", "this changed more than an answer does", "undo it in the record"
                    )
                undo_fields(conn, Stamp(utc_now(), self._who), change)


def _retarget(conn: sqlite3.Connection, stamp: Stamp, now: StoredSet, target: Target) -> None:
    goal, goal_id = names.resolve_target(target, now)
    if (goal, goal_id) == (now.target, now.target_source_id):
        return
    before = history.set_image(conn, now.id)
    conn.execute(
        "UPDATE sets SET target = ?, target_source_id = ? WHERE id = ?",
        (goal.model_dump_json(exclude_none=True), goal_id, now.id),
    )
    writes.touch(conn, stamp.at, now.id)
    history.record_set(conn, stamp, "set.changed", now.id, before)


def _stand(now: StoredSet, source_id: int, stand: StandMove | None) -> dict[str, object]:
    """Return where a stand goes next; from where it stands, if it was moved and not read there yet."""
    source = next((one.source for one in now.sources if one.id == source_id), None)
    if source is None or stand == source.stand:
        return {"stand": stand}
    return {"stand": stand, "as_far": source.stands_as_far}


def _rework(
    conn: sqlite3.Connection,
    stamp: Stamp,
    now: StoredSet,
    source_id: int,
    fresh: Mapping[str, object],
) -> None:
    stored = next((one for one in now.sources if one.id == source_id), None)
    if stored is None:
        raise NotFound("source", source_id)
    if all(getattr(stored.source, name) == value for name, value in fresh.items()):
        return
    before = history.source_image(conn, source_id)
    columns = writes.source_columns(stored.source.model_copy(update=fresh))
    conn.execute("UPDATE sources SET details = ? WHERE id = ?", (columns[-1], source_id))
    writes.touch(conn, stamp.at, now.id, source_id)
    history.record_source(conn, stamp, "source.changed", now.id, source_id, before)
