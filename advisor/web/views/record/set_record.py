"""The record of a set: what hangs now, and what was done, newest first."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.plan.plan import Plan
from ....model import Stage
from ....model.sets.phrases import counted
from ....store import StoredSet, StoredSource
from ....store.sets.record import ChangeLine
from ...wording.stacks import head_outlook
from ...wording.values import capitalize_first
from ...wording.work import hung_now, to_change
from ..heads import aim_said, doubts_said


@dataclass(frozen=True)
class UpNow:
    """A source on which something hangs, or which stays bare on purpose, and what that is.

    `match` says what is wanted of it beside the target, how well it matches and what stands in the way, and
    `change` what to check or to change, as on the sheet; either may be empty.
    """

    source_id: int
    name: str
    words: str
    match: str
    change: str


@dataclass(frozen=True)
class DoneLine:
    """A change; `undone` says how it was undone, `read_struck` that the reading in it counts no more.

    `taken_at` says when a reading was taken that came in late. With `strikes` its reading can be struck out,
    or brought back.
    """

    line: ChangeLine
    undone: str
    read_struck: bool
    taken_at: str
    strikes: bool


@dataclass(frozen=True)
class RecordPage:
    """The record of a set, or of one source of it: the newest `lines`, and the `older` ones behind a tap.

    `up_heading` is over what hung at a wrap; empty while all hangs yet.
    `more` says that it has changes that are older still.
    """

    heading: str
    up_heading: str
    up: tuple[UpNow, ...]
    bare: str
    done_heading: str
    lines: tuple[DoneLine, ...]
    older: tuple[DoneLine, ...]
    more: str


_AT_FIRST = 8
"""How many changes are shown at once: on a phone of 390 px some two screens."""


def view_of(
    now: StoredSet, plan: Plan, source: StoredSource | None, lines: Sequence[ChangeLine], *, more: bool
) -> RecordPage:
    """Return the record of a set as planned, with some `lines` of it; `more` where there are others."""
    return RecordPage(
        heading=_heading(now),
        up_heading="What hung at the wrap" if now.wrapped else "",
        up=tuple(
            _at_wrap(now, stored, plan, i) if now.wrapped else _up(stored, plan, i)
            for i, stored in enumerate(now.sources)
            if stored.hangs
        ),
        bare=_bare(now.sources, wrapped=now.wrapped),
        done_heading=f"Record of {source.source.name}" if source else "Record",
        lines=tuple(_line(line) for line in lines[:_AT_FIRST]),
        older=tuple(_line(line) for line in lines[_AT_FIRST:]),
        more=f"The newest {len(lines)} changes. The export holds all." if more else "",
    )


def _heading(now: StoredSet) -> str:
    readings = sum(stored.readings for stored in now.sources)
    if not readings:
        return "No reading on record yet"
    return f"{counted(readings, 'reading')} of {counted(len(now.sources), 'source')} on record"


def _name(stored: StoredSource) -> str:
    return f"{stored.number} {stored.source.name}"


def _up(stored: StoredSource, plan: Plan, i: int) -> UpNow:
    work, head = stored.source.work, plan.heads[i]
    assert work is not None, "it hangs"
    confirmed = ", confirmed" if head.stage is Stage.CONFIRMED else ""
    match = capitalize_first(head_outlook(head)) + doubts_said(plan, i) if head.best else ""
    aim = "" if stored.source.aim.leave else aim_said(stored.source.aim, plan.ladder)
    return UpNow(
        stored.id,
        _name(stored),
        f"{hung_now(work)}{confirmed}",
        " ".join(f"{part}." for part in (aim, match) if part),
        f"{change}." if (change := to_change(head)) else "",
    )


def _at_wrap(now: StoredSet, stored: StoredSource, plan: Plan, i: int) -> UpNow:
    """Return how a head ended that hung at the wrap: nothing is to be checked or changed any more."""
    work, head = stored.source.work, plan.heads[i]
    assert work is not None, "it hung"
    down = ", down" if stored.number in now.down else ""
    match = f"{capitalize_first(head_outlook(head))}." if head.check else ""
    return UpNow(stored.id, _name(stored), f"{hung_now(work)}{down}", match, "")


def _bare(sources: Sequence[StoredSource], *, wrapped: bool) -> str:
    """Say on which sources nothing hangs; empty where something does on all."""
    if not sources:
        return "No source yet."
    bare = [_name(stored) for stored in sources if not stored.hangs]
    if not bare:
        return ""
    if wrapped:
        return f"No gel hung on {', '.join(bare)}."
    return f"{'Nothing hangs yet' if len(bare) == len(sources) else 'Nothing yet'} on {', '.join(bare)}."


def _line(line: ChangeLine) -> DoneLine:
    struck, undone = line.struck is not None, "Brought back" if line.change.after is None else "Undone"
    return DoneLine(
        line=line,
        undone=undone if line.undone else "",
        read_struck=struck and line.takes,
        taken_at=line.taken_at if line.takes else "",
        strikes=line.takes or (struck and line.change.what == "reading.struck"),
    )
