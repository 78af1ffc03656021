"""The list of heads, and what was done to one of them."""

import itertools
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from ....advice.readings.chromaticity import measure
from ....model import HeadReading, HeadSetup, KnownHead, Reach
from ....model.sets.known_head import HeadStep
from ....model.sets.phrases import counted, listed, signed
from ....store.known_heads.known import HeadChange, HeadSummary, StoredTest
from ...wording.values import lux, when_said, white_said

_WHAT = {
    "head.added": "Added",
    "head.imported": "Added from a file",
    "head.changed": "Changed",
    "head.deleted": "Removed",
    "head.restored": "Brought back",
    "test.begun": "Test begun",
    "test.imported": "Test added from a file",
    "test.kept": "Kept from a set",
    "test.removed": "Test removed",
    "test.back": "Test brought back",
    "reading.taken": "Reading taken",
    "reading.imported": "Reading added from a file",
    "reading.struck": "Reading struck out",
    "reading.back": "Reading brought back",
}
_NOT_UNDONE = {"head.added", "head.imported"}


@dataclass(frozen=True)
class ListedHead:
    """A head in the list: how it was tested."""

    id: int
    name: str
    said: str


@dataclass(frozen=True)
class HeadLines:
    """Heads of one group, which is empty for those of none."""

    group: str
    lines: tuple[ListedHead, ...]


@dataclass(frozen=True)
class ChangeSaid:
    """A change of a head in words; `id` is the change that a tap takes back, None for none.

    `undone` is the change that undid it, where it is undone: a tap then brings back what it did.
    """

    id: int | None
    words: str
    at: str
    who: str
    undone: HeadChange | None


@dataclass(frozen=True)
class HeadTestLine:
    """A test of a head: when, and how far it came; `done` where all that it needs was read."""

    id: int
    begun_at: str
    said: str
    some: bool
    done: bool


def groups_of(heads: Sequence[HeadSummary]) -> tuple[HeadLines, ...]:
    """Return the heads, which stand by group, a group at a time."""
    by_group = itertools.groupby(heads, key=lambda one: one.stored.head.group)
    return tuple(HeadLines(group, tuple(_line(one) for one in some)) for group, some in by_group)


def _line(one: HeadSummary) -> ListedHead:
    head = one.stored.head
    tested = "not tested yet"
    if one.test_id is not None:
        whole = one.on_set or one.readings >= one.steps
        read = counted(one.readings, "reading") if whole else f"{one.readings} of {one.steps} read"
        if one.tests > 1:
            all_read = f"{counted(one.in_all, 'reading')} in {counted(one.tests, 'test')}"
            read = all_read if whole else f"{read}, {all_read}"
        since = f", on a set {when_said(one.kept_at)}" if one.kept_at else ""
        tested = f"tested {when_said(one.tested_at)}, {read}{since}"
    return ListedHead(one.stored.id, head.name, f"{head.kind.words}, {tested}")


def green_range(reach: Reach | None) -> str:
    """Say what a head's green dial can do: “, green −10 to +10”; empty without one."""
    if reach is None or reach.green_from == reach.green_to == 0.0:
        return ""
    return f", green {signed(reach.green_from, 0)} to {signed(reach.green_to, 0)}"


def tests_said(tests: Sequence[StoredTest]) -> tuple[HeadTestLine, ...]:
    """Say how far each test came."""
    return tuple(
        HeadTestLine(
            id=t.id,
            begun_at=t.begun_at,
            said=_how_far(t),
            some=bool(t.readings),
            done=bool(t.test.on_set) or not t.unread,
        )
        for t in tests
    )


def _how_far(test: StoredTest) -> str:
    if test.test.on_set:
        lamp = ", new lamp" if test.test.new_lamp else ""
        return f"{counted(len(test.readings), 'reading')} kept from {test.test.on_set}{lamp}"
    needed = test.test.needed
    more = sum(step >= needed for step in test.readings)
    said = f"{needed - len(test.unread)} of {needed} read" + (f", and {more} more" if more else "")
    return f"Short test, {said}" if test.test.short else said


def tests_counted(tests: Sequence[StoredTest]) -> str:
    """Count tests, and apart from them what was kept from sets: “1 test, 1 kept from a set”."""
    kept = sum(bool(test.test.on_set) for test in tests)
    own = [counted(len(tests) - kept, "test")] if len(tests) > kept else []
    return ", ".join(own + ([f"{kept} kept from sets" if kept > 1 else "1 kept from a set"] if kept else []))


def changes_said(changes: Sequence[HeadChange], tests: Sequence[StoredTest]) -> tuple[ChangeSaid, ...]:
    """Say what was done to a head, of changes from the newest on; `tests` are its own.

    An undo has no line of its own: it stands at what it undid, so that no line moves under the thumb.
    """
    by = {c.undoes: c for c in reversed(changes) if c.undoes is not None}
    lamps = {test.id for test in tests if test.test.new_lamp}
    return tuple(_change(c, by, lamps) for c in changes if c.undoes is None)


def _change(change: HeadChange, by: Mapping[int, HeadChange], lamps: Set[int]) -> ChangeSaid:
    last = change
    while last.id in by:
        last = by[last.id]
    undoable = None if change.what in _NOT_UNDONE else last.id
    words = _said(change) + (", new lamp" if change.what == "test.kept" and change.part in lamps else "")
    return ChangeSaid(undoable, words, change.at, change.who, last if change.undone else None)


def _said(change: HeadChange) -> str:
    words = _WHAT[change.what]
    if change.before and change.after:
        fields = [k for k in KnownHead.model_fields if getattr(change.before, k) != getattr(change.after, k)]
        words = f"{words}: {listed(fields)}"
    return f"{words}: {_read(change.reading)}" if change.reading else words


def _read(reading: HeadReading) -> str:
    """Say a reading with its level, modifier and dials: “50 %, dish: 5 790 K, Duv −0.0010, 1 000 lx”."""
    white = measure(reading)
    figures = [white_said(white.cct, white.duv), lux(reading.lux)]
    step = HeadStep(HeadSetup(reading.modifier, reading.dial), reading.level)
    return f"{step.words}: {', '.join(said for said in figures if said)}"
