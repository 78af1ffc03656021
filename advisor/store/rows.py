"""Rows of the tables as records of the store; a row that is not a value of the model is a StoreFault."""

import sqlite3

from pydantic import TypeAdapter, ValidationError

from ..model import Aim, Limits, Reading, Source, Target, problems_in
from .faults import NotFound, StoreFault
from .records import SetSummary, StoredReading, StoredSet, StoredSource

_KEEP = TypeAdapter(list[str])

_SOURCES = """
    SELECT s.*, r.id AS reading_id, r.reading, r.taken_at,
           (SELECT count(*) FROM readings WHERE source_id = s.id) AS readings
    FROM sources s JOIN readings r ON r.id = (SELECT max(id) FROM readings WHERE source_id = s.id)
"""


def one_row(conn: sqlite3.Connection, query: str, what: str, number: int) -> sqlite3.Row:
    """Return the row that `query` finds for `number`; raises NotFound, which calls it `what`."""
    try:
        row: sqlite3.Row | None = conn.execute(query, (number,)).fetchone()
    except OverflowError:
        # Beyond 64 bits: a number that no row can have.
        row = None
    if row is None:
        raise NotFound(what, number)
    return row


def list_sets(conn: sqlite3.Connection) -> list[SetSummary]:
    """Return a line for each set that is not deleted, the one changed last first."""
    found = conn.execute(
        """SELECT id, name, changed_at, sample,
                  (SELECT count(*) FROM sources WHERE set_id = sets.id AND deleted_at IS NULL) AS sources
           FROM sets WHERE deleted_at IS NULL ORDER BY changed_at DESC, id DESC"""
    )
    return [SetSummary(r["id"], r["name"], r["sources"], r["changed_at"], bool(r["sample"])) for r in found]


def load_set(conn: sqlite3.Connection, set_id: int) -> StoredSet:
    """Return a set, a deleted one too; raises NotFound."""
    query = """SELECT sets.*, matched.name AS target_name, matched.deleted_at AS target_deleted_at
               FROM sets LEFT JOIN sources AS matched ON matched.id = sets.target_source_id
               WHERE sets.id = ?"""
    row = one_row(conn, query, "set", set_id)
    sources = conn.execute(
        _SOURCES + "WHERE s.set_id = ? AND s.deleted_at IS NULL ORDER BY s.position", (set_id,)
    )
    try:
        target = Target.model_validate_json(row["target"])
        limits = Limits.model_validate_json(row["limits"])
    except ValidationError as error:
        raise unreadable("set", set_id, error) from error
    if row["target_source_id"] is not None:
        target = target.model_copy(update={"source": row["target_name"]})
    return StoredSet(
        id=row["id"],
        name=row["name"],
        note=row["note"],
        target=target,
        target_source_id=row["target_source_id"],
        target_deleted=row["target_deleted_at"] is not None,
        limits=limits,
        sources=tuple(_source(s) for s in sources),
        revision=row["revision"],
        changed_at=row["changed_at"],
        sample=bool(row["sample"]),
        deleted=row["deleted_at"] is not None,
    )


def load_source(conn: sqlite3.Connection, source_id: int) -> StoredSource:
    """Return a source, a deleted one too; raises NotFound."""
    return _source(one_row(conn, _SOURCES + "WHERE s.id = ?", "source", source_id))


def load_readings(conn: sqlite3.Connection, source_id: int) -> list[StoredReading]:
    """Return the readings of a source, oldest first."""
    rows = conn.execute(
        "SELECT id, reading, taken_at FROM readings WHERE source_id = ? ORDER BY id", (source_id,)
    )
    return [StoredReading(r["id"], _reading(r["id"], r["reading"]), r["taken_at"]) for r in rows]


def unreadable(what: str, number: int, error: ValidationError) -> StoreFault:
    """Say that a row, edited by another program or damaged, is not a value of the model."""
    problems = "; ".join(f"{p.where}: {p.says}" for p in problems_in(error))
    return StoreFault(
        f"The stored {what} {number} cannot be read ({problems}), and was left as it is. "
        "Stop the advisor, and put the latest backup in the data file's place."
    )


def _source(row: sqlite3.Row) -> StoredSource:
    try:
        source = Source(
            name=row["name"],
            kind=row["kind"],
            reading=_reading(row["reading_id"], row["reading"]),
            note=row["note"],
            keep=_KEEP.validate_json(row["keep"]),
            aim=Aim.model_validate_json(row["aim"]),
        )
    except ValidationError as error:
        raise unreadable("source", row["id"], error) from error
    return StoredSource(
        id=row["id"],
        set_id=row["set_id"],
        source=source,
        revision=row["revision"],
        readings=row["readings"],
        taken_at=row["taken_at"],
        deleted=row["deleted_at"] is not None,
    )


def _reading(number: int, text: str) -> Reading:
    try:
        return Reading.model_validate_json(text)
    except ValidationError as error:
        raise unreadable("reading", number, error) from error
