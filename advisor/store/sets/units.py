"""Which tested head a source is: another unit than it was taken for, or two of a set exchanged.

What was read in tests of the one counts no more, and that of the other does, filed where the first was filed,
so that what was read on the set stays the newest. All else stays at its place: gels, dials, level, readings.
"""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...model import Source
from ...model.basis.base import free_name, name_key
from ..file.database import Database, utc_now
from ..file.faults import NotFound
from ..known_heads.rows import named_head
from ..tables import history, mended, names, rows, writes
from ..tables.guards import check_fields, require_set, require_source
from ..tables.records import Change, StoredSource, UnitChange
from ..tables.writes import ReadingOfTest, Stamp
from .undo import load_change, undo_fields


@dataclass(frozen=True, eq=False)
class OtherHead:
    """A tested head as a source without work, and what was read in its tests; the last one counts first."""

    source: Source
    readings: Sequence[ReadingOfTest]


class UnitStore:
    """The sources in `db`, by the heads that they are. Every method is one transaction; `who` writes."""

    def __init__(self, db: Database, who: str = "") -> None:
        self._db = db
        self._who = who

    def be(self, set_id: int, units: Mapping[int, OtherHead], *, revision: int | None = None) -> int:
        """Have sources of a set, by their ids, be other heads, and return the change of the first.

        A source that bore the name of the head that it was taken for gets that of the other. `revision` is
        that of the first source, as the writer saw it; None skips the check. Raises NotFound, Refused where
        a source would have too many readings, and Conflict with a StoredSource where somebody said since
        which head the first one is.
        """
        with self._db.write() as conn:
            require_set(conn, set_id)
            found = [rows.load_source(conn, source_id) for source_id in units]
            for now in found:
                require_source(conn, now)
                if now.set_id != set_id:
                    raise NotFound("source", now.id)
            check_fields(conn, revision, found[0], ["test"])
            stamp = Stamp(utc_now(), self._who)
            fresh = _named(conn, found, units)
            before = {now.id: history.source_image(conn, now.id) for now in found}
            writes.put_sources(conn, fresh)
            for now in found:
                gone, come = mended.exchange_tests(conn, stamp, now, units[now.id].readings)
                unit = UnitChange(gone, come, [one.id for one in found if one is not now])
                writes.touch(conn, stamp.at, set_id, now.id)
                history.record_source(conn, stamp, "source.unit", set_id, now.id, before[now.id], unit=unit)
            return history.load_changes(conn, set_id, found[0].id)[-1].id

    def undo(self, number: int) -> Change:
        """Have sources be the heads again that they were before a change, and return that change.

        Raises NotFound, also for a change of another kind, and Touched where one was changed since.
        """
        with self._db.write() as conn:
            change = load_change(conn, number)
            if change.unit is None:
                raise NotFound("change", number)
            undo_fields(conn, Stamp(utc_now(), self._who), change)
            return change


def _named(
    conn: sqlite3.Connection, found: Sequence[StoredSource], units: Mapping[int, OtherHead]
) -> dict[int, Source]:
    """Return each source as the other head, under a name that no other of the set has."""
    ids = {now.id for now in found}
    taken = set(names.taken_names(conn, found[0].set_id, but=ids))
    stay = [now for now in found if not _bears_name_of_head(now.source)]
    taken |= {name_key(now.source.name) for now in stay}
    fresh = {}
    for now in found:
        unit, name = units[now.id].source, now.source.name
        if now not in stay:
            name = free_name(unit.name, taken)
            taken.add(name_key(name))
        told = {field: getattr(unit, field) for field in ("kind", "reach", "watts", "test")}
        if _note_of_head(conn, now.source):
            told["note"] = unit.note
        kept = {"work": rows.work_on_record(conn, now.id)}
        fresh[now.id] = now.source.model_copy(update={**told, **kept, "name": name})
    return fresh


def _bears_name_of_head(source: Source) -> bool:
    return source.test is not None and name_key(source.test.head) == name_key(source.name)


def _note_of_head(conn: sqlite3.Connection, source: Source) -> bool:
    """Whether a source has the note of the head that it was taken for, or none."""
    head = named_head(conn, source.test.head) if source.test else None
    return not source.note or (head is not None and source.note == head.head.note)
