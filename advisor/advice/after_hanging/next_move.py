"""What to do next to what hangs: the change that is worth most, and a smaller one where that differs."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...colour.observer.chromaticity import STEP_DELTA_UV
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.spectra.sources import Unbendable
from ...model import Limits, Reading, Refused, Setting, SourceAdvice, StackAdvice, Work
from ..answer.advise import advise_on
from ..cost.counted import MOVE_IN_STEPS
from ..cost.judge import Judge
from ..cost.loss import chance_within
from ..dials.ranking import standing
from ..learned.informed import judge_of
from ..readings.behind_gels import changed
from ..stacks.enumerate import NONE
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource

WORTH_A_SWAP = 1.0
"""What was read bare only is changed for something so much nearer. [step] What is just told apart."""
_LIKELY, _OFTEN = 0.5, 0.3
"""A change is told where it is likelier than not to bring the light in, or nearer by a step; or nearer at
all, while it brings the light in three times in ten."""
_CLIMB = 1.5
"""What a move costs where each is a climb, in place of MOVE_IN_STEPS. [step] Common practice, no source."""
_SELDOM = 0.3
"""Nobody climbs twice to save a move: a smaller change that is the last less often than this is not offered
where the nearest is likelier to be."""

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
    """The change that is worth most, and a smaller one that is worth more where each move is a climb.

    None where none is. A `nearest` without anything to do says that what hangs is the closest.
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
    now = next((s for s in answer.stacks if s.read and sorted(s.gels) == sorted(hung)), None)
    if now is None:
        return NextMove(_swap(hung, smallest(hung, answer, stood.least_stops), work))
    nearer = likely(now, answer, judge_of(stood, gel_arrays, limits))
    return worth_most([_swap(hung, stack, work) for stack in (now, *nearer)])


def worth_most(swaps: Sequence[Swap]) -> NextMove:
    """Return the change that is worth most, and the smaller one that would be if each move were a climb.

    What a change costs is what its stack costs and so much for each move.
    """

    def cost(swap: Swap, move: float) -> float:
        return swap.result.cost + move * swap.moves

    nearest = min(swaps, key=lambda swap: cost(swap, MOVE_IN_STEPS))
    surely = min(nearest.result.within, _SELDOM)
    fewer = (s for s in swaps if 0 < s.moves < nearest.moves and s.result.within >= surely)
    least = min([nearest, *fewer], key=lambda swap: cost(swap, _CLIMB))
    return NextMove(nearest, None if least is nearest else least)


def likely(now: StackAdvice, answer: SourceAdvice, judge: Judge) -> list[StackAdvice]:
    """Return the stacks that are likely to help beside `now`: to bring the light in, or nearer.

    Of what was read, only what was read as best may be gone back to.
    """
    read = [stack for stack in answer.stacks if stack.read]
    best = min(read, key=lambda stack: stack.miss.steps)
    others = [stack for stack in answer.stacks if not stack.read or (stack is best is not now)]
    if not others:
        return []
    width = max(stack.layers for stack in others)
    stacks = np.full((len(others), width), NONE, dtype=np.intp)
    for row, stack in enumerate(others):
        stacks[row, : stack.layers] = judge.gel_arrays.find(stack.gels)
    sure = judge.certainty(stacks)

    def chance(steps: float) -> Array:
        return chance_within(sure.places, judge.shares, sure.covariance, steps)

    off, tolerance = now.miss.steps, judge.limits.tolerance_steps
    helps = chance(max(off - WORTH_A_SWAP, tolerance)) >= _LIKELY
    helps |= (chance(tolerance) >= _OFTEN) & (chance(off) >= _LIKELY)
    return [stack for stack, told in zip(others, helps, strict=True) if told]


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
