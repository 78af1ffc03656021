"""The heads of a set in the order of what they need, in folded groups where they are many; one among them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ....advice.plan.head import PlannedSource
from ....advice.plan.needs import Needs, in_order, needs_of, needs_of_each
from ....advice.plan.plan import Plan
from ....model import Role
from ....model.sets.phrases import listed
from ....store import StoredSource
from ...wording.board import STATE_SAID, band_said, tally
from .head_entry import HeadEntry

MOST_UNFOLDED = 40
"""So many heads stand on the page as they are."""
_IN_A_GROUP = 25
_WORDS = {
    Role.KEY: "Key",
    Role.FILL: "Fill",
    Role.BACK: "Back light",
    Role.PRACTICAL: "Practicals",
    Role.OTHER: "Others",
}


@dataclass(frozen=True)
class HeadGroup:
    """Heads that stand together: what they are and what they need, empty where all stand in one."""

    key: str
    said: str
    entries: tuple[HeadEntry, ...]


def anchor_of(need: Needs) -> str:
    """Return where the first head that needs this stands on its page."""
    return f"first-{need}"


def groups_of(entries: Sequence[HeadEntry], roles: Sequence[Role]) -> tuple[HeadGroup, ...]:
    """Return the heads of a set, those that need most first, in the order of their numbers.

    Those of a large set stand in groups by their `roles`, or by their names, without a picture.
    """
    if not entries:
        return ()
    if len(entries) <= MOST_UNFOLDED:
        return (HeadGroup("sources", "", _anchored(_sorted(entries), set())),)
    groups = []
    seen: set[Needs] = set()
    used = [role for role in Role if role in roles]
    for role in used:
        own = [entry for entry, other in zip(entries, roles, strict=True) if other is role]
        for start in range(0, len(own), _IN_A_GROUP):
            part = own[start : start + _IN_A_GROUP]
            words = f"{_WORDS[role]}, " if len(used) > 1 else ""
            names = part[0].name if len(part) == 1 else f"{part[0].name} to {part[-1].name}"
            said = f"{words}{names}: {_tally(part)}"
            short = _anchored([replace(entry, path=None) for entry in _sorted(part)], seen)
            groups.append(HeadGroup(f"sources-{role.value}-{start}", said, short))
    return tuple(groups)


def _tally(entries: Sequence[HeadEntry]) -> str:
    """Say what the heads of a group need; on a wrapped set, which are to strip: “3 to strip, 1 down”."""
    if all(entry.state == STATE_SAID[entry.needs].capitalize() for entry in entries):
        return tally(entry.needs for entry in entries)
    counts = Counter(entry.state.lower() for entry in _sorted(entries))
    return listed([f"{count} {state}" for state, count in counts.items()])


def _sorted(entries: Sequence[HeadEntry]) -> list[HeadEntry]:
    return [entries[k] for k in in_order([entry.needs for entry in entries])]


def _anchored(entries: Sequence[HeadEntry], seen: set[Needs]) -> tuple[HeadEntry, ...]:
    """Mark the first row of each need as the place where a count of the headline leads, if not `seen` yet."""
    rows = []
    for entry in entries:
        first = entry.needs not in seen
        seen.add(entry.needs)
        rows.append(replace(entry, anchor=anchor_of(entry.needs)) if first else entry)
    return tuple(rows)


_IDLE = (Needs.NOTHING, Needs.LEAVE)


@dataclass(frozen=True)
class HeadBand:
    """How a head stands: its words, what it needs, which draws its mark, and whether it is `reached`."""

    words: str
    needs: Needs
    reached: bool


@dataclass(frozen=True)
class Neighbours:
    """The heads before and after one on the board, of those that need hands; of all where no other does.

    `needing` tells which of the two. Both are None where the set has no other head. `board` has the ids
    of all heads as the board has them now, with a minus those that need nothing: “3 1 -2”. The script goes by
    the board as it was when the walk began, so that a head that was done meanwhile keeps its place.
    """

    before: StoredSource | None
    after: StoredSource | None
    needing: bool = True
    board: str = ""


def band_of(head: PlannedSource) -> HeadBand:
    """Return the band of a head."""
    need = needs_of(head)
    return HeadBand(band_said(head, need), need, reached=need is Needs.NOTHING)


def neighbours_of(sources: Sequence[StoredSource], plan: Plan, i: int) -> Neighbours:
    """Return the neighbours of the `i`-th head, in the order of the board and around its ends."""
    needs = needs_of_each(plan.heads)
    board = in_order(needs)
    index = board.index(i)
    around = [*board[index + 1 :], *board[:index]]
    if not around:
        return Neighbours(None, None)
    needing = [k for k in around if needs[k] not in _IDLE]
    others = [sources[k] for k in needing or around]
    said = " ".join(f"{'-' if needs[k] in _IDLE else ''}{sources[k].id}" for k in board)
    return Neighbours(others[-1], others[0], bool(needing), said)
