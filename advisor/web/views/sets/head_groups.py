"""The heads of a large set in groups that are folded: by what they do in the shot, else by their names."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ....advice.plan.head import PlannedSource
from ....model import Role
from ...wording.work import progress
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
    """Heads that stand together: what they are and how far they have come, empty where all stand in one."""

    key: str
    said: str
    entries: tuple[HeadEntry, ...]


def groups_of(entries: Sequence[HeadEntry], heads: Sequence[PlannedSource]) -> tuple[HeadGroup, ...]:
    """Return the heads of a set in groups, in their order; in folded ones each says only what to do."""
    if len(entries) <= MOST_UNFOLDED:
        return (HeadGroup("sources", "", tuple(entries)),)
    both = list(zip(entries, heads, strict=True))
    roles = [role for role in Role if any(head.source.role is role for head in heads)]
    groups = []
    for role in roles:
        own = [(entry, head) for entry, head in both if head.source.role is role]
        for start in range(0, len(own), _IN_A_GROUP):
            part = own[start : start + _IN_A_GROUP]
            words = f"{_WORDS[role]}, " if len(roles) > 1 else ""
            names = part[0][0].name if len(part) == 1 else f"{part[0][0].name} to {part[-1][0].name}"
            said = f"{words}{names}: {progress([head for _, head in part]).partition(': ')[2]}"
            short = tuple(replace(entry, path=None, bare=None, after=None) for entry, _ in part)
            groups.append(HeadGroup(f"sources-{role.value}-{start}", said, short))
    return tuple(groups)
