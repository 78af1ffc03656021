"""A gel that somebody types as a modifier: its colour would count as the head's own, and hang once more."""

import re
from collections.abc import Iterable, Sequence

from ...imports.gels.asked_names import NamesInTable
from ...model import Gel, Refused
from ...model.sets.phrases import listed
from ..wording.values import gel

_PARTS = re.compile(r"\s*[+&,;]\s*|\s+(?:and|with)\s+", re.IGNORECASE)


def gels_in(modifier: str, gels: Sequence[Gel]) -> list[str]:
    """Return the gels that a modifier names and that move colour, as the table calls them; mostly none."""
    colours = {one.name for one in gels if not one.neutral}
    parts = [part for part in _PARTS.split(modifier) if part]
    return [name for name in NamesInTable(gels).of(parts) if name in colours]


def gel_as_modifier(modifier: str, gels: Sequence[Gel]) -> str:
    """Say the gels that a modifier names, as the pages write them; empty where it names none."""
    return listed([gel(name) for name in gels_in(modifier, gels)])


def refuse_gels(modifiers: Iterable[str], gels: Sequence[Gel], where: str, allowed: str) -> None:
    """Raise Refused at the field `where` for a modifier that is a gel; `allowed` says what to do instead."""
    named = dict.fromkeys(name for modifier in modifiers for name in gels_in(modifier, gels))
    if named:
        are = "is a gel, not a modifier" if len(named) == 1 else "are gels, not modifiers"
        raise Refused.one(where, f"{listed([gel(name) for name in named])} {are}", allowed)


IN_A_TEST = "a test without it: what to hang is worked out from that. One that stays on is said on the set"
ON_A_SET = "a softbox or a grid, say. A gel is said to hang, then it is metered with it on"
