"""Changes in words, for the record that people read: what was done, then what was read."""

import re
import sqlite3
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...model import Kind, Reading, Setting, Stage, Target
from ...model.basis.fields import field_words
from ...model.basis.quantities import tidy
from ...model.sets.phrases import (
    changed_to,
    dial_said,
    down_said,
    grouped,
    lamp_said,
    listed,
    percent,
    pulled_said,
    signed,
    stand_said,
    stood,
    unit_said,
    white,
)
from ..tables.records import Change

_LONGEST = 1000
_SET = {
    "set.deleted": "Set removed",
    "set.restored": "Set brought back",
    "set.imported": "Set imported from its record",
}
_COUNTED = {"details", "revision", "reading_id", "mended", "unit", "sample", "target_source_id", "as_far"}
_SOURCE = {"source.deleted": "removed", "source.restored": "brought back"}
_READING = {"source.added": "added, ", "reading.struck": "struck out: ", "reading.back": "brought back: "}
_UP = {Stage.HUNG.value, Stage.CONFIRMED.value}
_IN_USE = {"level": "use_level", "modifier": "use_modifier"}
"""Fields of a source that a form calls otherwise, since a reading has them too."""


Say = Callable[[str], str]
"""How a gel's name is written: as in the table, where nothing else is said."""


@dataclass(frozen=True, slots=True)
class ChangeInWords:
    """A change in words: what was done, and behind it what was read, which may be empty."""

    done: str
    read: str = ""

    @property
    def line(self) -> str:
        """The whole, as a line of plain text."""
        return (self.done + self.read)[:_LONGEST]


def words(conn: sqlite3.Connection, changes: Sequence[Change], gel: Say = str) -> list[ChangeInWords]:
    """Say what each change was: what it was done to, and what came of it. Readings are looked up.

    `gel` writes a gel's name.
    """
    return [_words(conn, c, gel) for c in changes]


def _told(done: str, read: str = "") -> ChangeInWords:
    # A line of the record holds plain spaces only, as all text of the model does.
    plain = (re.sub("[\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}]", " ", text) for text in (done, read))
    return ChangeInWords(*plain)


def reading_words(reading: Reading, gel: Say = str) -> str:
    """Say what was read: “5 820 K, Duv +0.0068, 1 450 lx, at 80 %, behind CTO 1/4”."""
    if reading.cct is not None and reading.duv is not None:
        parts = [f"{tidy(reading.cct, 0)} K", _duv(reading)]
    elif reading.xy is not None:
        parts = [f"x {tidy(reading.xy[0], 4)}", f"y {tidy(reading.xy[1], 4)}"]
    else:
        parts = ["a spectrum"]
    if reading.lux is not None:
        parts.append(f"{tidy(float(f'{reading.lux:.3g}'))} lx")
    if how := stood(reading, gel):
        parts.append(how)
    return ", ".join(parts)


def _duv(reading: Reading) -> str:
    assert reading.duv is not None, "it is given"
    return f"Duv {signed(reading.duv, 4)}" + (", which was not metered" if reading.duv_assumed else "")


def _words(conn: sqlite3.Connection, change: Change, gel: Say) -> ChangeInWords:
    before, after = change.before or {}, change.after or {}
    if change.what == "log":
        return ChangeInWords(str(after["words"]))
    name = after.get("name") or before.get("name") or ""
    again = "undone: " if change.undoes is not None and change.what.endswith((".changed", ".mended")) else ""
    if change.source_id is None:
        if change.what == "set.added":
            copied = after.get("details", {}).get("copied_from")
            return _told(f"Set made: {name}" + (", a copy for another day" if copied else ""))
        known = _SET.get(change.what)
        return _told(known or f"Set changed: {again}" + (_differences(before, after, gel) or "as it was"))
    if change.unit:
        was, (now, then) = before["name"], (image["details"].get("test") for image in (after, before))
        return _told(f"{was}: {unit_said(now, then, was, again=change.undoes is not None)}")
    if change.mended:
        return _told(f"{name}: {again or 'fixed, '}{_mended(conn, change, gel)}")
    if change.what in _SOURCE:
        return _told(f"{name}: {_SOURCE[change.what]}")
    if change.what == "source.changed":
        done = _differences(before, after, gel, undone=bool(again))
        if change.reading is None:
            return _told(f"{name}: {again}{done or 'as it was'}")
        return _told(f"{name}: {done}{'; ' if done else ''}", _read(conn, change, gel))
    read = _read(conn, change, gel)
    done = "confirmed, " if _confirmed(change) else _READING.get(change.what, "")
    return _told(f"{name}: {done}", read)


def _confirmed(change: Change) -> bool:
    """Whether what was read behind a stack was right, and confirmed it."""
    was, now = (
        ((image or {}).get("details", {}).get("work") or {}).get("stage")
        for image in (change.before, change.after)
    )
    return change.what == "reading.added" and now == Stage.CONFIRMED.value != was


def _read(conn: sqlite3.Connection, change: Change, gel: Say) -> str:
    row = conn.execute("SELECT reading FROM readings WHERE id = ?", (change.reading,)).fetchone()
    if row is None:
        return "read"
    return "read " + reading_words(Reading.model_validate_json(row["reading"]), gel)


def _mended(conn: sqlite3.Connection, change: Change, gel: Say) -> str:
    """Say what counts in the place of what: “read 5 394 K, Duv +0.0010, was 7 394 K”."""
    parts = []
    for old, new in change.mended:
        (was, then), (now, at) = (_reading(conn, number) for number in (old, new))
        said = was_words(was, now, gel) if was != now else ""
        said = ", ".join(filter(None, [said, "" if then == at else "time fixed"]))
        parts.append(f"read {reading_words(now, gel)}" + (f", {said}" if said else ""))
    return " · ".join(parts)


def _reading(conn: sqlite3.Connection, number: int) -> tuple[Reading, str]:
    row = conn.execute("SELECT reading, taken_at FROM readings WHERE id = ?", (number,)).fetchone()
    return Reading.model_validate_json(row["reading"]), row["taken_at"]


def was_words(was: Reading, now: Reading, gel: Say = str) -> str:
    """Say what a reading was before it was mended, as far as that differs: “was 7 394 K, bare”."""
    if was.model_copy(update={"gels_checked": now.gels_checked}) == now:
        return "gel checked" if now.gels_checked else ""
    parts = ["gel burnt"] if now.gel_burnt and not was.gel_burnt else []
    if (was.cct, was.duv) != (now.cct, now.duv) and was.cct is not None and was.duv is not None:
        parts += [f"{tidy(was.cct, 0)} K"] if was.cct != now.cct else []
        parts += [f"Duv {signed(was.duv, 4)}"] if was.duv != now.duv else []
    elif (was.xy, was.spectrum) != (now.xy, now.spectrum):
        parts.append("a spectrum" if was.xy is None else f"x {tidy(was.xy[0], 4)}, y {tidy(was.xy[1], 4)}")
    if was.lux != now.lux:
        parts.append("no illuminance" if was.lux is None else f"{tidy(float(f'{was.lux:.3g}'))} lx")
    if was.level != now.level:
        parts.append("no level noted" if was.level is None else f"at {percent(was.level)}")
    if was.modifier != now.modifier:
        parts.append(f"with {was.modifier}" if was.modifier else "no modifier")
    if was.dial != now.dial:
        parts.append(f"dials at {dial_said(was.dial)}" if was.dial else "no dials noted")
    if was.gels != now.gels:
        parts.append(f"behind {listed(grouped([gel(name) for name in was.gels]))}" if was.gels else "bare")
    return f"was {', '.join(parts)}" if parts else "other figures fixed"


def _differences(
    before: Mapping[str, Any], after: Mapping[str, Any], gel: Say, *, undone: bool = False
) -> str:
    """Say which fields changed, and to what where that is short."""
    was, now = _flat(before), _flat(after)
    parts = []
    for field in sorted(was.keys() | now.keys()):
        if was.get(field) == now.get(field):
            continue
        if field == "work":
            parts.append((_work_again if undone else _work)(now.get(field), was.get(field), gel))
        elif field == "stand":
            parts.append(stand_said(now.get(field), was.get(field)))
        elif field == "lamp":
            daylight = now.get("kind") == Kind.DAYLIGHT.value
            parts.append(lamp_said(now.get(field), was.get(field), daylight=daylight))
        elif field == "pulled":
            parts.append(pulled_said(now.get(field) or (), was.get(field) or (), gel))
        elif field == "wrapped":
            parts.append("wrapped, all comes down" if now.get(field) else "the wrap taken back, begun again")
        elif field == "down":
            if was.get("wrapped") and now.get("wrapped"):  # else it is how a wrap begins and ends
                parts.append(down_said(now.get(field) or (), was.get(field) or ()))
        elif field == "name":
            parts.append(f"renamed, was {was.get(field)}")
        elif field == "target":
            parts.append(f"target {white(Target.model_validate(now[field]))}")
        else:
            parts.append(changed_to(field, field_words(_IN_USE.get(field, field)), now.get(field)))
    return " · ".join(parts)


def _flat(image: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a person changes, without what the store counts."""
    whole = {**image, **image.get("details", {})}
    return {k: v for k, v in whole.items() if k not in _COUNTED}


def _work(work: Mapping[str, Any] | None, was: Mapping[str, Any] | None, gel: Say) -> str:
    """Say what was decided, in the words of the buttons: hung, swapped, taken off, confirmed."""
    up = was is not None and was.get("stage") in _UP
    if work is None:
        stack = _stack(was or {}, gel)
        return f"{'taken off' if up else 'plan dropped'}: {stack}" if stack else "back to what is advised"
    stack, stage = _stack(work, gel), work.get("stage", Stage.PLANNED.value)
    if said := _planned_instead(work, was, gel):
        return said
    if not stack and stage == Stage.HUNG.value:
        return "stays bare"
    if (
        up
        and was
        and stage == Stage.HUNG.value
        and (work.get("gels"), work.get("dial")) != (was.get("gels"), was.get("dial"))
    ):
        stage = _change_said(was, work)
    return f"{stage}: {stack or 'stays bare'}"


def _change_said(was: Mapping[str, Any], work: Mapping[str, Any]) -> str:
    """Say what was done to what hung: a gel that was only added, or taken off, was not swapped."""
    before, after = (Counter(one.get("gels", [])) for one in (was, work))
    if before == after:
        return "dials set"
    if not before:
        return "hung"
    if before - after and after - before:
        return "swapped"
    return "added, now" if after - before else "taken off, now"


def _planned_instead(work: Mapping[str, Any], was: Mapping[str, Any] | None, gel: Say) -> str:
    """Say what was planned in the place of what hangs, or came of that; empty where that is not all.

    “planned instead: CTB 1/2”, “CTB full stays”, “taken off: CTB full, planned: CTB 1/2”.
    """
    if was is None or was.get("stage") not in _UP:
        return ""
    here, before = (_stack(w, gel) or "bare" for w in (work, was))
    if work.get("stage", Stage.PLANNED.value) == Stage.PLANNED.value:
        return f"taken off: {before}, planned: {here}"
    other, earlier = work.get("instead"), was.get("instead")
    if here != before or work.get("stage") != was.get("stage") or other == earlier:
        return ""
    if other:
        return f"planned instead: {_stack(other, gel) or 'stays bare'}"
    several = work.get("dial") or len(work.get("gels", [])) > 1
    return f"{here} {'stay' if several else 'stays'}"


def _work_again(work: Mapping[str, Any] | None, was: Mapping[str, Any] | None, gel: Say) -> str:
    """Say how the work stands after an undo, not what the undo did: “CTO 1/2 hangs again”."""
    stage, earlier = ((w or {}).get("stage", Stage.PLANNED.value) for w in (work, was))
    if work is None:
        stack = _stack(was or {}, gel)
        return (
            f"{stack} {'off again' if earlier in _UP else 'no longer planned'}"
            if stack
            else _work(work, was, gel)
        )
    stack = _stack(work, gel) or "bare"
    if stage in _UP and earlier in _UP and (said := _planned_instead(work, was, gel)):
        return said
    if stage != Stage.HUNG.value:
        return f"{stack} {stage} again"
    if earlier == Stage.CONFIRMED.value and was and _stack(was, gel) == _stack(work, gel):
        return f"{stack} no longer confirmed"
    gels = work.get("gels") or ()
    return f"{stack} {'hang ' if len(gels) > 1 else 'hangs ' if gels else ''}again"


def _stack(work: Mapping[str, Any], gel: Say) -> str:
    parts = []
    if work.get("dial"):
        parts.append(f"dials at {dial_said(Setting.model_validate(work['dial']))}")
    if work.get("gels"):
        parts.append(listed(grouped([gel(name) for name in work["gels"]])))
    return ", ".join(parts)
