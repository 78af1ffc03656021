"""Heads with their tests, out to a file and back."""

import sqlite3
from collections.abc import Collection, Sequence
from dataclasses import replace

from ...model import HeadReading, Refused
from ...model.sets.head_file import HEADS_FORMAT, FiledHead, FiledReading, FiledTest, HeadFile
from ..file.database import Database, utc_now
from . import rows
from .merge import HeadMerge, merge, plan_merge


class HeadExchange:
    """The heads in `db`, as files have them. Every method is one transaction; `who` writes."""

    def __init__(self, db: Database, who: str = "") -> None:
        self._db = db
        self._who = who

    def export(self, head_ids: Sequence[int]) -> HeadFile:
        """Return heads with their tests; raises NotFound, also for one that was removed."""
        with self._db.read() as conn:
            heads = [filed_head(conn, rows.present_head(conn, head_id).id)[0] for head_id in head_ids]
        return HeadFile(advisor_heads=HEADS_FORMAT, exported_at=utc_now(), heads=heads)

    def preview(self, filed: Sequence[FiledHead]) -> list[HeadMerge]:
        """Return what heads of a file would change here; changes nothing."""
        with self._db.read() as conn:
            return plan_merge(conn, filed)

    def merge(self, filed: Sequence[FiledHead], seen: Sequence[HeadMerge]) -> list[HeadMerge]:
        """Make heads of a file and those here one, and return what that changed.

        Where it would change something else by now than was `seen`, nothing is changed: it returns what it
        would change. Raises Refused where there would be too many heads.
        """
        with self._db.write() as conn:
            now = plan_merge(conn, filed)
            if now == list(seen):
                merge(conn, self._who, now)
            return now

    def add(self, filed: FiledHead) -> int:
        """Add the tests of a head to the one here that it is, else add it, and return its id.

        What is known of a head here stays as it is. Raises Refused for one that was removed.
        """
        with self._db.write() as conn:
            [planned] = plan_merge(conn, [filed])
            if planned.into is not None and planned.into.deleted:
                says = f"{planned.into.head.name} was removed"
                raise Refused.one("head.name", says, "bring it back under Heads, or give another name")
            [(head_id, _)] = merge(conn, self._who, [replace(planned, fields=())])
            return head_id


def filed_head(
    conn: sqlite3.Connection, head_id: int, used: Collection[int] = ()
) -> tuple[FiledHead, list[int]]:
    """Return a head with its tests as a file has it, and the ids of those; raises NotFound.

    Of the tests that were removed only those `used` come along.
    """
    stored = rows.load_head(conn, head_id)
    found = conn.execute(
        "SELECT id, deleted_at FROM head_tests WHERE head_id = ? ORDER BY begun_at, id", (head_id,)
    ).fetchall()
    ids = [int(row["id"]) for row in found if row["deleted_at"] is None or row["id"] in used]
    changed = {name: stored.changed[name] for name in stored.changed if stored.changed[name]}
    tests = [_filed_test(conn, test_id) for test_id in ids]
    return FiledHead(head=stored.head, changed=changed, tests=tests), ids


def _filed_test(conn: sqlite3.Connection, test_id: int) -> FiledTest:
    test = rows.load_test(conn, test_id)
    found = conn.execute("SELECT * FROM head_readings WHERE test_id = ? ORDER BY taken_at, id", (test_id,))
    readings = [
        FiledReading(
            taken_at=r["taken_at"],
            who=r["who"],
            reading=HeadReading.model_validate_json(r["reading"]),
            struck_at=r["struck_at"],
        )
        for r in found
    ]
    return FiledTest(begun_at=test.begun_at, who=test.who, test=test.test, readings=readings)
