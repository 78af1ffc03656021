"""Rows of the tables as records of the store; a row that is not a value of the model is a StoreFault."""

import json
import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from pydantic import TypeAdapter, ValidationError

from ...model import UNREAD, LightSet, Limits, Source, Target, WantedOffset, Work
from ...model.sets.whole import with_readings
from ..file.faults import NotFound, NotReadYet
from .kept_sources import KeptSources
from .needed_rows import MANY, counts_of, has_more, needed_rows
from .reading_rows import IN_ORDER, READINGS, stored_readings, unreadable
from .records import Removed, SetSummary, StoredReading, StoredSet, StoredSource
from .struck import work_that_counts

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


def removed_sets(conn: sqlite3.Connection) -> list[Removed]:
    """Return the sets that were deleted, the last one first."""
    found = conn.execute(
        """SELECT id, name, deleted_at, coalesce((
               SELECT who FROM changes c WHERE c.set_id = sets.id AND c.what = 'set.deleted'
               ORDER BY c.id DESC LIMIT 1), '') AS who
           FROM sets WHERE deleted_at IS NOT NULL ORDER BY deleted_at DESC, id DESC"""
    )
    return [Removed(r["id"], r["name"], r["deleted_at"], r["who"]) for r in found]


def removed_sources(conn: sqlite3.Connection, set_id: int) -> list[Removed]:
    """Return the sources of a set that were deleted, the last one first."""
    found = conn.execute(
        """SELECT id, name, deleted_at, coalesce((
               SELECT who FROM changes c WHERE c.source_id = sources.id AND c.what = 'source.deleted'
               ORDER BY c.id DESC LIMIT 1), '') AS who
           FROM sources WHERE set_id = ? AND deleted_at IS NOT NULL ORDER BY deleted_at DESC, id DESC""",
        (set_id,),
    )
    return [Removed(r["id"], r["name"], r["deleted_at"], r["who"]) for r in found]


def present_set(
    conn: sqlite3.Connection, set_id: int, kept: KeptSources | None = None, most: int | None = None
) -> StoredSet:
    """Return a set; raises NotFound, also where it was deleted. See `load_set`."""
    stored = load_set(conn, set_id, kept, most)
    if stored.deleted:
        raise NotFound("set", set_id, deleted=True)
    return stored


def load_set(
    conn: sqlite3.Connection, set_id: int, kept: KeptSources | None = None, most: int | None = None
) -> StoredSet:
    """Return a set, a deleted one too; raises NotFound, and NotReadYet instead of reading more than `most`.

    What is `kept` of its sources is taken from there, with the readings that are needed; None reads all.
    """
    query = """SELECT sets.*, matched.name AS target_name, matched.deleted_at AS target_deleted_at
               FROM sets LEFT JOIN sources AS matched ON matched.id = sets.target_source_id
               WHERE sets.id = ?"""
    row = one_row(conn, query, "set", set_id)
    sources = conn.execute(
        "SELECT * FROM sources WHERE set_id = ? AND deleted_at IS NULL ORDER BY number", (set_id,)
    ).fetchall()
    try:
        own = _valid_set(row["name"], row["target"], row["limits"], row["details"])
    except ValidationError as error:
        raise unreadable("set", set_id, error) from error
    target = own.target
    if row["target_source_id"] is not None:
        target = target.model_copy(update={"source": row["target_name"]})
    return StoredSet(
        id=row["id"],
        name=row["name"],
        note=row["note"],
        target=target,
        target_source_id=row["target_source_id"],
        target_deleted=row["target_deleted_at"] is not None,
        limits=own.limits,
        exposure=own.exposure,
        spare_percent=own.spare_percent,
        hidden_cautions=tuple(own.hidden_cautions),
        pulled=tuple(own.pulled),
        walk=tuple(own.walk),
        wrapped=own.wrapped,
        down=tuple(own.down),
        stays_as=own.stays_as,
        copied_from=own.copied_from,
        sources=_sources_of_set(conn, sources, row["target_source_id"], kept, most),
        uid=row["uid"],
        revision=row["revision"],
        changed_at=row["changed_at"],
        sample=bool(row["sample"]),
        deleted=row["deleted_at"] is not None,
    )


def _sources_of_set(
    conn: sqlite3.Connection,
    rows: Sequence[sqlite3.Row],
    matched: int | None,
    kept: KeptSources | None,
    most: int | None = None,
) -> tuple[StoredSource, ...]:
    """Return each source with its readings, of which those that are not `kept` are read at once.

    `matched` is the source that the set's target matches.
    """
    known = kept.find(rows, matched) if kept else {}
    missing = [row for row in rows if row["id"] not in known]
    if not missing:
        return tuple(known[row["id"]] for row in rows)
    if most is not None and has_more(conn, missing, most):
        raise NotReadYet(missing[0]["set_id"])
    counts = counts_of(conn, missing)
    few = [row for row in missing if counts.get(row["id"], 0) <= MANY]
    read: list[tuple[sqlite3.Row, StoredSource, bool | None]] = []
    read += ((row, source, None) for row, source in zip(few, _read(conn, few) if few else (), strict=True))
    for row in missing:
        # One by one: their rows take more memory than what is made of them.
        if counts.get(row["id"], 0) > MANY:
            here = row["id"] == matched
            read.append((row, _read_many(conn, row, kept, here), here))
    if kept:
        kept.keep(read)
    known |= {row["id"]: source for row, source, _ in read}
    return tuple(known[row["id"]] for row in rows)


def _read(conn: sqlite3.Connection, rows: Sequence[sqlite3.Row]) -> list[StoredSource]:
    readings: defaultdict[int, list[sqlite3.Row]] = defaultdict(list)
    for reading in conn.execute(
        f"{READINGS} WHERE r.source_id IN (SELECT value FROM json_each(?)) {IN_ORDER}",
        (json.dumps([row["id"] for row in rows]),),
    ):
        readings[reading["source_id"]].append(reading)
    return _sources(conn, [(row, readings.pop(row["id"], [])) for row in rows])


def _read_many(
    conn: sqlite3.Connection, row: sqlite3.Row, kept: KeptSources | None, matched: bool
) -> StoredSource:
    found = conn.execute(f"{READINGS} WHERE r.source_id = ? {IN_ORDER}", (row["id"],)).fetchall()
    needed = needed_rows(row, found, kept.needed if kept else None, matched)
    [source] = _sources(conn, [(row, needed)])
    return replace(source, readings=source.readings + len(found) - len(needed))


def unread(conn: sqlite3.Connection, set_id: int, kept: KeptSources) -> list[int]:
    """Return the sources of a set that are not `kept`, by their ids; raises NotFound."""
    own = one_row(conn, "SELECT target_source_id FROM sets WHERE id = ?", "set", set_id)
    found = conn.execute(
        "SELECT * FROM sources WHERE set_id = ? AND deleted_at IS NULL", (set_id,)
    ).fetchall()
    known = kept.find(found, own["target_source_id"])
    return [row["id"] for row in found if row["id"] not in known]


def read_source(conn: sqlite3.Connection, source_id: int, kept: KeptSources) -> StoredSource:
    """Return a source, which is kept. Raises NotFound."""
    row = one_row(conn, "SELECT * FROM sources WHERE id = ?", "source", source_id)
    own = one_row(conn, "SELECT target_source_id FROM sets WHERE id = ?", "set", row["set_id"])
    return _sources_of_set(conn, [row], own["target_source_id"], kept)[0]


def name_of(conn: sqlite3.Connection, set_id: int, source_id: int) -> str | None:
    """Return the name of a source of a set; None where the set has it no more."""
    row = conn.execute(
        "SELECT name FROM sources WHERE id = ? AND set_id = ? AND deleted_at IS NULL", (source_id, set_id)
    ).fetchone()
    return None if row is None else str(row["name"])


def load_source(conn: sqlite3.Connection, source_id: int) -> StoredSource:
    """Return a source, a deleted one too; raises NotFound."""
    row = one_row(conn, "SELECT * FROM sources WHERE id = ?", "source", source_id)
    found = conn.execute(f"{READINGS} WHERE r.source_id = ? {IN_ORDER}", (source_id,))
    return _sources(conn, [(row, found.fetchall())])[0]


def work_on_record(conn: sqlite3.Connection, source_id: int) -> Work | None:
    """Return the work on a source as it is kept, with what was struck out since. Raises NotFound."""
    row = one_row(conn, "SELECT id, details FROM sources WHERE id = ?", "source", source_id)
    kept = json.loads(row["details"]).get("work")
    try:
        return None if kept is None else Work.model_validate(kept)
    except ValidationError as error:
        raise unreadable("source", source_id, error) from error


def _sources(
    conn: sqlite3.Connection, found: Sequence[tuple[sqlite3.Row, Sequence[sqlite3.Row]]]
) -> list[StoredSource]:
    """Make each source of its row and the rows of its readings, oldest first.

    Of those that were not struck out, and are of its lamp, the newest bare one counts.
    """
    bare = [_own_source(row) for row, _ in found]
    lamps = [source.lamp_since for source in bare]
    stored = stored_readings([readings for _, readings in found], lamps)
    counting = [[r.reading for r in own if r.counts] for own in stored]
    sources = with_readings(bare, counting)
    each = zip(found, sources, stored, lamps, strict=True)
    return [_source(conn, row, source, own, lamp) for (row, _), source, own, lamp in each]


def _own_source(row: sqlite3.Row) -> Source:
    try:
        return _valid_source(*(row[name] for name in _OWN))
    except ValidationError as error:
        raise unreadable("source", row["id"], error) from error


def _source(
    conn: sqlite3.Connection,
    row: sqlite3.Row,
    source: Source,
    stored: Sequence[StoredReading],
    lamp_since: str,
) -> StoredSource:
    """Return a source with what is kept beside it; `stored` are its readings, oldest first."""
    counting = [r for r in stored if r.counts]
    bare = next((r for r in reversed(counting) if r.reading is source.reading), None)
    if source.work and len(counting) < len(stored):
        struck = [r.reading for r in stored if not r.counts]
        left = [r.reading for r in counting]
        work = work_that_counts(conn, row["id"], source.work, left, struck, lamp=lamp_since)
        source = source.model_copy(update={"work": work})
    return StoredSource(
        id=row["id"],
        set_id=row["set_id"],
        number=row["number"],
        source=source,
        revision=row["revision"],
        readings=sum(1 for r in stored if r.struck is None or r.struck.by is None),
        taken_at=bare.taken_at if bare else "",
        who=bare.who if bare else "",
        behind=next((r for r in reversed(counting) if r.reading.gels), None),
        deleted=row["deleted_at"] is not None,
        tested=bare is not None and bare.reading.tested_at is not None,
    )


@lru_cache(maxsize=64)
def _valid_set(name: str, target: str, limits: str, details: str) -> LightSet:
    """Return the set in a row, without its note and its sources."""
    # Kept, as sources are.
    own = {"target": Target.model_validate_json(target), "limits": Limits.model_validate_json(limits)}
    return LightSet.model_validate({"name": name, **own, **json.loads(details)})


_OWN = ("name", "kind", "note", "keep", "aim", "details")
"""The columns that a source is made of, but for its readings."""


@lru_cache(maxsize=1024)
def _valid_source(name: str, kind: str, note: str, keep: str, aim: str, details: str) -> Source:
    """Return the source in a row, without its readings."""
    # Kept, since every page of a set reads all its sources, and few of them change from one to the next.
    return Source(
        name=name,
        kind=kind,
        reading=UNREAD,
        note=note,
        keep=_KEEP.validate_json(keep),
        aim=WantedOffset.model_validate_json(aim),
        **json.loads(details),
    )
