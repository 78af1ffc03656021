"""Of a source with very many readings, those without which its plan would be another one."""

import json
import sqlite3
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from .reading_rows import objects_in

MANY = 100
"""A source with no more readings than this is read with all of them."""

Needed = Callable[[Sequence[Mapping[str, Any]], bool], list[int]]
"""Says which readings of a source are needed, as JSON objects, oldest first: their indices, in order.

Whether one of each white is, is said with them. It is where the target matches the source, or something was
decided for it.
"""


def has_more(conn: sqlite3.Connection, rows: Sequence[sqlite3.Row], most: int) -> bool:
    """Whether sources have more than `most` readings together. No more are counted: phones ask it often."""
    query = """SELECT count(*) FROM (SELECT 1 FROM readings
               WHERE source_id IN (SELECT value FROM json_each(?)) LIMIT ?)"""
    numbers = json.dumps([row["id"] for row in rows])
    return int(conn.execute(query, (numbers, most + 1)).fetchone()[0]) > most


def counts_of(conn: sqlite3.Connection, rows: Sequence[sqlite3.Row]) -> dict[int, int]:
    """Return how many readings each of some sources has, by its id; those that have none are left out."""
    query = """SELECT source_id, count(*) FROM readings
               WHERE source_id IN (SELECT value FROM json_each(?)) GROUP BY source_id"""
    return dict(map(tuple, conn.execute(query, (json.dumps([row["id"] for row in rows]),))))


def needed_rows(
    source: sqlite3.Row, rows: Sequence[sqlite3.Row], needed: Needed | None, matched: bool
) -> Sequence[sqlite3.Row]:
    """Return those rows of a source's readings that are needed, in order, with all that count for nothing.

    `matched` says that the set's target matches the source. Where one of the rows is no reading, all are
    returned: whoever reads them says which.
    """
    if needed is None or len(rows) <= MANY:
        return rows
    details = json.loads(source["details"])
    lamp, worked = (details.get("lamp") or {}).get("since") or "", "work" in details
    counting = [k for k, row in enumerate(rows) if row["struck_at"] is None and row["taken_at"] >= lamp]
    if worked and len(counting) < len(rows):
        return rows  # what counts for nothing is held against all that count
    readings = _objects([rows[index] for index in counting])
    if readings is None:
        return rows
    kept = {counting[index] for index in needed(readings, matched or worked)}
    counted = set(counting)
    return [row for index, row in enumerate(rows) if index in kept or index not in counted]


def _objects(rows: Sequence[sqlite3.Row]) -> list[dict[str, Any]] | None:
    found = objects_in([row["reading"] for row in rows])
    for row, reading in zip(rows, found or (), strict=found is not None):
        if row["test_id"] is not None:
            reading["tested_at"] = row["taken_at"]  # as readings say themselves that were filed later
    return found
