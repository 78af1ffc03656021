"""What every writer of sets shares: the values of columns, new rows, and raising the revisions."""

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from ...model import LightSet, Reading, Refused, Source
from ...model.basis.base import name_key, name_keys, utc_text
from ...model.sets.lightset import MAX_SOURCES
from ...model.sets.reading import that_say
from ...model.sets.source import MAX_READINGS
from . import names

_AT_ONCE = 60.0
"""What came in sooner after it was taken came at once: times are said to the minute. [s]"""
_OWN_COLUMNS = {"name", "kind", "reading", "readings", "note", "keep", "aim"}


class Stamp(NamedTuple):
    """When something comes in, and from whom; `who` is empty where nobody said.

    `age` is how long before that it was done, on a phone that could not send it then. [s]
    """

    at: str
    who: str
    age: float = 0.0


@dataclass(frozen=True, slots=True)
class ReadingOfTest:
    """A reading of a head's test as a source has it, with when it was taken, by whom, and in which test."""

    reading: Reading
    taken_at: str
    who: str
    test_id: int


def set_columns(light_set: LightSet) -> tuple[str, str, str, str, str]:
    """Return what the columns name, note, target, limits and details hold."""
    return (
        light_set.name,
        light_set.note,
        light_set.target.model_dump_json(exclude_none=True),
        light_set.limits.model_dump_json(exclude_none=True),
        light_set.model_dump_json(
            exclude={"name", "note", "target", "limits", "sources"}, exclude_defaults=True
        ),
    )


def source_columns(source: Source) -> tuple[str, str, str, str, str, str, str]:
    """Return what the columns name, name_key, kind, note, keep, aim and details hold."""
    return _columns(source, name_key(source.name))


def _columns(source: Source, key: str) -> tuple[str, str, str, str, str, str, str]:
    keep = json.dumps(source.keep, ensure_ascii=False)
    aim = source.aim.model_dump_json(exclude_defaults=True)
    details = source.model_dump_json(exclude=_OWN_COLUMNS, exclude_defaults=True)
    return source.name, key, source.kind.value, source.note, keep, aim, details


def refuse_too_many(count: int) -> None:
    """Raise Refused where a set would hold `count` sources and may not."""
    if count > MAX_SOURCES:
        raise Refused.one("sources", f"the set would hold {count} sources", f"at most {MAX_SOURCES} in a set")


def insert_sources(
    conn: sqlite3.Connection,
    stamp: Stamp,
    set_id: int,
    placed: Sequence[tuple[str, Source]],
    in_order: Sequence[Sequence[Reading]] = (),
) -> list[int]:
    """Put sources behind those of the set, each with its readings, and return their ids.

    The readings of each are filed `in_order`, as they were taken; where that is not known, bare ones first.
    """
    taken = names.taken_names(conn, set_id)
    refuse_too_many(len(taken) + len(placed))
    names.refuse_taken(placed, taken)
    ids = []
    sources = [source for _, source in placed]
    keys = name_keys([source.name for source in sources])
    # The reading that counts is the newest bare one, so it comes last of the bare ones.
    bare = that_say([[*(r for r in s.readings if not r.gels), s.reading] for s in sources])
    first = last_number(conn, set_id) + 1
    for number, (source, key, read) in enumerate(zip(sources, keys, bare, strict=True), start=first):
        cursor = conn.execute(
            """INSERT INTO sources (name, name_key, kind, note, keep, aim, details, set_id, number)
               VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)""",
            (*_columns(source, key), set_id, number),
        )
        ids.append(int(cursor.lastrowid or 0))
        filed = [*read, *(r for r in source.readings if r.gels)]
        taken_so = list(in_order[len(ids) - 1]) if in_order else []
        same = len(taken_so) == len(filed) and all(reading in filed for reading in taken_so)
        for reading in taken_so if same else filed:
            insert_reading(conn, stamp, ids[-1], reading)
    return ids


def last_number(conn: sqlite3.Connection, set_id: int) -> int:
    """Return the highest number that a head of a set ever had, the day before too; 0 where none had one."""
    row = conn.execute(
        """SELECT max(last_number, coalesce((SELECT max(number) FROM sources WHERE set_id = sets.id), 0))
           FROM sets WHERE id = ?""",
        (set_id,),
    ).fetchone()
    return int(row[0])


def insert_reading(conn: sqlite3.Connection, stamp: Stamp, source_id: int, reading: Reading) -> int:
    """Add a reading behind the others of the source, and return its id; raises Refused where it is full."""
    refuse_full(conn, source_id)
    taken = when_done(conn, stamp, source_id)
    row = (
        reading.model_dump_json(exclude_defaults=True),
        taken,
        stamp.who,
        stamp.at if came_late(taken, stamp.at) else "",
    )
    return add_reading(conn, source_id, *row, late=taken != stamp.at, now=stamp.at)


Place = tuple[str, int | None]
"""Where a reading is filed: by which time, and with which other reading, by its id."""


def insert_tested(
    conn: sqlite3.Connection, source_id: int, taken: Sequence[ReadingOfTest], place: Place | None = None
) -> list[int]:
    """Add readings of a head's tests to a source of it, and return their ids; the last one counts first.

    They are filed at a `place`, else behind all others.
    """
    ids = []
    for one in taken:
        added = one.reading.model_dump_json(exclude_defaults=True)
        ids.append(
            add_reading(conn, source_id, added, one.taken_at, one.who, test_id=one.test_id, place=place)
        )
    return ids


def put_sources(conn: sqlite3.Connection, sources: Mapping[int, Source]) -> None:
    """Write the values of sources, by their ids, but for their readings; they may exchange their names."""
    for source_id in sources if len(sources) > 1 else ():
        # No two may have one name in between, and a name is never empty.
        conn.execute("UPDATE sources SET name_key = ? WHERE id = ?", (f"\0{source_id}", source_id))
    for source_id, source in sources.items():
        conn.execute(
            """UPDATE sources SET name = ?, name_key = ?, kind = ?, note = ?, keep = ?, aim = ?, details = ?
               WHERE id = ?""",
            (*source_columns(source), source_id),
        )


def refuse_full(conn: sqlite3.Connection, source_id: int, more: int = 1) -> None:
    """Raise Refused where a source may not have so many `more` readings."""
    count = conn.execute("SELECT count(*) FROM readings WHERE source_id = ?", (source_id,)).fetchone()[0]
    if count + more > MAX_READINGS + 1:
        raise Refused.one("reading", f"the source has {count} readings", "a new source for what follows")


def add_reading(
    conn: sqlite3.Connection,
    source_id: int,
    reading: str,
    taken_at: str,
    who: str,
    sent_at: str = "",
    *,
    late: bool = False,
    now: str = "",
    test_id: int | None = None,
    place: Place | None = None,
) -> int:
    """Add the row of a reading as it is, and return its id.

    It is filed behind all others of its source, whatever the clock says. One that comes `late` is filed where
    it belongs by its age. That is counted from `now`, or from the newest that is filed, where the clock was
    set back. With `test_id` it is from the test of a head. Or it is filed at a `place`.
    """
    row = conn.execute("SELECT max(filed_at) FROM readings WHERE source_id = ?", (source_id,)).fetchone()
    newest = row[0] or ""
    filed_at = max(newest, taken_at)
    if late:
        filed_at = taken_at if newest <= now else _earlier(newest, age_of(taken_at, now))
    at, first = place or (filed_at, None)
    cursor = conn.execute(
        """INSERT INTO readings (source_id, reading, taken_at, who, sent_at, filed_at, test_id, first_id)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?)""",
        (source_id, reading, taken_at, who, sent_at, at, test_id, first),
    )
    return int(cursor.lastrowid or 0)


def when_done(conn: sqlite3.Connection, stamp: Stamp, source_id: int) -> str:
    """Return when a source was read or changed: before it came in by its age, where it was there then.

    An age that leads to before that is none: a phone's clock was set in between, so the time is not known.
    """
    if not stamp.age > 0:
        return stamp.at
    row = conn.execute(
        """SELECT coalesce(
               (SELECT max(at) FROM changes WHERE source_id = s.id AND what = 'source.added'),
               (SELECT max(at) FROM changes
                WHERE set_id = s.set_id AND what IN ('set.added', 'set.imported')),
               '') FROM sources s WHERE id = ?""",
        (source_id,),
    ).fetchone()
    try:
        taken = _earlier(stamp.at, stamp.age)
    except OverflowError:
        return stamp.at
    return taken if taken >= row[0] else stamp.at


def came_late(done: str, at: str) -> bool:
    """Whether what came in `at` a time was done before that, to the minute."""
    return age_of(done, at) >= _AT_ONCE


def _earlier(at: str, age: float) -> str:
    return utc_text(datetime.fromisoformat(at) - timedelta(seconds=age))


def age_of(taken: str, at: str) -> float:
    """Return how long before `at` something was taken. [s]"""
    return (datetime.fromisoformat(at) - datetime.fromisoformat(taken)).total_seconds()


def touch(conn: sqlite3.Connection, at: str, set_id: int, source_id: int | None = None) -> None:
    """Raise the set's revision, and that of the source that changed."""
    conn.execute("UPDATE sets SET revision = revision + 1, changed_at = ? WHERE id = ?", (at, set_id))
    if source_id is not None:
        conn.execute("UPDATE sources SET revision = revision + 1 WHERE id = ?", (source_id,))
