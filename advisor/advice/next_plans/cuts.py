"""Which cuts come down and go up again elsewhere, and which have to be new, once a way on is taken.

They are shared out as the pull list and the work order share them out, so that all say the same to the cut.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ...model import Source
from ..plan.plan import Plan
from ..pull_list.lines import GelUse, LooseCut
from ..pull_list.reuse import cuts_down
from ..pull_list.uses import HeadMoves, taken_by
from .way import PlanCut, Turn


class PlanCuts(NamedTuple):
    """The cuts of a way on: those that go up `again`, and those that are new."""

    again: tuple[PlanCut, ...]
    fresh: tuple[PlanCut, ...]


@dataclass(frozen=True)
class AtHand:
    """The cuts that are down before anything is done, and the indices of a plan's heads as the crew walks.

    Without a `walk` it is the plan's order.
    """

    cuts: tuple[LooseCut, ...] = ()
    walk: tuple[int, ...] = ()


NOTHING = AtHand()
"""No cuts are down, and the walk is the plan's."""


def fallen_from(source: Source) -> list[LooseCut]:
    """Return the cuts that came down with a head that failed."""
    return cuts_down(source.name, source.openings, source.hanging or ())


def cuts_for(plan: Plan, turns: Sequence[Turn], at_hand: AtHand) -> PlanCuts:
    """Return the cuts for what sources do in a way on; all others do what is planned for them already."""
    moves = {
        (0, turn.index): HeadMoves(
            tuple((Counter(turn.gels) - Counter(turn.on)).elements()),
            turn.off,
            turn.on,
            hangs=plan.heads[turn.index].source.hanging is not None,
        )
        for turn in turns
    }
    found = taken_by([plan], at_hand.cuts, [at_hand.walk] if at_hand.walk else (), moves)
    ours = [(name, use) for name, uses in found.uses.items() for use in uses if use.index in moves]
    own = [(name, use) for name, use in ours if not use.hangs]
    return PlanCuts(
        tuple(cut for name, use in own if use.reused for cut in _cuts(name, use)),
        tuple(cut for name, use in own if not use.reused for cut in _cuts(name, use)),
    )


def _cuts(name: str, use: GelUse) -> Iterator[PlanCut]:
    for _ in range(use.cuts):
        yield PlanCut(name, bool(use.openings))
