"""A way on for a set that no longer fits: its white, and what each source does in it."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import NamedTuple

from ...model import Seen, Setting, Target
from ..cost.counted import MOVE_IN_STEPS
from ..readings.chromaticity import WhitePoint

EVEN = 1e-6
"""Misses that differ by less are equal. [step]"""


class PlanWay(StrEnum):
    """What a plan keeps: the white that was held, what moved, or the gels."""

    HOLD = "hold"
    FOLLOW = "follow"
    WHITE = "white"


@dataclass(frozen=True)
class Turn:
    """What one source does in a plan: gels off and on, its dials where they turn, and what comes of it.

    `gels` hang then. `steps` is its miss and `before` the one it has as it hangs, at the plan's white.
    `passed` is the share of the light of what hangs now that is left then. One that comes near enough is
    `unsure` where its doubt is so large that its own page tells it as off.
    """

    index: int
    name: str
    gels: tuple[str, ...]
    off: tuple[str, ...]
    on: tuple[str, ...]
    dial: Setting | None
    steps: float
    before: float
    beyond: float
    seen: Seen
    passed: float
    standing: Setting | None = None
    unsure: bool = False

    @property
    def moves(self) -> int:
        """Sheets that come off or go on."""
        return len(self.off) + len(self.on)

    @property
    def climbs(self) -> bool:
        """Whether somebody has to go to it: a sheet comes off, or goes on."""
        return bool(self.moves)


class PlanCut(NamedTuple):
    """A cut that goes up; `sized` says whether anybody gave the size of what it covers."""

    gel: str
    sized: bool


@dataclass(frozen=True, eq=False)
class NextPlan:
    """One way on. `stops` is the light lost at the subject against now; None where nobody metered it.

    `again` are cuts that are down, or come down, and go up elsewhere, `fresh` those that are new.
    """

    way: PlanWay
    target: Target
    white: WhitePoint
    turns: tuple[Turn, ...]
    stops: float | None
    again: tuple[PlanCut, ...]
    fresh: tuple[PlanCut, ...]

    @property
    def moves(self) -> int:
        """Sheets that come off or go on, over the set."""
        return sum(turn.moves for turn in self.turns)

    @property
    def heads(self) -> tuple[Turn, ...]:
        """The sources that somebody has to go to."""
        return tuple(turn for turn in self.turns if turn.climbs)

    @property
    def turned(self) -> tuple[Turn, ...]:
        """The sources whose dials are turned."""
        return tuple(turn for turn in self.turns if turn.dial is not None)

    @cached_property
    def miss(self) -> float:
        """By how much its sources miss their tolerances, added up. [step]"""
        return sum(turn.beyond for turn in self.turns)

    @property
    def cost(self) -> float:
        """The miss, plus a fixed cost for each move. [step]"""
        return self.miss + MOVE_IN_STEPS * self.moves

    @property
    def off(self) -> tuple[Turn, ...]:
        """The sources that will not match, the farthest first."""
        return tuple(sorted((t for t in self.turns if t.beyond > EVEN), key=lambda turn: -turn.steps))

    @property
    def unsure(self) -> tuple[Turn, ...]:
        """The sources that come near enough as predicted, but may well be off."""
        return tuple(turn for turn in self.turns if turn.unsure)


@dataclass(frozen=True, eq=False)
class NextPlans:
    """At most three plans, the fewest moves first, of equal ones the least miss.

    `moved` are the sources whose light moved; of them `levels` are used at another dim level. `white_moved`
    says that the target was changed by hand.
    `left_out` are the sources that do not take part.
    """

    plans: tuple[NextPlan, ...]
    moved: tuple[str, ...]
    white_moved: bool
    left_out: tuple[str, ...]
    levels: tuple[str, ...] = ()
