"""The list of heads, and what was done to one of them."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from ....model import KnownHead
from ....model.sets.phrases import counted, listed
from ....store.known_heads.known import HeadChange, HeadSummary, StoredTest
from ...wording.values import when_said

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
    """A change of a head in words, and whether it can be undone."""

    id: int
    words: str
    at: str
    who: str
    undoable: bool


@dataclass(frozen=True)
class HeadTestLine:
    """A test of a head: when, and how far it came; `done` where all was read."""

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
        tested = f"tested {when_said(one.tested_at)}, {counted(one.readings, 'reading')}"
    return ListedHead(one.stored.id, head.name, f"{head.kind.words}, {tested}")


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
        return f"{counted(len(test.readings), 'reading')} kept from {test.test.on_set}"
    return f"{len(test.readings)} of {len(test.test.steps)} read"


def changes_said(changes: Sequence[HeadChange]) -> tuple[ChangeSaid, ...]:
    """Say what was done to a head."""
    return tuple(
        ChangeSaid(c.id, _said(c), c.at, c.who, not c.undone and c.what not in _NOT_UNDONE) for c in changes
    )


def _said(change: HeadChange) -> str:
    words = _WHAT[change.what]
    if change.before and change.after:
        fields = [k for k in KnownHead.model_fields if getattr(change.before, k) != getattr(change.after, k)]
        words = f"{words}: {listed(fields)}"
    return f"{words} (undone)" if change.undone else words
