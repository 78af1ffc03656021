"""Rows of readings as records; the readings of a source that has many are read in one go."""

import sqlite3
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter, ValidationError
from pydantic_core import from_json

from ...model import Reading, problems_in
from ...model.basis.base import utc_text
from ..file.faults import StoreFault
from .records import StoredReading, Struck

_MANY = TypeAdapter(list[Reading])
_AT_ONCE = 100
"""So many readings of a source, or more, are read in one go. They are kept with the source."""
READINGS = """SELECT r.*, k.at AS struck_at, k.who AS struck_by, k.by_id
               FROM readings r LEFT JOIN struck k ON k.reading_id = r.id"""
IN_ORDER = "ORDER BY r.filed_at, coalesce(r.first_id, r.id), r.id"
"""What was mended keeps its place among those that were filed at one time."""


def stored_readings(
    rows_of_each: Sequence[Sequence[sqlite3.Row]], since: Sequence[str]
) -> list[list[StoredReading]]:
    """Return the readings of sources, each in the order of its rows of `READINGS`.

    `since` says of each source when its lamp came (`Source.lamp_since`). Raises StoreFault, which names the
    row that is none.
    """
    return [
        [_stored(row, reading, lamp) for row, reading in zip(rows, _readings(rows), strict=True)]
        for rows, lamp in zip(rows_of_each, since, strict=True)
    ]


def lamp_since(conn: sqlite3.Connection, source_id: int) -> str:
    """Return when the lamp in a source came; empty where none was changed, or there is no such source."""
    query = "SELECT coalesce(json_extract(details, '$.lamp.since'), '') AS at FROM sources WHERE id = ?"
    row = conn.execute(query, (source_id,)).fetchone()
    return "" if row is None else str(row["at"])


def load_readings(conn: sqlite3.Connection, source_id: int) -> list[StoredReading]:
    """Return the readings of a source, oldest first, with those that were struck out."""
    found = conn.execute(f"{READINGS} WHERE r.source_id = ? {IN_ORDER}", (source_id,)).fetchall()
    return stored_readings([found], [lamp_since(conn, source_id)])[0]


def load_lately(conn: sqlite3.Connection, source_id: int, span: timedelta) -> list[StoredReading]:
    """Return the newest reading of a source with those before it, within a `span`, that were taken alike.

    What was struck counts nowhere, nor does what was taken of another lamp, or in a test of a head.
    """
    lamp = lamp_since(conn, source_id)
    own = f"{READINGS} WHERE r.source_id = ? AND r.test_id IS NULL AND k.reading_id IS NULL"
    on_set = "(NOT json_valid(r.reading) OR json_extract(r.reading, '$.tested_at') IS NULL)"
    newest = conn.execute(f"{own} AND {on_set} ORDER BY r.taken_at DESC LIMIT 1", (source_id,)).fetchone()
    if newest is None:
        return []
    since = max(utc_text(datetime.fromisoformat(newest["taken_at"]) - span), lamp)
    rows = conn.execute(f"{own} AND r.taken_at >= ? {IN_ORDER}", (source_id, since)).fetchall()
    written = objects_in([row["reading"] for row in rows])
    if written is not None:
        setups = [None if one.get("tested_at") else _setup(one) for one in written]
        on_set_at = [index for index, setup in enumerate(setups) if setup]
        if not on_set_at:
            return []
        like = setups[max(reversed(on_set_at), key=lambda index: str(rows[index]["taken_at"]))]
        rows = [row for row, setup in zip(rows, setups, strict=True) if setup == like]
    return [one for one in stored_readings([rows], [lamp])[0] if one.counts and not one.tested]


def objects_in(texts: Sequence[str]) -> list[dict[str, Any]] | None:
    """Return the JSON objects in texts, in one go; None where one of them is none, or several."""
    try:
        found: list[dict[str, Any]] = from_json(f"[{','.join(texts)}]")
    except ValueError:
        return None
    return found if len(found) == len(texts) and all(type(one) is dict for one in found) else None


def _setup(written: Mapping[str, Any]) -> tuple[object, ...]:
    gels = sorted(map(str, written.get("gels") or ()))
    return gels, *(written.get(name) for name in ("level", "modifier", "dial"))


def struck_in(conn: sqlite3.Connection, set_id: int) -> dict[int, Struck]:
    """Return what was struck out in a set: when and by whom, by the reading's id."""
    found = conn.execute(
        """SELECT k.* FROM struck k JOIN readings r ON r.id = k.reading_id
           JOIN sources s ON s.id = r.source_id WHERE s.set_id = ?""",
        (set_id,),
    )
    return {row["reading_id"]: Struck(row["at"], row["who"], row["by_id"]) for row in found}


def late_in(conn: sqlite3.Connection, set_id: int) -> dict[int, str]:
    """Return when those readings of a set were taken that came in later, by their ids."""
    found = conn.execute(
        """SELECT r.id, r.taken_at FROM readings r JOIN sources s ON s.id = r.source_id
           WHERE s.set_id = ? AND r.sent_at != ''""",
        (set_id,),
    )
    return {row["id"]: row["taken_at"] for row in found}


def _readings(rows: Sequence[sqlite3.Row]) -> list[Reading]:
    each = _at_once([row["reading"] for row in rows]) if len(rows) >= _AT_ONCE else None
    return [_reading(row["id"], row["reading"]) for row in rows] if each is None else each


def _at_once(texts: Sequence[str]) -> list[Reading] | None:
    """Return the readings in texts; None where one of them is none."""
    try:
        each = _MANY.validate_json(f"[{','.join(texts)}]")
    except ValidationError:
        return None
    return each if len(each) == len(texts) else None


def unreadable(what: str, number: int, error: ValidationError) -> StoreFault:
    """Say that a row, edited by another program or damaged, is not a value of the model."""
    problems = "; ".join(f"{p.where}: {p.says}" for p in problems_in(error))
    return StoreFault(
        f"The stored {what} {number} cannot be read ({problems}), and was left as it is. "
        "Stop the advisor, and put the latest backup in the data file's place."
    )


def _stored(row: sqlite3.Row, reading: Reading, lamp_since: str) -> StoredReading:
    struck = None if row["struck_at"] is None else Struck(row["struck_at"], row["struck_by"], row["by_id"])
    if row["test_id"] is not None and reading.tested_at is None:
        # Filed before readings said so themselves.
        reading = reading.model_copy(update={"tested_at": row["taken_at"]})
    own = (row["id"], reading, row["taken_at"], row["who"], struck, row["sent_at"], row["test_id"])
    return StoredReading(*own, counts=struck is None and row["taken_at"] >= lamp_since)


@lru_cache(maxsize=4096)
def _valid(text: str) -> Reading:
    # Kept, since readings never change, and a set's page reads all of them.
    return Reading.model_validate_json(text)


def _reading(number: int, text: str) -> Reading:
    try:
        return _valid(text)
    except ValidationError as error:
        raise unreadable("reading", number, error) from error
