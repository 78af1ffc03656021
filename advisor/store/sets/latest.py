"""What changed last in a set: the little that phones which show it ask for every other second."""

import sqlite3
from dataclasses import dataclass

from ...model import Kind, Target
from ...model.sets.phrases import white
from ..file.database import Database
from ..tables.rows import one_row

_OF_DAYLIGHT = {"source.out": "source.gone", "source.lit": "source.day", "source.lamp": "source.day"}
"""Daylight has no lamp: its light goes, and comes back."""


@dataclass(frozen=True, slots=True)
class Latest:
    """A set's revision with its last change, and the version of the gel table, which every plan follows from.

    `what` is as in Change, or ``source.`` with the stage that the work on a source came to, or
    ``source.out`` and ``source.lit`` where its lamp went out, or burns again, ``source.lamp`` where another
    one came; of daylight ``source.gone`` and ``source.day``; or ``set.adopted`` where a plan for several was
    adopted, or ``set.target`` where the target was changed; ``set.wrapped`` and ``set.begun`` where the day
    ended and somebody began again, ``set.down`` where gel came off a head or hangs on it yet, ``set.pulled``
    where it came off the truck, and ``set.stays`` where what moved was left as it is.
    `name` is that target in words, else the changed source's or set's, `source` the source by its id; `who`
    is empty where nobody said. `taken` is another text where other heads are taken.
    """

    revision: int
    gels: int
    at: str
    what: str
    who: str
    name: str
    source: int | None = None
    taken: str = ""


def latest(db: Database, set_id: int) -> Latest | None:
    """Return what changed last in a set, or None where it was deleted; raises NotFound."""
    with db.read() as conn:
        row: sqlite3.Row = one_row(
            conn,
            """SELECT s.revision, s.deleted_at, s.changed_at, c.at, c.what, c.who, c.source_id,
                      coalesce(json_extract(c.after, '$.name'), json_extract(c.before, '$.name'), '') AS name,
                      c.what = 'source.changed'
                      AND json_extract(c.before, '$.details.work')
                      IS NOT json_extract(c.after, '$.details.work')
                      AND json_array_length(c.after, '$.details.work.gels') AS worked,
                      CASE WHEN json_extract(c.after, '$.details.work.instead') IS NOT NULL THEN 'planned'
                      WHEN json_extract(c.before, '$.details.work.instead') IS NOT NULL
                      AND json_extract(c.before, '$.details.work.gels')
                      IS json_extract(c.after, '$.details.work.gels') THEN 'changed'
                      ELSE coalesce(json_extract(c.after, '$.details.work.stage'), 'planned') END AS stage,
                      c.what = 'source.changed' AND c.undoes IS NULL
                      AND json_extract(c.before, '$.details.work')
                      IS NOT json_extract(c.after, '$.details.work')
                      AND (SELECT count(*) FROM changes o WHERE o.set_id = s.id AND o.at = c.at
                           AND o.what = 'source.changed') > 1 AS adopted,
                      CASE WHEN c.what = 'set.changed' AND json_extract(c.before, '$.target')
                      IS NOT json_extract(c.after, '$.target')
                      THEN json_extract(c.after, '$.target') END AS target,
                      CASE WHEN c.what = 'source.changed' AND json_extract(c.before, '$.details.lamp')
                      IS NOT json_extract(c.after, '$.details.lamp') THEN
                      CASE WHEN json_extract(c.after, '$.details.lamp.out') IS NOT NULL THEN 'source.out'
                      WHEN json_extract(c.before, '$.details.lamp.out') IS NULL
                      AND coalesce(json_extract(c.after, '$.details.lamp.since'), '')
                      > coalesce(json_extract(c.before, '$.details.lamp.since'), '') THEN 'source.lamp'
                      ELSE 'source.lit' END END AS lamp,
                      json_extract(c.after, '$.kind') AS kind,
                      CASE WHEN c.what = 'set.changed' THEN
                      CASE WHEN json_extract(c.before, '$.details.wrapped')
                      IS NOT json_extract(c.after, '$.details.wrapped')
                      THEN iif(json_extract(c.after, '$.details.wrapped'), 'set.wrapped', 'set.begun')
                      WHEN json_extract(c.before, '$.details.down')
                      IS NOT json_extract(c.after, '$.details.down') THEN 'set.down'
                      WHEN json_extract(c.before, '$.details.pulled')
                      IS NOT json_extract(c.after, '$.details.pulled') THEN 'set.pulled'
                      WHEN json_extract(c.after, '$.details.stays_as')
                      IS NOT json_extract(c.before, '$.details.stays_as') THEN 'set.stays' END END AS day,
                      (SELECT coalesce(max(id), 0) FROM gel_tables) AS gels,
                      (SELECT coalesce(group_concat(t.source_id || ' ' || t.at), '') FROM heads_taken t
                       JOIN sources x ON x.id = t.source_id WHERE x.set_id = s.id) AS taken
               FROM sets s LEFT JOIN changes c
               ON c.id = (SELECT max(id) FROM changes WHERE changes.set_id = s.id)
               WHERE s.id = ?""",
            "set",
            set_id,
        )
    if row["deleted_at"] is not None:
        return None
    if row["adopted"]:  # many sources were planned at once: none of them is the news
        what = "set.adopted"
    elif row["target"]:
        what = "set.target"
    elif row["day"] or row["lamp"]:
        lamp = row["lamp"]
        what = row["day"] or (_OF_DAYLIGHT.get(lamp, lamp) if row["kind"] == Kind.DAYLIGHT.value else lamp)
    else:
        what = f"source.{row['stage']}" if row["worked"] else row["what"] or "set.changed"
    return Latest(
        revision=row["revision"],
        gels=row["gels"],
        at=row["at"] or row["changed_at"],
        what=what,
        who=row["who"] or "",
        name=white(Target.model_validate_json(row["target"])) if row["target"] else row["name"],
        source=None if row["adopted"] else row["source_id"],
        taken=row["taken"],
    )
