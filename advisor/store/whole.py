"""Sets as wholes: exported with all that was read and done, restored elsewhere, copied for another day.

A set restored is the same set: with its number (`uid`), times and people. Its history is kept as the words
that it came with; that it was restored is a line on top, which an export leaves out, so that what is
exported again is what was imported, but for the time.
"""

import json
import re
import secrets
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from ..model import Gel, Reading, Source, Stage, Work
from ..model.base import NAME_LENGTH, name_key
from ..model.whole import MAX_LINES, DatedReading, LogLine, Whole, WholeSource
from . import history, log, names, rows, writes
from .database import Database, utc_now
from .faults import NotFound
from .records import Change, SetSummary, StoredSet
from .writes import Stamp

_NEXT_DAY = ", next day"


@dataclass(frozen=True, slots=True)
class Known:
    """A set that bears a number; `deleted` says that it can be brought back."""

    id: int
    name: str
    deleted: bool


class AlreadyHere(Exception):
    """The set is here already, as `known`; nothing was written."""

    def __init__(self, known: Known) -> None:
        super().__init__(f"the set is here as {known.id}")
        self.known = known


class WholeStore:
    """The sets in `db`, each as a whole. Every method is one transaction. `who` is named in the history."""

    def __init__(self, db: Database, who: str = "") -> None:
        self._db = db
        self._who = who

    def export(self, set_id: int, gels: Sequence[Gel]) -> Whole:
        """Return all that is known of a set; `gels` are the rows in force. Raises NotFound."""
        with self._db.read() as conn:
            stored = _present(conn, set_id)
            changes = [c for c in history.load_changes(conn, set_id) if c.what != "set.imported"][-MAX_LINES:]
            told = log.words(conn, changes)
            ids, sources = _sources(conn, set_id)
        return Whole(
            uid=stored.uid,
            exported_at=utc_now(),
            changed_at=stored.changed_at,
            sample=stored.sample,
            set=stored.light_set.model_copy(update={"sources": []}),
            target_source=None if stored.target_source_id is None else ids.index(stored.target_source_id),
            sources=sources,
            gels=list(gels),
            history=[LogLine(at=c.at, who=c.who, what=said) for c, said in zip(changes, told, strict=True)],
        )

    def restore(self, whole: Whole, *, copy: bool = False) -> int:
        """Keep a set as it was exported, and return its id; a `copy` gets a number and a name of its own.

        Raises AlreadyHere unless it is a copy, also where the set was deleted here; and Refused where two
        sources share a name or there are too many.
        """
        with self._db.write() as conn:
            known = _known(conn, whole.uid)
            if known and not copy:
                raise AlreadyHere(known)
            if copy:
                name = _free_name(conn, whole.set.name)
                renamed = whole.set.model_copy(update={"name": name})
                whole = whole.model_copy(update={"uid": secrets.token_hex(16), "set": renamed})
            set_id, _ = _insert(conn, whole)
            conn.executemany(
                "INSERT INTO changes (at, who, set_id, what, after) VALUES (?, ?, ?, 'log', ?)",
                [(e.at, e.who, set_id, _words_image(e)) for e in whole.history],
            )
            history.record_set(conn, Stamp(utc_now(), self._who), "set.imported", set_id)
            return set_id

    def duplicate(self, set_id: int) -> int:
        """Make a set for the next day of a set, and return its id; raises NotFound.

        Of the readings the last bare one at every level, with every modifier and at every setting of the
        dials comes along, with the time and the person of the day when it was taken. What was planned,
        hung or confirmed is planned, with the last reading behind it as what is known of it; those before
        stay with their day. Cautions that were put away show again. Removed sources stay behind, but for one
        that the target matches.
        """
        with self._db.write() as conn:
            then = _present(conn, set_id)
            ids, sources = _sources(conn, set_id)
            kept = [
                (number, source)
                for number, source in zip(ids, sources, strict=True)
                if source.removed_at is None or number == then.target_source_id
            ]
            stem = re.sub(rf"{_NEXT_DAY}( \(\d+\))?$", "", then.name)
            stem = stem[: NAME_LENGTH - len(_NEXT_DAY)].rstrip()
            stamp = Stamp(utc_now(), self._who)
            copied = {
                "name": _free_name(conn, stem + _NEXT_DAY),
                "sources": [],
                "hidden_cautions": [],
                "copied_from": then.uid,
            }
            target_at = (
                [number for number, _ in kept].index(then.target_source_id) if then.target_source_id else None
            )
            whole = Whole(
                uid=secrets.token_hex(16),
                exported_at=stamp.at,
                changed_at=stamp.at,
                set=then.light_set.model_copy(update=copied),
                target_source=target_at,
                sources=[_next_day(source) for _, source in kept],
                gels=[],
                history=[],
            )
            made, source_ids = _insert(conn, whole)
            history.record_set(conn, stamp, "set.added", made)
            for source_id in source_ids:
                history.record_source(conn, stamp, "source.added", made, source_id)
            return made

    def known(self, uid: str) -> Known | None:
        """Return the set that bears a number, a deleted one only where no other does; None if none does."""
        with self._db.read() as conn:
            return _known(conn, uid)

    def other_days(self, set_id: int) -> list[SetSummary]:
        """Return the sets to compare a set with, the likeliest first.

        That is the one that it was copied from, then those with a source of the same name, then the others;
        the one changed last first. Raises NotFound.
        """
        with self._db.read() as conn:
            now = _present(conn, set_id)
            from_there = _known(conn, now.copied_from) if now.copied_from else None
            alike = conn.execute(
                """SELECT DISTINCT set_id FROM sources WHERE deleted_at IS NULL AND name_key IN
                   (SELECT name_key FROM sources WHERE set_id = ? AND deleted_at IS NULL)""",
                (set_id,),
            )
            shared = {int(row["set_id"]) for row in alike}
            others = [line for line in rows.list_sets(conn) if line.id != set_id]
        return sorted(
            others, key=lambda line: (not (from_there and line.id == from_there.id), line.id not in shared)
        )

    def log(self, set_id: int, most: int, source_id: int | None = None) -> list[tuple[Change, str]]:
        """Return the newest changes of a set or one of its sources, newest first, each with its words.

        Raises NotFound.
        """
        with self._db.read() as conn:
            _present(conn, set_id)
            changes = history.load_changes(conn, set_id, source_id)[: -most - 1 : -1]
            return list(zip(changes, log.words(conn, changes), strict=True))


def _present(conn: sqlite3.Connection, set_id: int) -> StoredSet:
    stored = rows.load_set(conn, set_id)
    if stored.deleted:
        raise NotFound("set", set_id, deleted=True)
    return stored


def _known(conn: sqlite3.Connection, uid: str) -> Known | None:
    row = conn.execute(
        """SELECT id, name, deleted_at FROM sets WHERE uid = ?
           ORDER BY deleted_at IS NOT NULL, id LIMIT 1""",
        (uid,),
    ).fetchone()
    return None if row is None else Known(row["id"], row["name"], row["deleted_at"] is not None)


def _free_name(conn: sqlite3.Connection, name: str) -> str:
    taken = conn.execute("SELECT name FROM sets WHERE deleted_at IS NULL")
    return names.free_name(name, {name_key(row["name"]) for row in taken})


def _sources(conn: sqlite3.Connection, set_id: int) -> tuple[list[int], list[WholeSource]]:
    """Return the sources of a set in their order, removed ones too, and their ids."""
    found = conn.execute(
        "SELECT id, deleted_at FROM sources WHERE set_id = ? ORDER BY position, id", (set_id,)
    ).fetchall()
    made = [
        WholeSource(
            readings=[
                DatedReading(taken_at=r.taken_at, who=r.who, reading=r.reading)
                for r in rows.load_readings(conn, row["id"])
            ],
            source=rows.load_source(conn, row["id"]).source,
            removed_at=row["deleted_at"],
        )
        for row in found
    ]
    return [int(row["id"]) for row in found], made


def _insert(conn: sqlite3.Connection, whole: Whole) -> tuple[int, list[int]]:
    """Add a set as it stands in `whole`; return its id and those of its sources. Raises Refused."""
    present = [
        (f"sources[{i}].source.name", s.source) for i, s in enumerate(whole.sources) if s.removed_at is None
    ]
    writes.refuse_too_many(len(present))
    names.refuse_taken(present, ())
    cursor = conn.execute(
        """INSERT INTO sets (name, note, target, limits, details, sample, uid, changed_at)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?)""",
        (*writes.set_columns(whole.set), int(whole.sample), whole.uid, whole.changed_at),
    )
    set_id = int(cursor.lastrowid or 0)
    ids = [
        _insert_source(conn, set_id, position, source)
        for position, source in enumerate(whole.sources, start=1)
    ]
    target_id = None if whole.target_source is None else ids[whole.target_source]
    conn.execute("UPDATE sets SET target_source_id = ? WHERE id = ?", (target_id, set_id))
    return set_id, ids


def _insert_source(conn: sqlite3.Connection, set_id: int, position: int, whole: WholeSource) -> int:
    cursor = conn.execute(
        """INSERT INTO sources (name, name_key, kind, note, keep, aim, details, set_id, position, deleted_at)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
        (*writes.source_columns(whole.source), set_id, position, whole.removed_at),
    )
    source_id = int(cursor.lastrowid or 0)
    conn.executemany(
        "INSERT INTO readings (source_id, reading, taken_at, who) VALUES (?, ?, ?, ?)",
        [
            (source_id, d.reading.model_dump_json(exclude_defaults=True), d.taken_at, d.who)
            for d in whole.readings
        ],
    )
    return source_id


def _words_image(line: LogLine) -> str:
    return json.dumps({"words": line.what}, ensure_ascii=False)


def _next_day(whole: WholeSource) -> WholeSource:
    def place(reading: Reading) -> tuple[object, ...]:
        return reading.level, reading.modifier.casefold(), reading.dial and tuple(dict(reading.dial).values())

    last = {place(d.reading): d for d in whole.readings if not d.reading.gels}
    kept = [d for d in whole.readings if any(d is other for other in last.values())]
    work = whole.source.work
    described = {
        field: getattr(whole.source, field) for field in Source.model_fields if field not in _READINGS
    }
    planned = work and _planned_again(work, whole.source.reading)
    return WholeSource.model_validate(
        {"readings": kept, "source": {**described, "work": planned}, "removed_at": whole.removed_at}
    )


def _planned_again(work: Work, newest: Reading) -> Work:
    """Return the work of a day as a plan for the next: the same stack, and what was read behind it last.

    A reading that was taken at another level or with another modifier than the bare one it goes with says
    nothing of the two together, and stays behind.
    """
    planned = Work(stage=Stage.PLANNED, gels=work.gels, dial=work.dial)
    bare, before = work.bare or newest, work.found or work.before
    if before is None or before.modifier.casefold() != bare.modifier.casefold():
        return planned
    if None not in (before.level, bare.level) and before.level != bare.level:
        return planned
    return planned.model_copy(update={"bare": bare, "before": before})


_READINGS = {"reading", "readings"}
