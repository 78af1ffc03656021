"""Rows of the tables of heads as records; a row that is not a value of the model is a StoreFault."""

import json
import sqlite3
from functools import lru_cache

from pydantic import ValidationError

from ...model import HeadReading, HeadTest, Kind, KnownHead
from ...model.basis.base import name_key
from ..file.faults import NotFound
from ..tables.reading_rows import unreadable
from ..tables.rows import one_row
from .known import HeadChange, HeadSummary, SameReadings, StoredHead, StoredTest, TakenReading


def head_of(row: sqlite3.Row) -> StoredHead:
    """Read a row of heads."""
    try:
        head = KnownHead.model_validate_json(row["head"])
    except ValidationError as error:
        raise unreadable("head", row["id"], error) from error
    changed = {**dict.fromkeys(said_of(head), row["changed_at"]), **json.loads(row["changed"])}
    return StoredHead(
        row["id"], head, row["revision"], row["changed_at"], row["deleted_at"] is not None, changed
    )


def said_of(head: KnownHead) -> list[str]:
    """Return the fields of a head that say something: the others hold what nobody gave."""
    return [name for name, field in KnownHead.model_fields.items() if getattr(head, name) != field.default]


def load_head(conn: sqlite3.Connection, head_id: int) -> StoredHead:
    """Return a head, also a removed one, which says so; raises NotFound."""
    return head_of(one_row(conn, "SELECT * FROM heads WHERE id = ?", "head", head_id))


def present_head(conn: sqlite3.Connection, head_id: int) -> StoredHead:
    """Return a head; raises NotFound, also where it was removed."""
    found = load_head(conn, head_id)
    if found.deleted:
        raise NotFound("head", head_id, deleted=True)
    return found


def named_head(conn: sqlite3.Connection, name: str) -> StoredHead | None:
    """Return the head of a name, None where there is none that was not removed."""
    row = conn.execute(
        "SELECT * FROM heads WHERE name_key = ? AND deleted_at IS NULL", (name_key(name),)
    ).fetchone()
    return head_of(row) if row else None


_STEP = """lower(coalesce(r.reading ->> '$.modifier', '')) || '/' || (r.reading ->> '$.level')
           || '/' || coalesce(r.reading -> '$.dial', '')"""
"""Which step of its test a reading is."""
_OWN = """head_tests k JOIN head_readings r ON r.test_id = k.id
          WHERE k.head_id = h.id AND k.deleted_at IS NULL AND r.struck_at IS NULL
          AND k.test ->> '$.on_set' IS NULL"""
"""What counts of the tests of a head `h`, without what was kept from sets."""


def list_heads(conn: sqlite3.Connection) -> list[HeadSummary]:
    """Return the heads that are not removed with their newest test, in order of group and name."""
    found = conn.execute(
        f"""SELECT h.*, t.id AS test_id, coalesce(t.begun_at, '') AS begun_at,
                  (SELECT count(DISTINCT {_STEP})
                   FROM head_readings r WHERE r.test_id = t.id AND r.struck_at IS NULL) AS n,
                  t.test,
                  (SELECT count(DISTINCT k.id) FROM {_OWN}) AS tests,
                  (SELECT count(DISTINCT k.id || '/' || {_STEP}) FROM {_OWN}) AS in_all,
                  t.test ->> '$.on_set' IS NOT NULL AS on_set,
                  (SELECT max(k.begun_at) FROM head_tests k
                   WHERE k.head_id = h.id AND k.deleted_at IS NULL AND k.begun_at > t.begun_at
                   AND k.test ->> '$.on_set' IS NOT NULL AND EXISTS (
                       SELECT 1 FROM head_readings r
                       WHERE r.test_id = k.id AND r.struck_at IS NULL)) AS kept_at
           FROM heads h LEFT JOIN head_tests t ON t.id = (
               SELECT k.id FROM head_tests k WHERE k.head_id = h.id AND k.deleted_at IS NULL
               ORDER BY EXISTS (
                   SELECT 1 FROM head_readings r
                   WHERE r.test_id = k.id AND r.struck_at IS NULL) DESC,
                   k.test ->> '$.on_set' IS NULL DESC, k.begun_at DESC, k.id DESC
               LIMIT 1)
           WHERE h.deleted_at IS NULL"""
    )
    lines = [
        HeadSummary(
            head_of(r),
            r["test_id"],
            r["begun_at"],
            r["n"],
            _needed(r["test"]) if r["test"] else 0,
            bool(r["on_set"]),
            r["kept_at"] or "",
            r["tests"],
            r["in_all"],
        )
        for r in found
    ]
    return sorted(
        lines, key=lambda line: (line.stored.head.group.casefold(), line.stored.head.name.casefold())
    )


def removed_heads(conn: sqlite3.Connection) -> list[StoredHead]:
    """Return the heads that were removed, the last one first."""
    found = conn.execute("SELECT * FROM heads WHERE deleted_at IS NOT NULL ORDER BY deleted_at DESC, id DESC")
    return [head_of(r) for r in found]


def load_test(conn: sqlite3.Connection, test_id: int) -> StoredTest:
    """Return a test with its readings that count, also a removed one, which says so; raises NotFound."""
    row = one_row(conn, "SELECT * FROM head_tests WHERE id = ?", "test", test_id)
    try:
        test = HeadTest.model_validate_json(row["test"])
        taken = counting_readings(conn, test_id)
    except ValidationError as error:
        raise unreadable("test", test_id, error) from error
    # The last of a step stands in the place of those before it.
    steps = test.steps_of([t.reading for t in taken])
    readings = {step: t for step, t in zip(steps, taken, strict=True) if step is not None}
    gone = row["deleted_at"] is not None
    return StoredTest(row["id"], row["head_id"], test, row["begun_at"], row["who"], readings, gone)


def counting_readings(conn: sqlite3.Connection, test_id: int) -> list[TakenReading]:
    """Return the readings of a test that were not struck out, by time; raises ValidationError."""
    found = conn.execute(
        "SELECT * FROM head_readings WHERE test_id = ? AND struck_at IS NULL ORDER BY taken_at, id",
        (test_id,),
    )
    return [TakenReading(r["id"], _valid(r["reading"]), r["taken_at"], r["who"]) for r in found]


def same_readings(conn: sqlite3.Connection, head_id: int, least: int) -> list[SameReadings]:
    """Return the other heads that share at least so many readings with one, the most first."""
    found = conn.execute(
        """SELECT h.id, h.head ->> '$.name' AS name, count(DISTINCT own.reading) AS n
           FROM head_tests mine
           JOIN head_readings own ON own.test_id = mine.id AND own.struck_at IS NULL
           JOIN head_readings its ON its.reading = own.reading AND its.struck_at IS NULL
           JOIN head_tests t ON t.id = its.test_id AND t.deleted_at IS NULL
           JOIN heads h ON h.id = t.head_id AND h.deleted_at IS NULL
           WHERE mine.head_id = ? AND mine.deleted_at IS NULL AND h.id <> mine.head_id
           GROUP BY h.id HAVING n >= ? ORDER BY n DESC, h.id""",
        (head_id, least),
    )
    return [SameReadings(r["id"], r["name"], r["n"]) for r in found]


def newest_meter(conn: sqlite3.Connection) -> str:
    """Return the meter of the newest test that names one and was not removed; empty where there is none."""
    row = conn.execute(
        """SELECT test ->> '$.meter' AS meter FROM head_tests
           WHERE deleted_at IS NULL AND coalesce(meter, '') != '' ORDER BY begun_at DESC, id DESC LIMIT 1"""
    ).fetchone()
    return str(row["meter"]) if row else ""


def newest_test(conn: sqlite3.Connection, kind: Kind) -> HeadTest | None:
    """Return the newest test of its own that a head of a kind had; None where there is none."""
    row = conn.execute(
        """SELECT t.test FROM head_tests t JOIN heads h ON h.id = t.head_id AND h.deleted_at IS NULL
           WHERE t.deleted_at IS NULL AND t.test ->> '$.on_set' IS NULL
           AND coalesce(h.head ->> '$.kind', ?) = ? ORDER BY t.begun_at DESC, t.id DESC LIMIT 1""",
        (Kind.UNKNOWN.value, kind.value),
    ).fetchone()
    return HeadTest.model_validate_json(row["test"]) if row else None


def load_changes(conn: sqlite3.Connection, head_id: int) -> list[HeadChange]:
    """Return what was done to a head, the newest first."""
    found = conn.execute(
        """SELECT c.*, r.reading FROM head_changes c
           LEFT JOIN head_readings r ON c.what LIKE 'reading.%' AND r.id = c.part
           WHERE c.head_id = ? ORDER BY c.id DESC""",
        (head_id,),
    ).fetchall()
    undone: set[int] = set()
    changes = []
    for row in found:
        # An undo that was itself undone leaves done what it undid.
        if row["undoes"] is not None and row["id"] not in undone:
            undone.add(row["undoes"])
        changes.append(_change_of(row, undone=row["id"] in undone))
    return changes


def load_change(conn: sqlite3.Connection, change_id: int) -> HeadChange:
    """Return a change with whether it was undone; raises NotFound."""
    row = one_row(conn, "SELECT head_id FROM head_changes WHERE id = ?", "change", change_id)
    return next(c for c in load_changes(conn, row["head_id"]) if c.id == change_id)


def _change_of(row: sqlite3.Row, *, undone: bool) -> HeadChange:
    try:
        before, after = (
            KnownHead.model_validate_json(row[k]) if row[k] else None for k in ("before", "after")
        )
        reading = _valid(row["reading"]) if row["reading"] else None
    except ValidationError as error:
        raise unreadable("change", row["id"], error) from error
    kept = (row["id"], row["head_id"], row["at"], row["who"], row["what"], row["part"])
    return HeadChange(*kept, before, after, row["undoes"], undone, reading)


@lru_cache(maxsize=4096)
def _needed(text: str) -> int:
    return HeadTest.model_validate_json(text).needed


@lru_cache(maxsize=16384)
def _valid(text: str) -> HeadReading:
    # Kept, since readings never change, and heads have many.
    return HeadReading.model_validate_json(text)
