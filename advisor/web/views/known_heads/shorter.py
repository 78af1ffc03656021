"""A long test, and the shortest one that still tells how the head behaves: what each reads, what is lost."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....model import HeadTest
from ....model.sets.known_head import MOST_STEPS, HeadStep
from ....model.sets.phrases import dial_said, listed, percent, percents
from ...wording.values import capitalize_first

_LONG = 12
"""More readings than this are a long test: half an hour and more with one head. Our judgement."""
_WORTH = 0.5
"""A shorter plan is offered where it takes at most this share of the whole. Our judgement."""


@dataclass(frozen=True)
class ShorterPlan:
    """A short test beside the whole: how many readings each takes, what it reads, and what it does not.

    `can_be_whole` says whether the whole is not too long for one test.
    """

    readings: int
    whole: int
    reads: tuple[str, ...]
    lost: str
    can_be_whole: bool


def shorter_plan(test: HeadTest) -> ShorterPlan | None:
    """Return the short plan of a test; None where the test is no long one, or the plan hardly shorter."""
    short, whole = test.short_steps, len(test.whole_steps)
    if whole <= _LONG or len(short) > _WORTH * whole:
        return None
    return ShorterPlan(len(short), whole, _reads(short, test), _lost(short, test), whole <= MOST_STEPS)


def _reads(short: Sequence[HeadStep], test: HeadTest) -> tuple[str, ...]:
    """Say what a short test reads: a line for modifiers read at the same levels, one for the dials."""
    at: dict[tuple[float, ...], list[str]] = {}
    for modifier in test.modifiers:
        levels = dict.fromkeys(step.level for step in short if step.setup.modifier == modifier)
        at.setdefault(tuple(levels), []).append(modifier or "bare")
    said = [f"{listed(modifiers)} at {percents(levels)}" for levels, modifiers in at.items()]
    dials = list(dict.fromkeys(step.setup.dial for step in short if step.setup.dial))
    if len(dials) > 1:
        said.append(f"dials at {' · '.join(map(dial_said, dials))}, each at {percent(max(test.levels))}")
    return tuple(f"{capitalize_first(one)}." for one in said)


def _lost(short: Sequence[HeadStep], test: HeadTest) -> str:
    """Say what a short test does not read."""
    levels = {step.level for step in short if step.setup.modifier == test.modifiers[-1]}
    lost = ["levels in between"] if len(levels) < len(test.levels) else []
    if len({step.setup.dial for step in short}) < len(test.dials):
        lost.append("dials in between")
    if len(test.dials) > 1 and len(test.levels) > 1:
        lost.append("other dials lower down")
    return listed(lost)
