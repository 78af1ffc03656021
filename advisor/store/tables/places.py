"""How far off a source stood when something was read of it: what comes in late may be from before a move."""

import sqlite3

from ...model import Source, StandMove


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
