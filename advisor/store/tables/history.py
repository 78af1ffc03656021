"""What happened to sets and sources: every change, with what was there before and after."""

import json
import sqlite3
from collections.abc import Iterator, Sequence
from typing import Any

from .records import Change, UnitChange
from .writes import Stamp

Image = dict[str, Any] | None

_BOOKKEEPING = ("id", "set_id", "number", "last_number", "name_key", "changed_at", "deleted_at", "uid")


def set_image(conn: sqlite3.Connection, set_id: int) -> Image:
    """Return a set, without its sources, as history keeps it; None where it is deleted."""
    return _image(conn.execute("SELECT * FROM sets WHERE id = ?", (set_id,)).fetchone())


def source_image(conn: sqlite3.Connection, source_id: int) -> Image:
    """Return a source, its reading by id, as history keeps it; None where it is deleted."""
    return _image(
        conn.execute(
            "SELECT *, (SELECT max(id) FROM readings WHERE source_id = sources.id) AS reading_id "
            "FROM sources WHERE id = ?",
            (source_id,),
        ).fetchone()
    )


def record_set(
    conn: sqlite3.Connection,
    stamp: Stamp,
    what: str,
    set_id: int,
    before: Image = None,
    *,
    undoes: int | None = None,
) -> None:
    """Record what was done to a set; its image now is what came of it. `undoes` is the change undone."""
    _record(conn, stamp, what, set_id, None, before, set_image(conn, set_id), undoes=undoes)


def record_source(
    conn: sqlite3.Connection,
    stamp: Stamp,
    what: str,
    set_id: int,
    source_id: int,
    before: Image = None,
    *,
    reading_id: int | None = None,
    undoes: int | None = None,
    mended: Sequence[tuple[int, int]] = (),
    unit: UnitChange | None = None,
    done_at: str = "",
) -> None:
    """Record what was done to a source; its image now is what came of it.

    `reading_id` is the reading that was struck out or brought back, `undoes` the change that was undone, and
    `mended` are readings with those that count in their place, by their ids; `unit` says which head it is.
    `done_at` is when it was done, where that is before it came in.
    """
    after = source_image(conn, source_id)
    if after is not None and mended:
        after["mended"] = mended
    if after is not None and unit:
        after["unit"] = unit
    _record(conn, stamp, what, set_id, source_id, before, after, reading_id, undoes, done_at)


def record_added(conn: sqlite3.Connection, stamp: Stamp, set_id: int, sources: Sequence[int]) -> None:
    """Record that sources were added to a set."""
    for source_id in sources:
        record_source(conn, stamp, "source.added", set_id, source_id)


def changes_since(
    conn: sqlite3.Connection, set_id: int, source_id: int | None, revision: int
) -> list[Change]:
    """Return the changes of a set's own fields, or of a source, since it had a revision, oldest first."""
    rows = conn.execute(
        """SELECT * FROM changes WHERE set_id = ? AND source_id IS ? AND coalesce(
               json_extract(after, '$.revision'), json_extract(before, '$.revision') + 1, 0) > ?
           ORDER BY id""",
        (set_id, source_id, revision),
    )
    return [change_of(row) for row in rows]


def touched(changes: Sequence[Change], *paths: str) -> Change | None:
    """Return the change that set the present value at one of some paths; None if no change altered them.

    A path leads into an image: ``limits.max_layers``. Details stand in it as the columns do.
    """
    images = [image for change in changes for image in (change.before, change.after) if image is not None]
    for path in paths:
        if images and at_path(images[0], path) != at_path(images[-1], path):
            for change in reversed(changes):
                if at_path(change.before, path) != at_path(change.after, path):
                    return change
    return None


def at_path(image: Image, path: str) -> Any:
    """Return what lies at a path of an image; None where nothing does, which is a default."""
    found: Any = None if image is None else {**image, **image.get("details", {})}
    for name in path.split("."):
        found = found.get(name) if isinstance(found, dict) else None
    return found


def work_at(conn: sqlite3.Connection, source_id: int, at: str) -> tuple[str | None] | None:
    """Return the work on a source as it was at a time, as JSON, in a tuple; None where it never changed.

    What came in late counts from when it was done.
    """
    rows = conn.execute(
        """SELECT * FROM (
               SELECT id, coalesce(nullif(done_at, ''), at) AS done,
                      json_extract(before, '$.details.work') AS was,
                      json_extract(after, '$.details.work') AS work
               FROM changes WHERE source_id = ? AND before IS NOT NULL AND after IS NOT NULL)
           WHERE was IS NOT work ORDER BY done, id""",
        (source_id,),
    ).fetchall()
    if not rows:
        return None
    last = next((row for row in reversed(rows) if row["done"] <= at), None)
    return (rows[0]["was"] if last is None else last["work"],)


def target_before(conn: sqlite3.Connection, set_id: int) -> Image:
    """Return a set as it was before its target was changed last; None where that never was."""
    row = conn.execute(
        """SELECT before FROM changes WHERE set_id = ? AND source_id IS NULL AND what = 'set.changed'
           AND (json_extract(before, '$.target') IS NOT json_extract(after, '$.target')
             OR json_extract(before, '$.target_source_id') IS NOT json_extract(after, '$.target_source_id'))
           ORDER BY id DESC LIMIT 1""",
        (set_id,),
    ).fetchone()
    return None if row is None else json.loads(row["before"])


def load_changes(conn: sqlite3.Connection, set_id: int, source_id: int | None = None) -> list[Change]:
    """Return the changes of a set and its sources, or of one of these, oldest first."""
    rows = conn.execute(
        "SELECT * FROM changes WHERE set_id = ? AND (? IS NULL OR source_id = ?) ORDER BY id",
        (set_id, source_id, source_id),
    )
    return [change_of(row) for row in rows]


def last_done(conn: sqlite3.Connection, what: str, set_id: int, source_id: int | None = None) -> int | None:
    """Return the number of the last change of a kind to a set itself, or to a source; None if none was."""
    row = conn.execute(
        "SELECT max(id) AS id FROM changes WHERE set_id = ? AND source_id IS ? AND what = ?",
        (set_id, source_id, what),
    ).fetchone()
    return None if row["id"] is None else int(row["id"])


def planned_last(conn: sqlite3.Connection, set_id: int) -> list[int]:
    """Return the numbers of the changes, made at once, that planned work on sources of a set last.

    What was undone of them is left out. Once other work was done on one of the sources since, there are none.
    """
    rows = conn.execute(
        """WITH own AS (
               SELECT * FROM changes WHERE set_id = ? AND undoes IS NULL
               AND what IN ('set.changed', 'source.changed')
               AND id NOT IN (SELECT undoes FROM changes WHERE undoes IS NOT NULL)),
           last AS (
               SELECT at, who FROM own WHERE source_id IS NOT NULL
               AND json_extract(before, '$.details.work') IS NOT json_extract(after, '$.details.work')
               AND (json_extract(after, '$.details.work.instead') IS NOT NULL
                 OR (json_extract(after, '$.details.work') IS NOT NULL
                   AND coalesce(json_extract(after, '$.details.work.stage'), 'planned') = 'planned'))
               ORDER BY id DESC LIMIT 1)
           SELECT own.id, EXISTS (
               SELECT 1 FROM own AS later WHERE later.source_id = own.source_id AND later.id > own.id
               AND json_extract(later.before, '$.details.work') IS NOT
                   json_extract(later.after, '$.details.work')) AS touched
           FROM own JOIN last ON own.at = last.at AND own.who = last.who ORDER BY own.id""",
        (set_id,),
    ).fetchall()
    return [] if any(row["touched"] for row in rows) else [row["id"] for row in rows]


def works_of(conn: sqlite3.Connection, source_id: int) -> Iterator[str | None]:
    """Yield the work on a source as each of its changes left it, as JSON, the newest first; None for none."""
    rows = conn.execute(
        """SELECT json_extract(after, '$.details.work') AS work FROM changes
           WHERE source_id = ? AND after IS NOT NULL ORDER BY id DESC""",
        (source_id,),
    )
    for row in rows:
        yield row["work"]


def lamps_of(conn: sqlite3.Connection, source_id: int) -> Iterator[tuple[str | None, str]]:
    """Yield the work as `works_of` does, each with when the lamp of then came in; empty for the first."""
    rows = conn.execute(
        """SELECT json_extract(after, '$.details.work') AS work,
                  coalesce(json_extract(after, '$.details.lamp.since'), '') AS since
           FROM changes WHERE source_id = ? AND after IS NOT NULL ORDER BY id DESC""",
        (source_id,),
    )
    for row in rows:
        yield row["work"], row["since"]


def hung_in(conn: sqlite3.Connection, set_id: int) -> list[sqlite3.Row]:
    """Return the changes of the work on the heads of a set, oldest first, but those that were undone.

    Each has the source's `name` and `openings` then, and the work before (`was`) and after (`work`), all but
    the name as JSON. What only says what had hung in truth, as a reading that is mended, is none.
    """
    found = conn.execute(
        """SELECT id, undoes, json_extract(after, '$.name') AS name,
                  json_extract(after, '$.details.openings') AS openings,
                  json_extract(before, '$.details.work') AS was,
                  json_extract(after, '$.details.work') AS work
           FROM changes
           WHERE set_id = ? AND what = 'source.changed' AND before IS NOT NULL AND after IS NOT NULL
           AND json_extract(before, '$.details.work') IS NOT json_extract(after, '$.details.work')
           ORDER BY id""",
        (set_id,),
    ).fetchall()
    undone: set[int] = set()
    for row in reversed(found):
        # An undo that was itself undone leaves done what it undid.
        if row["undoes"] is not None and row["id"] not in undone:
            undone.add(row["undoes"])
    return [row for row in found if row["undoes"] is None and row["id"] not in undone]


def change_of(r: sqlite3.Row) -> Change:
    """Make a change from its row."""
    return Change(
        id=r["id"],
        at=r["at"],
        who=r["who"],
        set_id=r["set_id"],
        source_id=r["source_id"],
        what=r["what"],
        before=json.loads(r["before"]) if r["before"] else None,
        after=json.loads(r["after"]) if r["after"] else None,
        reading_id=r["reading_id"],
        undoes=r["undoes"],
        done_at=r["done_at"],
    )


def _image(row: sqlite3.Row) -> Image:
    if row["deleted_at"] is not None:
        return None
    image = {column: row[column] for column in row.keys() if column not in _BOOKKEEPING}  # noqa: SIM118
    for column in ("target", "limits", "keep", "aim", "details"):
        if column in image:
            image[column] = json.loads(image[column])
    return image


def _record(
    conn: sqlite3.Connection,
    stamp: Stamp,
    what: str,
    set_id: int,
    source_id: int | None,
    before: Image,
    after: Image,
    reading_id: int | None = None,
    undoes: int | None = None,
    done_at: str = "",
) -> None:
    images = _text(before), _text(after)
    conn.execute(
        """INSERT INTO changes (at, who, set_id, source_id, what, before, after, reading_id, undoes, done_at)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
        (stamp.at, stamp.who, set_id, source_id, what, *images, reading_id, undoes, done_at),
    )


def _text(image: Image) -> str | None:
    return None if image is None else json.dumps(image, ensure_ascii=False)
