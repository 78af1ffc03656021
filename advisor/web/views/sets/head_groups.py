"""The rows of a set in the order of what they need; those of a large set in groups that are folded."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ....advice.plan.needs import Needs
from ....model import Role
from ...wording.board import tally
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
_ORDER = list(Needs)


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
        return (HeadGroup("sources", "", _anchored(_sorted(entries))),)
    groups = []
    used = [role for role in Role if role in roles]
    for role in used:
        own = [entry for entry, other in zip(entries, roles, strict=True) if other is role]
        for start in range(0, len(own), _IN_A_GROUP):
            part = own[start : start + _IN_A_GROUP]
            words = f"{_WORDS[role]}, " if len(used) > 1 else ""
            names = part[0].name if len(part) == 1 else f"{part[0].name} to {part[-1].name}"
            said = f"{words}{names}: {tally(entry.needs for entry in part)}"
            short = tuple(replace(entry, path=None) for entry in _sorted(part))
            groups.append(HeadGroup(f"sources-{role.value}-{start}", said, short))
    return tuple(groups)


def _sorted(entries: Sequence[HeadEntry]) -> list[HeadEntry]:
    return sorted(entries, key=lambda entry: _ORDER.index(entry.needs))


def _anchored(entries: Sequence[HeadEntry]) -> tuple[HeadEntry, ...]:
    """Mark the first row of each need as the place where a count of the headline leads."""
    seen: set[Needs] = set()
    rows = []
    for entry in entries:
        first = entry.needs not in seen
        seen.add(entry.needs)
        rows.append(replace(entry, anchor=anchor_of(entry.needs)) if first else entry)
    return tuple(rows)
