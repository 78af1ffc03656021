"""Readings that were wrong, mended: struck out, each for another one that is filed where it was filed.

The one in its place keeps when it was taken, unless that was wrong, when it came in, and by whom. The two are
not told apart by what they are: which of them counts is who is struck out. So undoing a mend, and undoing
that, swaps them.
"""

import sqlite3
from collections.abc import Mapping, Sequence

from ...model import Reading, Work
from ..file.faults import NotFound
from . import history, places, reading_rows, writes
from .records import Change, Conflict, StoredReading, StoredSource, UnitChange
from .writes import ReadingOfTest, Stamp

Pairs = Sequence[tuple[int, int]]
"""Readings that count no more, by their ids, each with the one that counts in its place."""


def mend(
    conn: sqlite3.Connection,
    stamp: Stamp,
    now: StoredSource,
    readings: Mapping[int, Reading],
    work: Work | None,
    taken: Mapping[int, str],
    unmoved: places.ByLight | None = None,
) -> None:
    """File `readings` of a source, by the ids of those that were wrong, and what they make of its work.

    `taken` is when some of them were taken, where that was wrong too, or alone; `unmoved` where the stand
    stood when they were, and where it is still to go.
    One that says what it said already is left alone. Raises NotFound for an id that is none of the source's,
    Conflict where one of them is struck out by now, and Refused where the source is full.
    """
    known = {kept.id: kept for kept in reading_rows.load_readings(conn, now.id)}
    if unknown := [number for number in readings if number not in known]:
        raise NotFound("reading", unknown[0])
    if any(known[number].struck for number in readings):
        raise Conflict(now)
    before = history.source_image(conn, now.id)
    places_then = {
        number: unmoved.as_far if unmoved else _place(conn, now, known[number], taken.get(number))
        for number in readings
    }
    readings = {
        number: reading.model_copy(update={"as_far": places_then[number]})
        for number, reading in readings.items()
    }
    pairs = [
        (number, _file(conn, stamp, now, known[number], reading, taken.get(number)))
        for number, reading in readings.items()
        if reading != known[number].reading or taken.get(number)
    ]
    if not pairs:
        return
    changes: dict[str, object] = {} if work is None else {"work": work}
    if unmoved:
        changes |= {"stand": unmoved.stand, "as_far": unmoved.as_far}
    if changes:
        columns = writes.source_columns(now.source.model_copy(update=changes))
        conn.execute("UPDATE sources SET details = ? WHERE id = ?", (columns[-1], now.id))
    writes.touch(conn, stamp.at, now.set_id, now.id)
    history.record_source(conn, stamp, "reading.mended", now.set_id, now.id, before, mended=pairs)


def _place(conn: sqlite3.Connection, now: StoredSource, old: StoredReading, taken_at: str | None) -> float:
    """Return how far off a source stood when it was read; at another time that may have been elsewhere."""
    if not taken_at or old.tested:
        return old.reading.as_far
    return places.stood_at(conn, now.source, now.id, taken_at)


def _file(
    conn: sqlite3.Connection,
    stamp: Stamp,
    now: StoredSource,
    old: StoredReading,
    reading: Reading,
    taken_at: str | None,
) -> int:
    writes.refuse_full(conn, now.id)
    cursor = conn.execute(
        """INSERT INTO readings (source_id, reading, taken_at, who, sent_at, filed_at, first_id)
           SELECT source_id, ?, coalesce(?, taken_at), who, sent_at, coalesce(?, filed_at),
                  coalesce(first_id, id)
           FROM readings WHERE id = ?""",
        (reading.model_dump_json(exclude_defaults=True), taken_at, taken_at, old.id),
    )
    new = int(cursor.lastrowid or 0)
    _strike(conn, stamp, old.id, new)
    return new


def _strike(conn: sqlite3.Connection, stamp: Stamp, old: int, new: int | None) -> None:
    # What counts again after an undo was there first: the other one is struck out, not mended by it.
    conn.execute(
        "INSERT INTO struck (reading_id, at, who, by_id) VALUES (?, ?, ?, ?)",
        (old, stamp.at, stamp.who, new if new and new > old else None),
    )


def stand(conn: sqlite3.Connection, pairs: Pairs) -> bool:
    """Whether readings are as a mend left them: the first of each pair struck out, the other not."""
    struck = {row["reading_id"] for row in conn.execute("SELECT reading_id FROM struck")}
    return all(old in struck and new not in struck for old, new in pairs)


def swap_back(conn: sqlite3.Connection, stamp: Stamp, pairs: Pairs) -> list[tuple[int, int]]:
    """Have the first of each pair count again and the other no more; return them the other way round."""
    for old, new in pairs:
        conn.execute("DELETE FROM struck WHERE reading_id = ?", (old,))
        _strike(conn, stamp, new, old)
    return [(new, old) for old, new in pairs]


def mended_in(changes: Sequence[Change], reading_id: int) -> Change | None:
    """Return the newest of changes, oldest first, that mended a reading; None where none did."""
    return next((c for c in reversed(changes) if reading_id in (old for old, _ in c.mended)), None)


def gone_in(changes: Sequence[Change], reading_id: int) -> Change | None:
    """Return the newest of changes, oldest first, since which a reading of a test is gone; None if none."""
    return next((c for c in reversed(changes) if c.unit and reading_id in c.unit.gone), None)


def exchange_tests(
    conn: sqlite3.Connection, stamp: Stamp, now: StoredSource, readings: Sequence[ReadingOfTest]
) -> tuple[list[int], list[int]]:
    """Have readings of other tests count in the place of those that a source has.

    They are filed where those were, or before all others, so that what was read on the set stays the newest.
    Returns the ids of those that counted, and of those that do. Raises Refused where the source is full.
    """
    own = reading_rows.load_readings(conn, now.id)
    old = [kept for kept in own if kept.tested and not kept.struck]
    writes.refuse_full(conn, now.id, len(readings))
    query = "SELECT filed_at, coalesce(first_id, id) FROM readings WHERE id = ?"
    place = tuple(conn.execute(query, (old[-1].id,)).fetchone()) if old else ("", None)
    come = writes.insert_tested(conn, now.id, readings, place if own else None)
    gone = [kept.id for kept in old]
    for number in gone:
        _strike(conn, stamp, number, None)
    return gone, come


def tests_stand(conn: sqlite3.Connection, unit: UnitChange) -> bool:
    """Whether readings of tests are as an exchange left them: those gone are struck out, the others not."""
    struck = {row["reading_id"] for row in conn.execute("SELECT reading_id FROM struck")}
    return struck.issuperset(unit.gone) and struck.isdisjoint(unit.come)


def tests_back(conn: sqlite3.Connection, stamp: Stamp, unit: UnitChange) -> UnitChange:
    """Have readings of tests count again that are gone, and the others no more; return that change."""
    for number in unit.gone:
        conn.execute("DELETE FROM struck WHERE reading_id = ?", (number,))
    for number in unit.come:
        _strike(conn, stamp, number, None)
    return UnitChange(unit.come, unit.gone, unit.others)
