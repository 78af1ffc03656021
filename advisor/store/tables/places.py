"""How far off a source stood when something was read of it: what comes in late may be from before a move."""

import json
import sqlite3
from dataclasses import dataclass

from ...model import Source, StandMove


@dataclass(frozen=True)
class ByLight:
    """A reading that was taken as read where a stand was to go: its id, and how all that stood before it.

    `stand` is the order, not done, and `as_far` from where.
    """

    reading_id: int
    as_far: float
    stand: StandMove


def stood_at(conn: sqlite3.Connection, source: Source, source_id: int, at: str) -> float:
    """Return how far off a source stood at a time (`Source.stands_as_far`); `source` is as it is now.

    What came in late counts from when it was done.
    """
    rows = conn.execute(
        """SELECT coalesce(nullif(done_at, ''), at) AS done,
                  json_extract(before, '$.details.as_far') AS as_far,
                  json_extract(before, '$.details.stand') AS stand
           FROM changes WHERE source_id = ? AND before IS NOT NULL AND after IS NOT NULL
           ORDER BY done, id""",
        (source_id,),
    )
    since = next((row for row in rows if row["done"] > at), None)
    if since is None:
        return source.stands_as_far
    stand = since["stand"] and StandMove.model_validate_json(since["stand"])
    then = {"as_far": 1.0 if since["as_far"] is None else since["as_far"], "stand": stand or None}
    return source.model_copy(update=then).stands_as_far


def ordered_since(conn: sqlite3.Connection, source_id: int, at: str) -> bool:
    """Whether it was said since a time where the stand of a source is to go, or that it went."""
    found = conn.execute(
        """SELECT 1 FROM changes WHERE source_id = ? AND coalesce(nullif(done_at, ''), at) > ?
           AND json_extract(before, '$.details.stand') IS NOT json_extract(after, '$.details.stand')
           LIMIT 1""",
        (source_id, at),
    )
    return found.fetchone() is not None


def by_light(conn: sqlite3.Connection, source_id: int) -> ByLight | None:
    """Return the reading by whose light a stand was taken as moved, if nothing was done there since."""
    last = conn.execute(
        "SELECT what, before FROM changes WHERE source_id = ? ORDER BY id DESC LIMIT 1", (source_id,)
    ).fetchone()
    if last is None or last["what"] != "reading.added" or last["before"] is None:
        return None
    details = json.loads(last["before"])["details"]
    stand = details.get("stand")
    if not stand or not stand.get("by_light"):
        return None
    newest = conn.execute("SELECT max(id) AS id FROM readings WHERE source_id = ?", (source_id,)).fetchone()
    order = StandMove(times=stand["times"], distance=stand.get("distance"))
    return ByLight(newest["id"], details.get("as_far", 1.0), order)
