"""Undo: the fields that a change altered get their old values back, unless one of them was altered since.

An undo is recorded as a change, which names the change that it undoes (`Change.undoes`). So an undo can be
undone too.
"""

import sqlite3
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from ...model import UNREAD, LightSet, Refused, Source, Work, refuse
from ..tables import history, mended, names, rows, writes
from ..tables.guards import require_set, require_source
from ..tables.records import Change
from ..tables.struck import as_it_counts
from ..tables.writes import Stamp

_DELETIONS, _CHANGES = {"source.deleted", "set.deleted"}, {"source.changed", "set.changed"}
_MENDED, _UNIT = "reading.mended", "source.unit"
_NO_FIELDS = {"details", "revision", "reading_id", "mended", "unit", "sample", "limits"}
"""Keys of an image that no person changes, or that `flat` splits into their parts."""
_TARGET = ("target", "target_source_id")


class Touched(Exception):
    """A field of the change was altered again later, so nothing was undone.

    `change` is the one to undo. `by` is the newest later change of the same field, None where none is known.
    """

    def __init__(self, change: Change, by: Change | None) -> None:
        super().__init__(f"what change {change.id} did was changed since")
        self.change = change
        self.by = by


def changed_fields(change: Change) -> list[str]:
    """Return the names of the fields of a set or a source that a change altered; a limit is ``limits.x``."""
    if change.before is None or change.after is None:
        return []
    return _differing(flat(change.before), flat(change.after))


def can_be_undone(change: Change) -> bool:
    """Whether a change is of a kind that can be undone; it may have been undone already."""
    always = (*_DELETIONS, _MENDED, _UNIT)
    return change.what in always or (change.what in _CHANGES and bool(changed_fields(change)))


def undone_by(changes: Sequence[Change]) -> dict[int, Change]:
    """Return which changes (oldest first) were undone: the id of each, with the change that undid it."""
    found: dict[int, Change] = {}
    for change in reversed(changes):
        # An undo that was itself undone leaves done what it undid.
        if change.undoes is not None and change.id not in found:
            found.setdefault(change.undoes, change)
    return found


def load_change(conn: sqlite3.Connection, number: int) -> Change:
    """Return a change by its number; raises NotFound."""
    return history.change_of(rows.one_row(conn, "SELECT * FROM changes WHERE id = ?", "change", number))


def undo_fields(conn: sqlite3.Connection, stamp: Stamp, change: Change) -> None:
    """Give the fields that a change altered the values that they had before it.

    A change that was undone already is left alone. Where sources exchanged heads, all of them do again.
    Raises NotFound where the set or a source was removed; Refused where the change cannot be undone, or where
    another source bears the old name now; and Touched.
    """
    if not can_be_undone(change):
        raise Refused.one("change", "this line has nothing to undo", "a line with Undo beside it")
    every = history.load_changes(conn, change.set_id)
    if change.id in undone_by(every):
        return
    require_set(conn, change.set_id)
    if change.source_id is None:
        _undo_set(conn, stamp, change, _later(change, every))
    else:
        _undo_sources(conn, stamp, [change, *_together(change, every)], every)


def _later(change: Change, every: Sequence[Change]) -> list[Change]:
    """Return the later changes of what a change altered."""
    return [c for c in every if c.id > change.id and c.source_id == change.source_id]


def _together(change: Change, every: Sequence[Change]) -> list[Change]:
    """Return the changes of the other sources that exchanged heads in one."""
    others = change.unit.others if change.unit else ()
    return [c for c in every if c.unit and c.source_id in others and (c.at, c.who) == (change.at, change.who)]


def _undo_sources(
    conn: sqlite3.Connection, stamp: Stamp, changes: Sequence[Change], every: Sequence[Change]
) -> None:
    """Undo changes that were made in one, each of a source of its own."""
    back, before = {}, {}
    for change in changes:
        assert change.source_id is not None, "it is of a source"
        require_source(conn, rows.load_source(conn, change.source_id))
        before[change.source_id] = history.source_image(conn, change.source_id)
        back[change.source_id] = _source_back(conn, change, before[change.source_id] or {}, every)
    taken = names.taken_names(conn, changes[0].set_id, but=list(back))
    names.refuse_taken([("name", source) for source in back.values()], taken)
    writes.put_sources(conn, back)
    for change, source_id in zip(changes, back, strict=True):
        pairs = mended.swap_back(conn, stamp, change.mended)
        unit = mended.tests_back(conn, stamp, change.unit) if change.unit else None
        writes.touch(conn, stamp.at, change.set_id, source_id)
        what = _MENDED if pairs else _UNIT if unit else "source.changed"
        history.record_source(
            conn,
            stamp,
            what,
            change.set_id,
            source_id,
            before[source_id],
            undoes=change.id,
            mended=pairs,
            unit=unit,
        )


def _source_back(
    conn: sqlite3.Connection, change: Change, present: Mapping[str, Any], every: Sequence[Change]
) -> Source:
    """Return a source without its readings as it is once a change of it is undone. Raises Touched."""
    later = _later(change, every)
    if not mended.stand(conn, change.mended) or (change.unit and not mended.tests_stand(conn, change.unit)):
        raise Touched(change, _by_reading(change, later))
    try:
        return Source.model_validate({**_taken_back(conn, change, flat(present), later), "reading": UNREAD})
    except ValidationError as error:
        raise refuse(error) from error


def _undo_set(conn: sqlite3.Connection, stamp: Stamp, change: Change, later: Sequence[Change]) -> None:
    present = history.set_image(conn, change.set_id)
    back = _taken_back(conn, change, flat(present or {}), later)
    limits = {name.removeprefix("limits."): back.pop(name) for name in list(back) if "limits." in name}
    target_source = back.pop("target_source_id", None)
    try:
        light_set = LightSet.model_validate({**back, "limits": limits})
    except ValidationError as error:
        raise refuse(error) from error
    conn.execute(
        """UPDATE sets SET name = ?, note = ?, target = ?, limits = ?, details = ?, target_source_id = ?
           WHERE id = ?""",
        (*writes.set_columns(light_set), target_source, change.set_id),
    )
    writes.touch(conn, stamp.at, change.set_id)
    history.record_set(conn, stamp, "set.changed", change.set_id, present, undoes=change.id)


def _taken_back(
    conn: sqlite3.Connection, change: Change, present: Mapping[str, Any], later: Sequence[Change]
) -> dict[str, Any]:
    """Return all fields with the values to store: old ones for those that it altered. Raises Touched."""
    was, made = flat(change.before or {}), flat(change.after or {})
    back = dict(present)
    for field in _differing(was, made):
        if not _same(conn, change, field, present.get(field), made.get(field)):
            if change.mended and field == "work" and _hangs_as(was.get(field), made.get(field)):
                continue  # the head was read again since: what was found stays, the mended reading goes back
            raise Touched(change, _by(field, later))
        back.pop(field, None)
        if field in was:
            back[field] = was[field]
    return back


def _same(conn: sqlite3.Connection, change: Change, field: str, now: object, made: object) -> bool:
    """Whether a field is as a change left it; what rests on readings struck out since is not compared."""
    if now == made or field != "work" or None in (now, made) or change.source_id is None:
        return now == made
    works = [as_it_counts(conn, change.source_id, Work.model_validate(work)) for work in (now, made)]
    return works[0] == works[1]


def _hangs_as(was: Any, made: Any) -> bool:
    """Whether two images of the work on a source have the same gels and the same dial setting."""
    here, there = ((work or {}) for work in (was, made))
    return all(here.get(name) == there.get(name) for name in ("gels", "dial"))


def _by_reading(change: Change, later: Sequence[Change]) -> Change | None:
    """Return the newest later change of a reading that it mended, or of the tests that it exchanged."""
    own = _readings_in(change)
    return next((one for one in reversed(later) if own & {one.reading_id, *_readings_in(one)}), None)


def _readings_in(change: Change) -> set[int]:
    """Return the readings that a change mended, or that it exchanged, by their ids."""
    unit = [*change.unit.gone, *change.unit.come] if change.unit else []
    return {*unit, *(number for pair in change.mended for number in pair)}


def _by(field: str, later: Sequence[Change]) -> Change | None:
    """Return the newest later change that altered a field and still stands, else the newest of all."""
    undone = undone_by(later)
    for change in reversed(later):
        if change.id not in undone and change.undoes is None and field in changed_fields(change):
            return change
    return next((c for c in reversed(later) if field in changed_fields(c)), None)


def flat(image: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of an image that a person can change; each limit is a field, ``limits.x``."""
    kept = {k: v for k, v in image.items() if k not in _NO_FIELDS}
    limits = {f"limits.{k}": v for k, v in image.get("limits", {}).items()}
    return {**kept, **limits, **image.get("details", {})}


def _differing(was: Mapping[str, Any], now: Mapping[str, Any]) -> list[str]:
    found = {field for field in was.keys() | now.keys() if was.get(field) != now.get(field)}
    # A target goes with the source that it matches.
    return sorted(found | (set(_TARGET) if found & set(_TARGET) else set()))
