"""The heads that a set uses: those whose tests its readings come from, out to the set's file and back."""

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace

from ...model.sets.head_file import FiledHead
from ...model.sets.whole import FromTest
from ..known_heads.exchange import filed_head
from ..known_heads.merge import merge, plan_merge

TestIds = Sequence[Sequence[int]]
"""The ids of the tests of each head of a file, in its order."""


def heads_of(conn: sqlite3.Connection, set_id: int) -> tuple[list[FiledHead], TestIds]:
    """Return the heads that a set uses, as a file has them, and the ids of their tests."""
    found = conn.execute(
        """SELECT DISTINCT t.head_id, t.id FROM readings r
           JOIN sources s ON s.id = r.source_id JOIN head_tests t ON t.id = r.test_id
           WHERE s.set_id = ? ORDER BY t.head_id, t.id""",
        (set_id,),
    ).fetchall()
    used = {int(row["id"]) for row in found}
    heads = [filed_head(conn, head_id, used) for head_id in dict.fromkeys(row["head_id"] for row in found)]
    return [head for head, _ in heads], [ids for _, ids in heads]


def indices_of(tests: TestIds) -> dict[int, FromTest]:
    """Return the indices of each test in a file, its head's and its own, by its id."""
    return {
        test_id: FromTest(head=head, test=test)
        for head, ids in enumerate(tests)
        for test, test_id in enumerate(ids)
    }


def add_heads(conn: sqlite3.Connection, who: str, heads: Sequence[FiledHead]) -> TestIds:
    """Have heads that came with a set join those here, and return the ids of their tests.

    What is known of a head here stays as it is: only tests and readings are added. Raises Refused.
    """
    planned = [replace(one, fields=()) for one in plan_merge(conn, heads)]
    return [tests for _, tests in merge(conn, who, planned)]


def test_of(tests: TestIds, at: FromTest | None) -> int | None:
    """Return the id of a test by its indices, None for none."""
    return None if at is None else tests[at.head][at.test]


def from_test(indices: Mapping[int, FromTest], test_id: int | None) -> FromTest | None:
    """Return the indices of a test, None for none."""
    return None if test_id is None else indices[test_id]
