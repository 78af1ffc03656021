"""Why what was decided for a head is not what is advised now: what changed since, and when."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ...advice.plan.head import PlannedSource
from ...advice.plan.plan import Plan
from ...model.sets.phrases import white
from ...store import StoredSet, StoredSource
from ...store.tables.records import Change
from ..state import state

_IN_ORDER = (
    "The target changed",
    "The level changed",
    "The modifier changed",
    "What you want from it changed",
    "It is another head",
    "Its test changed",
    "It was read again",
    "Its reading was fixed",
    "The kind changed",
    "Its limits changed",
    "The limits changed",
    "The gel table changed",
)
"""What is said first where several things changed."""
_DETAILS = {
    "level": "The level changed",
    "modifier": "The modifier changed",
    "tolerance_steps": "Its limits changed",
    "max_layers": "Its limits changed",
    "no_gel": "Its limits changed",
    "only_gels": "Its limits changed",
    "reach": "Its limits changed",
}
_FIELDS = {"aim": "What you want from it changed", "kind": "The kind changed", "keep": "Its limits changed"}


@dataclass(frozen=True)
class Since:
    """What changed since something was decided, in words, and when; `at` is empty where nobody knows."""

    words: str
    at: str = ""


def reasons(now: StoredSet, plan: Plan) -> dict[int, Since]:
    """Say why, by the number of each source whose plan is out of date, or that hangs what it should not."""
    stale = [(s, h) for s, h in zip(now.sources, plan.heads, strict=True) if is_stale(h)]
    if not stale:
        return {}
    changes = state().sets.history(now.id)
    tables = [version.made_at for version in state().gels.history() if version.made_at]
    return {stored.id: _reason(now, stored, head, changes, tables) for stored, head in stale}


def target_moved_said(now: StoredSet) -> str:
    """Say what the target of a set is now, and who changed it: “Target is now 5 000 K. Bo changed it.”"""
    changes = [change for change in state().sets.history(now.id) if change.what == "set.changed"]
    by = next((c for c in reversed(changes) if _targets(c.before) != _targets(c.after)), None)
    who = by.who if by else ""
    changed = f"{'You' if who == state().sets.who else who} changed it" if who else "It was changed meanwhile"
    return f"Target is now {white(now.target)}. {changed}."


def _targets(image: dict[str, Any] | None) -> Any:
    return [(image or {}).get(field) for field in ("target", "target_source_id")]


def is_stale(head: PlannedSource) -> bool:
    """Whether what was decided for a head is not what is wanted now."""
    if head.instead:  # somebody said already what to make of it
        return False
    return head.outdated or head.change is not None or bool(head.check and head.check.moved)


def _reason(
    now: StoredSet,
    stored: StoredSource,
    head: PlannedSource,
    changes: Sequence[Change],
    tables: Sequence[str],
) -> Since:
    if head.over:
        return Since(f"Over its limit: {head.over}")
    since = _decided_at(stored.id, changes)
    if since is None:
        return Since("Another stack is advised")
    later = changes[since + 1 :]
    behind = state().sets.behind_gels(_read_in(later, stored.id))
    found = list(_changed(now, stored.id, later, behind))
    found += [Since("The gel table changed", at) for at in tables if at > changes[since].at]
    if not found:
        return Since("Another stack is advised")
    first = min(found, key=lambda one: _IN_ORDER.index(one.words))
    return max((one for one in found if one.words == first.words), key=lambda one: one.at)


def _read_in(later: Sequence[Change], source_id: int) -> set[int]:
    """Return the readings, by their ids, that changes of a source made its newest, or filed for others."""
    own = [change for change in later if change.source_id == source_id]
    newest = {after["reading_id"] for change in own if (after := change.after or {}).get("reading_id")}
    return newest | {new for change in own for _, new in change.mended}


def _decided_at(source_id: int, changes: Sequence[Change]) -> int | None:
    """Return the index of the change with which what is decided for a source now was decided."""
    for index in range(len(changes) - 1, -1, -1):
        change = changes[index]
        if change.source_id == source_id and _decision(change.before) != _decision(change.after):
            return index
    return None


def _decision(image: dict[str, Any] | None) -> Any:
    work = (image or {}).get("details", {}).get("work")
    return work and (work.get("gels"), work.get("dial"), work.get("stage") == "planned")


def _changed(
    now: StoredSet, source_id: int, later: Sequence[Change], behind: Collection[int]
) -> Iterator[Since]:
    """Go through later changes; what was read `behind` gels, by its id, is no other light of the source."""
    for change in later:
        before, after = change.before or {}, change.after or {}
        if change.source_id is None and change.what == "set.changed":
            if _targets(before) != _targets(after):
                yield Since("The target changed", change.at)
            if before.get("limits") != after.get("limits"):
                yield Since("The limits changed", change.at)
        read = before.get("reading_id") != after.get("reading_id")
        if read and change.source_id is not None and change.source_id == now.target_source_id:
            yield Since("The target changed", change.at)
        if change.source_id == source_id:
            if change.unit:
                heads = [
                    (image.get("details", {}).get("test") or {}).get("head") for image in (before, after)
                ]
                same = heads[0] == heads[1]
                yield Since("Its test changed" if same else "It is another head", change.at)
            elif change.mended:
                if not all(new in behind for _, new in change.mended):
                    yield Since("Its reading was fixed", change.at)
            elif read and after.get("reading_id") not in behind:
                yield Since("It was read again", change.at)
            yield from _fields(before, after, change.at)


def _fields(before: dict[str, Any], after: dict[str, Any], at: str) -> Iterator[Since]:
    was, here = before.get("details", {}), after.get("details", {})
    yield from (Since(says, at) for name, says in _DETAILS.items() if was.get(name) != here.get(name))
    yield from (Since(says, at) for name, says in _FIELDS.items() if before.get(name) != after.get(name))
