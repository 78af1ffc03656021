"""Sets as wholes: exported with all that was read and done, restored elsewhere.

A set restored is the same set: with its number (`uid`), times and people. Its history is kept as the words
that it came with. A line on top says that it was restored. An export leaves that line out, so that what is
exported again is what was imported, but for the time.
"""

import json
import secrets
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...model import Gel
from ...model.basis.base import free_name, name_key
from ...model.sets.whole import (
    FORMAT,
    MAX_LINES,
    WITHOUT_HEADS,
    DatedReading,
    FromTest,
    LogLine,
    StruckOut,
    Whole,
    WholeSource,
)
from ..file.database import Database, utc_now
from ..tables import history, names, reading_rows, rows, writes
from ..tables.records import StoredReading
from ..tables.writes import Stamp
from . import log
from .tested import TestIds, add_heads, from_test, heads_of, indices_of, test_of

HistoryRow = tuple[str, str, str]
"""A line of history as it is written: when, who, and its words as JSON."""


@dataclass(frozen=True, slots=True)
class NumberedSet:
    """A set that bears a number; `deleted` says that it can be brought back."""

    id: int
    name: str
    deleted: bool


class AlreadyHere(Exception):
    """The set is here already, as `known`; nothing was written."""

    def __init__(self, known: NumberedSet) -> None:
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
            stored = rows.present_set(conn, set_id)
            changes = [c for c in history.load_changes(conn, set_id) if c.what != "set.imported"][-MAX_LINES:]
            told = [told.line for told in log.words(conn, changes)]
            heads, tests = heads_of(conn, set_id)
            ids, sources = sources_of(conn, set_id, tests)
            last_number = writes.last_number(conn, set_id) or None
        return Whole(
            advisor_set=FORMAT if heads else WITHOUT_HEADS,
            uid=stored.uid,
            exported_at=utc_now(),
            changed_at=stored.changed_at,
            sample=stored.sample,
            set=stored.light_set.model_copy(update={"sources": []}),
            target_source=None if stored.target_source_id is None else ids.index(stored.target_source_id),
            sources=sources,
            last_number=last_number,
            gels=list(gels),
            history=[LogLine(at=c.at, who=c.who, what=said) for c, said in zip(changes, told, strict=True)],
            heads=heads,
        )

    def restore(
        self,
        whole: Whole,
        history_of_it: Sequence[HistoryRow] = (),
        *,
        copy: bool = False,
        made: bool = False,
    ) -> int:
        """Keep a set as it was exported, and return its id; a `copy` gets a number and a name of its own.

        Its history is that of `whole`, and after it `history_of_it`.

        One that was `made` here is recorded as new. Raises AlreadyHere unless it is a copy, also where the
        set was deleted here; and Refused where two sources share a name or there are too many. Heads that
        come along join those here: what is known of one here stays as it is, and what was tested is added.
        """
        lines = [*history_rows(whole.history), *history_of_it]  # before others have to wait
        with self._db.write() as conn:
            known = known_set(conn, whole.uid)
            if known and not copy:
                raise AlreadyHere(known)
            if copy:
                name = free_set_name(conn, whole.set.name)
                renamed = whole.set.model_copy(update={"name": name})
                whole = whole.model_copy(update={"uid": secrets.token_hex(16), "set": renamed})
            set_id, source_ids = insert(conn, whole, add_heads(conn, self._who, whole.heads))
            conn.executemany(
                "INSERT INTO changes (at, who, set_id, what, after) VALUES (?, ?, ?, 'log', ?)",
                ((at, who, set_id, words) for at, who, words in lines),
            )
            stamp = Stamp(utc_now(), self._who)
            history.record_set(conn, stamp, "set.added" if made else "set.imported", set_id)
            for source_id in source_ids if made else ():
                history.record_source(conn, stamp, "source.added", set_id, source_id)
            return set_id

    def known(self, uid: str) -> NumberedSet | None:
        """Return the set that bears a number, a deleted one only where no other does; None if none does."""
        with self._db.read() as conn:
            return known_set(conn, uid)


def known_set(conn: sqlite3.Connection, uid: str) -> NumberedSet | None:
    """Return the set that bears a number, a deleted one only where no other does; None if none does."""
    row = conn.execute(
        """SELECT id, name, deleted_at FROM sets WHERE uid = ?
           ORDER BY deleted_at IS NOT NULL, id LIMIT 1""",
        (uid,),
    ).fetchone()
    return None if row is None else NumberedSet(row["id"], row["name"], row["deleted_at"] is not None)


def free_set_name(conn: sqlite3.Connection, name: str) -> str:
    """Return `name`, or with a number behind it the first that no set has."""
    taken = conn.execute("SELECT name FROM sets WHERE deleted_at IS NULL")
    return free_name(name, {name_key(row["name"]) for row in taken})


def sources_of(conn: sqlite3.Connection, set_id: int, tests: TestIds) -> tuple[list[int], list[WholeSource]]:
    """Return the sources of a set in their order, removed ones too, and their ids.

    `tests` are those of the heads that it uses, as they stand beside it.
    """
    indices = indices_of(tests)
    found = conn.execute(
        "SELECT id, number, deleted_at FROM sources WHERE set_id = ? ORDER BY number", (set_id,)
    ).fetchall()
    made = [
        WholeSource(
            readings=_dated(reading_rows.load_readings(conn, row["id"]), indices),
            source=rows.load_source(conn, row["id"]).source,
            number=row["number"],
            removed_at=row["deleted_at"],
        )
        for row in found
    ]
    return [int(row["id"]) for row in found], made


def insert(conn: sqlite3.Connection, whole: Whole, tests: TestIds) -> tuple[int, list[int]]:
    """Add a set as it stands in `whole`; return its id and those of its sources. Raises Refused.

    `tests` are those of its heads, by their ids here.
    """
    there = [
        (f"sources[{i}].source.name", s.source) for i, s in enumerate(whole.sources) if s.removed_at is None
    ]
    writes.refuse_too_many(len(there))
    names.refuse_taken(there, ())
    cursor = conn.execute(
        """INSERT INTO sets (name, note, target, limits, details, sample, uid, changed_at, last_number)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)""",
        (
            *writes.set_columns(whole.set),
            int(whole.sample),
            whole.uid,
            whole.changed_at,
            whole.last_number or 0,
        ),
    )
    set_id = int(cursor.lastrowid or 0)
    numbered = zip(whole.numbers, whole.sources, strict=True)
    ids = [_insert_source(conn, set_id, number, source, tests) for number, source in numbered]
    target_id = None if whole.target_source is None else ids[whole.target_source]
    conn.execute("UPDATE sets SET target_source_id = ? WHERE id = ?", (target_id, set_id))
    return set_id, ids


def _insert_source(
    conn: sqlite3.Connection, set_id: int, number: int, whole: WholeSource, tests: TestIds
) -> int:
    cursor = conn.execute(
        """INSERT INTO sources (name, name_key, kind, note, keep, aim, details, set_id, number, deleted_at)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
        (*writes.source_columns(whole.source), set_id, number, whole.removed_at),
    )
    source_id = int(cursor.lastrowid or 0)
    numbers = [
        writes.add_reading(
            conn,
            source_id,
            d.reading.model_dump_json(exclude_defaults=True),
            d.taken_at,
            d.who,
            d.sent_at or "",
            test_id=test_of(tests, d.test),
        )
        for d in whole.readings
    ]
    for number, d in zip(numbers, whole.readings, strict=True):
        if d.struck:
            by = None if d.struck.by is None else numbers[d.struck.by]
            conn.execute(
                "INSERT INTO struck (reading_id, at, who, by_id) VALUES (?, ?, ?, ?)",
                (number, d.struck.at, d.struck.who, by),
            )
    return source_id


def _dated(readings: Sequence[StoredReading], tests: Mapping[int, FromTest]) -> list[DatedReading]:
    indices = {reading.id: index for index, reading in enumerate(readings)}

    def struck_out(reading: StoredReading) -> StruckOut | None:
        if (struck := reading.struck) is None:
            return None
        return StruckOut(
            at=struck.at, who=struck.who, by=None if struck.by is None else indices.get(struck.by)
        )

    return [
        DatedReading(
            taken_at=r.taken_at,
            sent_at=r.sent_at or None,
            who=r.who,
            reading=r.reading,
            struck=struck_out(r),
            test=from_test(tests, r.test_id),
        )
        for r in readings
    ]


def history_rows(lines: Sequence[LogLine]) -> list[HistoryRow]:
    """Return lines of history as they are written."""
    return [(line.at, line.who, _written({"words": line.what})) for line in lines]


_written = json.JSONEncoder(ensure_ascii=False).encode
