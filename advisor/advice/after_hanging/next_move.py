"""What to do next to what hangs: the change that is worth most, and a smaller one where that differs."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...colour.chromaticity import STEP_DELTA_UV
from ...colour.grid import weights
from ...colour.sources import Unbendable
from ...model import Limits, Reading, Refused, Setting, SourceAdvice, StackAdvice, Work
from ..answer.advise import advise_on
from ..dials.ranking import standing
from ..readings.behind_gels import changed
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource

WORTH_A_SWAP = 1.0
"""What was read bare only is changed for something so much nearer. [step] What is just told apart."""
_LIKELY = 0.2
"""What lands within the tolerance less often is not tried, unless it is expected to be nearer."""
_WORTH = 0.5
"""A smaller change is offered beside the nearest where it is worth at least this share of what that is."""

_UNREAD_DIAL = 5.0 * STEP_DELTA_UV
"""How far off a setting of the dials may be that nobody read bare: our judgement. [Δu′v′]"""


@dataclass(frozen=True)
class Swap:
    """What to do to what hangs: gels to take off and gels to add; neither is leaving it as it is.

    `dial` is where to turn its dials first, None where they stay.
    """

    off: tuple[str, ...]
    on: tuple[str, ...]
    result: StackAdvice
    dial: Setting | None = None

    @property
    def some(self) -> bool:
        """Whether there is anything to do."""
        return bool(self.moves)

    @property
    def adds_to(self) -> tuple[str, ...]:
        """What hangs, where gel is only added to it; empty where nothing does, or something comes off."""
        stays = Counter(self.result.gels) - Counter(self.on)
        return () if self.off else tuple(stays.elements())

    @property
    def moves(self) -> int:
        """How many sheets are taken off or hung, and dials set."""
        return len(self.off) + len(self.on) + (self.dial is not None)


@dataclass(frozen=True)
class NextMove:
    """The change that is worth most, and one of fewer moves that is worth half as much; None where none is.

    A `nearest` without anything to do says that what hangs is the closest.
    """

    nearest: Swap | None
    least: Swap | None = None


def next_move(
    bare: PreparedSource, work: Work, found: Reading, limits: Limits, gel_arrays: GelArrays
) -> NextMove:
    """Return what to do about what hangs, of which something was `found` that is not as it is wanted.

    It goes by all that was read of the source (`learned`): what was read as worse is not gone back to, and
    what may be nearer is tried only while that is likely enough. The dials stay.
    """
    try:
        stood = _as_it_stands(bare, work, found, gel_arrays)
        [answer] = advise_on([stood], limits.model_copy(update={"share_stock": False}), gel_arrays).answers
    except (Refused, Unbendable):
        return NextMove(None)
    hung = [gel_arrays.names[i] for i in gel_arrays.find(work.gels)]
    best = _next(answer)
    if best is answer.stacks[0]:
        best = smallest(hung, answer, stood.least_stops)
    nearest = _swap(hung, best, work)
    if not nearest.some or not any(stack.read for stack in answer.stacks):
        return NextMove(nearest)
    known = min(stack.cost for stack in answer.stacks if stack.read)
    worth = _WORTH * (known - best.cost)
    swaps = [_swap(hung, s, work) for s in answer.stacks if known - s.cost >= max(worth, 0.0)]
    fewer = [swap for swap in swaps if 0 < swap.moves < nearest.moves]
    least = min(fewer, key=lambda swap: (swap.moves, swap.result.cost), default=None)
    return NextMove(nearest, least)


def _next(answer: SourceAdvice) -> StackAdvice:
    """Return the first stack in the ranking that was read, or is likely to be nearer than any that was.

    A try that is not expected to be nearer has to land within the tolerance now and then.
    """
    read = [stack.read.steps for stack in answer.stacks if stack.read]
    near = min(read, default=np.inf)
    for stack in answer.stacks:
        if stack.read or stack.miss.expected_steps < near or stack.within >= _LIKELY:
            return stack
    return answer.stacks[0]


def change_to(hung: StackAdvice, stack: StackAdvice) -> Swap:
    """Return the change, of the dials too, from what hangs to a stack."""
    off, on = changed(hung.gels, stack.gels)
    return Swap(off, on, stack, stack.dial if stack.dial != hung.dial else None)


def smallest(hung: Sequence[str], answer: SourceAdvice, least_stops: float) -> StackAdvice:
    """Return, of the stacks that look the same as the first, that of the smallest change.

    What was read is no guess, so nothing stands in for it.
    """

    def size(stack: StackAdvice) -> tuple[float, int]:
        # They are the same by their colour: one that leaves it too bright is no smaller change.
        off, on = changed(hung, stack.gels)
        return round(max(least_stops - stack.stops, 0.0), 1), len(off) + len(on)

    first = answer.stacks[0]
    same = [] if first.read else [s for s in answer.stacks if s.same_as == 0 and not s.read]
    return min([first, *same], key=size)


def _swap(hung: Sequence[str], stack: StackAdvice, work: Work) -> Swap:
    return Swap(*changed(hung, stack.gels), stack.model_copy(update={"dial": work.dial}))


def _as_it_stands(bare: PreparedSource, work: Work, found: Reading, gel_arrays: GelArrays) -> PreparedSource:
    """Return the source with its dials where they stand, and its light as it was found behind the gels.

    What it has to lose for the key's sake follows from its light; its dials stay where they are. Raises
    Unbendable where no light of its kind is what the dials say.
    """
    stood = standing(bare, work.dial)
    read = bare.source.reading
    if bare.source.reach is not None:
        dial = work.dial or read.dial
        read = Reading(cct=stood.white.cct, duv=stood.white.duv, lux=read.lux, level=read.level, dial=dial)
        read = read.model_copy(update={"modifier": bare.source.reading.modifier})
    passed = float((stood.ensemble.mean * gel_arrays.product(gel_arrays.find(work.gels))) @ weights()[:, 1])
    over, doubt = stood.over, stood.doubt
    if work.dial not in (None, bare.source.reading.dial):
        doubt = max(doubt, _UNREAD_DIAL)
    if over is not None and found.lux and read.lux and passed > 0.0:
        over += float(np.log2(found.lux / (passed * read.lux)))
    source = bare.source.model_copy(update={"reading": read, "reach": None, "over_key": None})
    return replace(stood, source=source, over=over, doubt=doubt)
