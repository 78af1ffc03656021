"""One question for heads alike: for whom an answer does too, and what was answered for all at once."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.overview.alike import asked_alike
from ....advice.plan.plan import Plan
from ....model.sets.phrases import counted, listed
from ....store import StoredSet, StoredSource

_MOST_NAMED = 4


@dataclass(frozen=True)
class AlikeHeads:
    """Heads alike that are asked the same: their ids, and their names in words."""

    ids: tuple[int, ...]
    words: str


@dataclass(frozen=True)
class AnsweredTogether:
    """What was answered for several heads at once, and by which changes."""

    changes: tuple[int, ...]
    words: str


def alike_heads(now: StoredSet, plan: Plan, i: int) -> AlikeHeads | None:
    """Return the heads for which an answer about the `i`-th does too; None where there are none."""
    others = [now.sources[k] for k in asked_alike(plan, i)]
    if not others:
        return None
    return AlikeHeads(tuple(one.id for one in others), f"{_named(others)} too")


def answered_together(now: StoredSource, changes: Sequence[int]) -> AnsweredTogether | None:
    """Return what was answered for a head and others alike, by these changes; None for one head alone."""
    if len(changes) < 2:
        return None
    return AnsweredTogether(tuple(changes), f"{counted(len(changes), 'head')}: {now.source.kind.words}.")


def _named(sources: Sequence[StoredSource]) -> str:
    names = [one.source.name for one in sources]
    if len(names) <= _MOST_NAMED:
        return listed(names)
    return f"{names[0]} to {names[-1]}, {counted(len(names), 'head')},"
