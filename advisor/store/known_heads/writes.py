"""What every writer of heads shares: new rows, a head in another's place, the record of each change."""

import json
import sqlite3
from collections.abc import Mapping

from ...model import HeadReading, HeadTest, KnownHead, Refused
from ...model.basis.base import name_key
from ...model.sets.known_head import MOST_OTHERS
from ..file.database import utc_now
from . import rows
from .known import StoredHead, StoredTest

MOST_HEADS = 2000
"""The most heads that are kept, the removed ones not counted."""


def insert_head(
    conn: sqlite3.Connection, who: str, head: KnownHead, changed: Mapping[str, str], what: str
) -> int:
    """Keep a new head, whose fields got their values when `changed` says, and return its id.

    `what` was done is recorded. Raises Refused where another has the name, and where there are too many.
    """
    count = conn.execute("SELECT count(*) FROM heads WHERE deleted_at IS NULL").fetchone()[0]
    if count >= MOST_HEADS:
        raise Refused.one("name", f"there are {count} heads", f"at most {MOST_HEADS}; remove one first")
    refuse_taken(conn, head.name)
    cursor = conn.execute(
        "INSERT INTO heads (name_key, head, changed_at, changed) VALUES (?, ?, ?, ?)",
        (name_key(head.name), head_text(head), utc_now(), json.dumps(changed)),
    )
    head_id = int(cursor.lastrowid or 0)
    record(conn, who, head_id, what, after=head)
    return head_id


def put_head(
    conn: sqlite3.Connection,
    who: str,
    now: StoredHead,
    head: KnownHead,
    changed: Mapping[str, str] | None = None,
    undoes: int | None = None,
) -> StoredHead:
    """Put `head` in a head's place, and return it; `changed` says when its fields changed, None for now.

    Raises Refused where another has the name.
    """
    if head == now.head:
        return now
    refuse_taken(conn, head.name, but=now.id)
    at = utc_now()
    others = [name for name in KnownHead.model_fields if getattr(head, name) != getattr(now.head, name)]
    times = {**now.changed, **(dict.fromkeys(others, at) if changed is None else changed)}
    conn.execute(
        """UPDATE heads SET name_key = ?, head = ?, revision = revision + 1, changed_at = ?, changed = ?
           WHERE id = ?""",
        (name_key(head.name), head_text(head), at, json.dumps(times), now.id),
    )
    record(conn, who, now.id, "head.changed", before=now.head, after=head, undoes=undoes)
    return rows.load_head(conn, now.id)


def insert_test(conn: sqlite3.Connection, head_id: int, test: HeadTest, begun_at: str, who: str) -> int:
    """Add a test that `who` began, and return its id."""
    cursor = conn.execute(
        "INSERT INTO head_tests (head_id, test, begun_at, who) VALUES (?, ?, ?, ?)",
        (head_id, test.model_dump_json(exclude_defaults=True), begun_at, who),
    )
    return int(cursor.lastrowid or 0)


def insert_reading(
    conn: sqlite3.Connection,
    test_id: int,
    reading: HeadReading,
    taken_at: str,
    who: str,
    struck_at: str | None = None,
) -> int:
    """Add a reading that `who` took, and return its id; with `struck_at` it counts nowhere."""
    cursor = conn.execute(
        "INSERT INTO head_readings (test_id, reading, taken_at, who, struck_at) VALUES (?, ?, ?, ?, ?)",
        (test_id, reading.model_dump_json(exclude_defaults=True), taken_at, who, struck_at),
    )
    return int(cursor.lastrowid or 0)


def widen_test(conn: sqlite3.Connection, test: StoredTest, reading: HeadReading) -> None:
    """Let a test ask for what was read of it; raises Refused for more than it may."""
    if len(test.test.others) >= MOST_OTHERS:
        says = f"{MOST_OTHERS} readings are at what the test does not ask for"
        raise Refused.one("level", says, "one of its levels and modifiers, or a new test")
    text = test.test.asking_for(reading).model_dump_json(exclude_defaults=True)
    conn.execute("UPDATE head_tests SET test = ? WHERE id = ?", (text, test.id))


def strike_step(conn: sqlite3.Connection, who: str, test: StoredTest, step: int) -> None:
    """Strike out all that was read at a step of a test, from 0, as `who` does."""
    found = rows.counting_readings(conn, test.id)
    steps = test.test.steps_of([one.reading for one in found])
    for one, at in zip(found, steps, strict=True):
        if at == step:
            conn.execute("UPDATE head_readings SET struck_at = ? WHERE id = ?", (utc_now(), one.id))
            record(conn, who, test.head_id, "reading.struck", one.id)


def record(
    conn: sqlite3.Connection,
    who: str,
    head_id: int,
    what: str,
    part: int | None = None,
    *,
    before: KnownHead | None = None,
    after: KnownHead | None = None,
    undoes: int | None = None,
) -> None:
    """Record that `who` did something to a head, or to a `part` of it: a test or a reading."""
    conn.execute(
        """INSERT INTO head_changes (head_id, at, who, what, part, before, after, undoes)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?)""",
        (head_id, utc_now(), who, what, part, head_text(before), head_text(after), undoes),
    )


def head_text(head: KnownHead | None) -> str:
    """Write a head as its column holds it; empty for none."""
    return head.model_dump_json(exclude_defaults=True) if head else ""


def refuse_taken(conn: sqlite3.Connection, name: str, but: int = 0) -> None:
    """Raise Refused where a head other than `but` has a name."""
    if name_taken(conn, name, but):
        raise Refused.one(
            "name", f"there is a head called {name}", "another name, such as the label on its yoke"
        )


def name_taken(conn: sqlite3.Connection, name: str, but: int = 0) -> bool:
    """Whether a head other than `but` has a name."""
    query = "SELECT 1 FROM heads WHERE name_key = ? AND deleted_at IS NULL AND id <> ?"
    return conn.execute(query, (name_key(name), but)).fetchone() is not None
