"""Rows of the tables as records of the store; a row that is not a value of the model is a StoreFault."""

import json
import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache

from pydantic import TypeAdapter, ValidationError

from ..model import Aim, LightSet, Limits, Reading, Source, Target, problems_in
from .faults import NotFound, StoreFault
from .records import SetSummary, StoredReading, StoredSet, StoredSource

_KEEP = TypeAdapter(list[str])


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


def present_set(conn: sqlite3.Connection, set_id: int) -> StoredSet:
    """Return a set; raises NotFound, also where it was deleted."""
    stored = load_set(conn, set_id)
    if stored.deleted:
        raise NotFound("set", set_id, deleted=True)
    return stored


def load_set(conn: sqlite3.Connection, set_id: int) -> StoredSet:
    """Return a set, a deleted one too; raises NotFound."""
    query = """SELECT sets.*, matched.name AS target_name, matched.deleted_at AS target_deleted_at
               FROM sets LEFT JOIN sources AS matched ON matched.id = sets.target_source_id
               WHERE sets.id = ?"""
    row = one_row(conn, query, "set", set_id)
    sources = conn.execute(
        "SELECT * FROM sources WHERE set_id = ? AND deleted_at IS NULL ORDER BY number", (set_id,)
    ).fetchall()
    found = conn.execute(
        """SELECT r.* FROM readings r JOIN sources s ON s.id = r.source_id
           WHERE s.set_id = ? AND s.deleted_at IS NULL ORDER BY r.id""",
        (set_id,),
    )
    readings: defaultdict[int, list[sqlite3.Row]] = defaultdict(list)
    for reading in found:
        readings[reading["source_id"]].append(reading)
    try:
        target = Target.model_validate_json(row["target"])
        limits = Limits.model_validate_json(row["limits"])
        details = LightSet.model_validate(
            {"name": row["name"], "target": target, **json.loads(row["details"])}
        )
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
        exposure=details.exposure,
        spare_percent=details.spare_percent,
        hidden_cautions=tuple(details.hidden_cautions),
        copied_from=details.copied_from,
        sources=tuple(_source(s, readings[s["id"]]) for s in sources),
        uid=row["uid"],
        revision=row["revision"],
        changed_at=row["changed_at"],
        sample=bool(row["sample"]),
        deleted=row["deleted_at"] is not None,
    )


def load_source(conn: sqlite3.Connection, source_id: int) -> StoredSource:
    """Return a source, a deleted one too; raises NotFound."""
    row = one_row(conn, "SELECT * FROM sources WHERE id = ?", "source", source_id)
    found = conn.execute("SELECT * FROM readings WHERE source_id = ? ORDER BY id", (source_id,))
    return _source(row, found.fetchall())


def load_readings(conn: sqlite3.Connection, source_id: int) -> list[StoredReading]:
    """Return the readings of a source, oldest first."""
    rows = conn.execute(
        "SELECT id, reading, taken_at, who FROM readings WHERE source_id = ? ORDER BY id", (source_id,)
    )
    return [_stored(r, _reading(r["id"], r["reading"])) for r in rows]


def unreadable(what: str, number: int, error: ValidationError) -> StoreFault:
    """Say that a row, edited by another program or damaged, is not a value of the model."""
    problems = "; ".join(f"{p.where}: {p.says}" for p in problems_in(error))
    return StoreFault(
        f"The stored {what} {number} cannot be read ({problems}), and was left as it is. "
        "Stop the advisor, and put the latest backup in the data file's place."
    )


def _source(row: sqlite3.Row, found: Sequence[sqlite3.Row]) -> StoredSource:
    """Make a source of its row and the rows of its readings, oldest first: the newest bare one counts."""
    readings = [_reading(r["id"], r["reading"]) for r in found]
    counts = max(k for k, reading in enumerate(readings) if not reading.gels)
    behind = max((k for k, reading in enumerate(readings) if reading.gels), default=None)
    try:
        source = Source(
            name=row["name"],
            kind=row["kind"],
            reading=readings[counts],
            readings=readings[:counts] + readings[counts + 1 :],
            note=row["note"],
            keep=_KEEP.validate_json(row["keep"]),
            aim=Aim.model_validate_json(row["aim"]),
            **json.loads(row["details"]),
        )
    except ValidationError as error:
        raise unreadable("source", row["id"], error) from error
    return StoredSource(
        id=row["id"],
        set_id=row["set_id"],
        number=row["number"],
        source=source,
        revision=row["revision"],
        readings=len(readings),
        taken_at=found[counts]["taken_at"],
        who=found[counts]["who"],
        behind=None if behind is None else _stored(found[behind], readings[behind]),
        deleted=row["deleted_at"] is not None,
    )


def _stored(row: sqlite3.Row, reading: Reading) -> StoredReading:
    return StoredReading(row["id"], reading, row["taken_at"], row["who"])


@lru_cache(maxsize=4096)
def _valid(text: str) -> Reading:
    # Kept, since readings never change, and a set's page reads all of them.
    return Reading.model_validate_json(text)


def _reading(number: int, text: str) -> Reading:
    try:
        return _valid(text)
    except ValidationError as error:
        raise unreadable("reading", number, error) from error
