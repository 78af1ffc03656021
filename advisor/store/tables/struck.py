"""What was done on a source as far as it rests on readings that count: what was struck out says nothing.

Nor does what was read of another lamp than is in it: here, that counts as struck out too.

What is kept of the work stays as it was written; this is looked at anew whenever it is read. So what is
brought back is as it was before it was struck out, whatever else was changed meanwhile.
"""

import sqlite3
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise

from pydantic import ValidationError

from ...model import Reading, Stage, Work
from ...model.sets.behind import taken, with_earlier, with_found, without_found
from . import history
from .reading_rows import lamp_since


def work_that_counts(
    conn: sqlite3.Connection,
    source_id: int,
    work: Work,
    counting: Sequence[Reading],
    struck: Sequence[Reading],
    *,
    lamp: str = "",
) -> Work:
    """Return the work on a source as it would be had its `struck` readings never been taken.

    Where a new `lamp` came, it says when, and nothing counts but what is `counting`, whatever the work itself
    still tells: and what was worked out of this lamp, from which its stack was predicted.

    Where one of them says something of it, what was done since the stack was hung is gone through once more:
    an earlier reading behind it counts again, and what was confirmed by a struck one is only hung.
    """
    known = _Readings(counting)
    if not lamp:
        return _that_counts(conn, source_id, work, _Readings(r for r in struck if r not in known))
    bare = work.read_bare
    own = bare and bare not in _Readings(struck) and _predicted_of(conn, source_id, work, lamp)
    return _that_counts(conn, source_id, work, _AllBut([*counting, bare] if bare and own else counting))


def _predicted_of(conn: sqlite3.Connection, source_id: int, work: Work, lamp: str) -> bool:
    """Whether work was predicted while the lamp was in that came then: its first image of that has it."""
    since = ""
    for kept, then in history.lamps_of(conn, source_id):
        state = _work(kept)
        if state is None or (state.predicted, state.read_bare) != (work.predicted, work.read_bare):
            break
        since = then
    return since == lamp


def as_it_counts(conn: sqlite3.Connection, source_id: int, work: Work) -> Work:
    """Return any work on a source, such as it was once, as far as it rests on readings that count now."""
    lamp = lamp_since(conn, source_id)
    found = conn.execute(
        """SELECT reading, taken_at < ? OR EXISTS (SELECT 1 FROM struck k WHERE k.reading_id = r.id) AS struck
           FROM readings r WHERE source_id = ?""",
        (lamp, source_id),
    ).fetchall()
    counting = {r["reading"] for r in found if not r["struck"]}
    if lamp:
        return _that_counts(conn, source_id, work, _AllBut(map(Reading.model_validate_json, counting)))
    gone = {r["reading"] for r in found if r["struck"]} - counting
    return _that_counts(conn, source_id, work, _Readings(map(Reading.model_validate_json, gone)))


class _Readings:
    """Some readings, to ask whether one is among them; there may be a thousand."""

    def __init__(self, readings: Iterable[Reading]) -> None:
        self._by_key: dict[object, list[Reading]] = {}
        for reading in readings:
            self._by_key.setdefault(self._key(reading), []).append(reading)

    def __contains__(self, reading: object) -> bool:
        return isinstance(reading, Reading) and reading in self._by_key.get(self._key(reading), ())

    @staticmethod
    def _key(reading: Reading) -> object:
        return reading.cct, reading.duv, reading.xy, reading.lux, reading.level


class _AllBut(_Readings):
    """All readings but some, told apart by what a meter says."""

    def __contains__(self, reading: object) -> bool:
        return isinstance(reading, Reading) and self._key(reading) not in self._by_key


def _that_counts(conn: sqlite3.Connection, source_id: int, work: Work, gone: _Readings) -> Work:
    states = _since_hung(conn, source_id, work) if taken(work) else []
    if any(reading in gone for state in states for reading in taken(state)):
        work = _gone_through(states, gone)
    return _without(work, gone)


def _since_hung(conn: sqlite3.Connection, source_id: int, work: Work) -> list[Work]:
    """Return the work as each change since its stack was decided left it, oldest first, and as it is."""
    states = [work]
    for kept in history.works_of(conn, source_id):
        state = _work(kept)
        if state is None or (state.gels, state.dial) != (work.gels, work.dial):
            break
        states.append(state)
        if not taken(state):
            break  # nothing was read behind it yet
    return states[::-1]


_DECIDED = ("stage", "steps_off", "predicted", "read_bare", "read_day_before", "instead", "read_turned")


def _gone_through(states: Sequence[Work], gone: _Readings) -> Work:
    work = _without(states[0], gone)
    for before, after in pairwise(states):
        if after == before:
            continue
        if after.read_behind in gone:
            # Read, or confirmed by what was read: neither counts. What was planned instead does.
            work = work.model_copy(update={"instead": after.instead})
            continue
        if after.read_behind is not None and after.read_behind != before.read_behind:
            work = with_found(work, after.read_behind)
        elif after.read_behind is None and before.read_behind is not None:
            work = without_found(work)
        else:
            for late in (r for r in after.read_elsewhere if r not in before.read_elsewhere and r not in gone):
                work = with_earlier(work, late)
        work = work.model_copy(update={k: getattr(after, k) for k in _DECIDED})
    return work


@lru_cache(maxsize=4096)
def _work(kept: str | None) -> Work | None:
    # Kept, since what a change left never changes, and all since the hanging is gone through at each look.
    try:
        return None if kept is None else Work.model_validate_json(kept)
    except ValidationError:  # of an older advisor: it then counts as nothing before
        return None


def _without(work: Work, gone: _Readings) -> Work:
    update: dict[str, object] = {"read_elsewhere": [r for r in work.read_elsewhere if r not in gone]}
    if work.read_behind in gone:
        stage = Stage.HUNG if work.stage is Stage.CONFIRMED else work.stage
        update |= {"read_behind": None, "stage": stage, "steps_off": None}
    if work.read_turned in gone:
        update["read_turned"] = None
    if work.read_bare in gone:
        update |= {"read_bare": None, "predicted": None}
        if work.stage is not Stage.CONFIRMED:
            update["steps_off"] = None
    if work.instead:
        update["instead"] = _without(work.instead, gone)
    return work.model_copy(update=update)
