"""Readings that were taken on a set, kept to their head as a test of their own: each once."""

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from ...model import HeadReading, HeadTest
from . import rows, writes
from .known import StoredHead

_COUNTS = """SELECT 1 FROM head_readings r JOIN head_tests t ON t.id = r.test_id
             WHERE (r.kept_from = ? OR r.taken_at = ?) AND t.head_id = ?
             AND r.struck_at IS NULL AND t.deleted_at IS NULL"""
"""Counts, of a head: as kept here, or as it came from where it was kept."""


@dataclass(frozen=True, slots=True)
class OnSet:
    """A reading that was taken on a set, by its id there, as one of its head; when, and by whom."""

    id: int
    reading: HeadReading
    taken_at: str
    who: str


def head_of_source(conn: sqlite3.Connection, source_id: int, name: str) -> StoredHead | None:
    """Return the head that a source is: that of its tests, else the one of that name; None without one.

    Raises NotFound where the head was removed.
    """
    row = conn.execute(
        """SELECT t.head_id FROM readings r JOIN head_tests t ON t.id = r.test_id
           WHERE r.source_id = ? AND r.id NOT IN (SELECT reading_id FROM struck)
           ORDER BY r.id DESC LIMIT 1""",
        (source_id,),
    ).fetchone()
    if row is not None:
        return rows.present_head(conn, row["head_id"])
    return rows.named_head(conn, name)


def kept_of(conn: sqlite3.Connection, head_id: int, source_id: int) -> int:
    """Return how many readings of a source of a set count in tests of a head."""
    row = conn.execute(
        """SELECT count(*) FROM head_readings k JOIN head_tests t ON t.id = k.test_id
           JOIN readings r ON r.id = k.kept_from
           WHERE t.head_id = ? AND r.source_id = ? AND k.struck_at IS NULL AND t.deleted_at IS NULL""",
        (head_id, source_id),
    ).fetchone()
    return int(row[0])


def kept_as(conn: sqlite3.Connection, source_id: int) -> dict[int, tuple[int, HeadTest]]:
    """Return to which head each reading of a source is kept, as what test, by the id of the reading."""
    found = conn.execute(
        """SELECT k.kept_from, k.test_id, t.head_id FROM head_readings k JOIN head_tests t ON t.id = k.test_id
           JOIN readings r ON r.id = k.kept_from
           WHERE r.source_id = ? AND k.struck_at IS NULL AND t.deleted_at IS NULL ORDER BY k.id""",
        (source_id,),
    ).fetchall()
    tests = {row["test_id"]: rows.load_test(conn, row["test_id"]).test for row in found}
    return {row["kept_from"]: (row["head_id"], tests[row["test_id"]]) for row in found}


def tested_since(conn: sqlite3.Connection, set_id: int) -> list[int]:
    """Return the sources of a set whose heads were tested, or a test changed, since they came on it.

    They come by their ids. What was kept from sets is no test of its own.
    """
    found = conn.execute(_TESTED_SINCE, {"set": set_id}).fetchall()
    return [int(row["id"]) for row in found]


_TESTED_SINCE = """SELECT s.id FROM sources s
    WHERE s.set_id = :set AND s.deleted_at IS NULL AND EXISTS (
        SELECT 1 FROM readings r JOIN head_tests t ON t.id = r.test_id
        JOIN head_changes c ON c.head_id = t.head_id
        WHERE r.source_id = s.id AND (c.what LIKE 'reading.%' OR c.what IN
            ('test.begun', 'test.imported', 'test.removed', 'test.back'))
        AND c.at > coalesce(
            (SELECT max(at) FROM changes d WHERE d.source_id = s.id AND d.undoes IS NULL
             AND (d.what = 'source.added' OR d.what = 'source.unit' AND NOT EXISTS
                  (SELECT 1 FROM changes u WHERE u.source_id = s.id AND u.undoes = d.id))),
            (SELECT min(at) FROM changes WHERE set_id = s.set_id), '')
    ) ORDER BY s.id"""


def not_kept(conn: sqlite3.Connection, head_id: int, taken: Sequence[OnSet]) -> list[OnSet]:
    """Return those of the readings that count in no test of a head yet."""
    return [one for one in taken if not conn.execute(_COUNTS, (one.id, one.taken_at, head_id)).fetchone()]


def keep(conn: sqlite3.Connection, head_id: int, test: HeadTest, taken: Sequence[OnSet], who: str) -> int:
    """Keep readings as a test of a head, begun when the first was taken, and return its id."""
    test_id = writes.insert_test(conn, head_id, test, min(one.taken_at for one in taken), who)
    for one in taken:
        kept_id = writes.insert_reading(conn, test_id, one.reading, one.taken_at, one.who)
        conn.execute("UPDATE head_readings SET kept_from = ? WHERE id = ?", (one.id, kept_id))
    return test_id


def doubled(conn: sqlite3.Connection, head_id: int, test_id: int) -> bool:
    """Whether a reading of a test of a head that was removed was kept again since."""
    found = conn.execute(
        "SELECT kept_from, taken_at FROM head_readings WHERE test_id = ? AND kept_from IS NOT NULL",
        (test_id,),
    ).fetchall()
    return any(
        conn.execute(_COUNTS, (row["kept_from"], row["taken_at"], head_id)).fetchone() for row in found
    )
