"""What to change next in a stack that hangs: the change that is worth most, and perhaps a smaller one."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...colour.observer.chromaticity import STEP_DELTA_UV
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.spectra.sources import Unbendable
from ...model import Kind, Limits, Reading, Refused, Setting, SourceAdvice, StackAdvice, Work
from ...model.sets.behind import changed
from ..answer.advise import advise_on
from ..answer.correcting import correcting
from ..cost.counted import MOVE_IN_STEPS
from ..cost.judge import Judge
from ..cost.loss import chance_within
from ..dials.ranking import standing
from ..learned.informed import judge_of
from ..ranking.first_line import first_line
from ..stacks.enumerate import NONE
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..wording.words import times_in_ten

WORTH_A_SWAP = 1.0
"""A change has to bring the light this much nearer to be worth it: a difference that is just visible.
[step]"""
_LIKELY, _OFTEN = 0.5, 0.3
"""A change is advised if it will more likely than not bring the light within the tolerance, or a step nearer.
It is also advised if it will more likely than not bring the light nearer at all, and three times in ten
within the tolerance."""
_MOVED = 0.5
"""What hangs stays only if nothing was read that is nearer by more than this. [step] Our judgement."""
_CLIMB = 1.5
"""The cost of a move if each move is a climb, in place of MOVE_IN_STEPS. [step] Common practice, no
source."""
_SELDOM = 0.3
"""The chance of ending the work that a smaller change needs, or else as good a chance as the nearest has.
Nobody climbs twice to save a move."""
_SAME_MIRED, _SAME_CC = 3.0, 1.0
"""Stacks whose labels add up to within this are the same light in other sheets. About a step each."""
_PLAINLY = 0.25
"""The same light in other sheets has to be this much surer of ending the work. Our judgement."""

_UNREAD_DIAL = 5.0 * STEP_DELTA_UV
"""How far off the light may be at a dial setting that nobody read bare. Our judgement. [Δu′v′]"""


@dataclass(frozen=True)
class Swap:
    """A change to what hangs: gels to take off and gels to add. With neither, it stays as it is.

    `dial` is the setting to turn the dials to first, None where they stay.
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
    def stays(self) -> tuple[str, ...]:
        """The gels that hang and are left up."""
        return tuple((Counter(self.result.gels) - Counter(self.on)).elements())

    @property
    def adds_to(self) -> tuple[str, ...]:
        """The gels that hang, if gel is only added to them; empty if nothing hangs or something comes off."""
        return () if self.off else self.stays

    @property
    def moves(self) -> int:
        """How many sheets come off or go on, plus one if the dials are turned."""
        return len(self.off) + len(self.on) + (self.dial is not None)


@dataclass(frozen=True)
class NextMove:
    """The change that is worth most, and a smaller one that is worth more if each move is a climb.

    Each is None where there is none. If `nearest` has nothing to do, what hangs is the closest.
    """

    nearest: Swap | None
    least: Swap | None = None


def next_move(
    bare: PreparedSource,
    work: Work,
    found: Reading,
    limits: Limits,
    gel_arrays: GelArrays,
    *,
    trusted: bool = True,
) -> NextMove:
    """Return what to do about what hangs, where `found`, the reading behind it, is not as wanted.

    It uses all readings of the source (`learned`). It never goes back to a stack that read worse, and tries a
    new one only if that is likely enough to help. The dials stay. `nearest` is None where nothing can be
    advised. Where nothing is likely close, a weak gel against what was read may be (`correcting`):
    where the reading is `trusted`, and no daylight moved that nobody read bare since.
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
    maybe = likely(now, answer, judge_of(stood, gel_arrays, limits))
    nearer = [stack for stack in maybe if not _no_more_than_now(stack, now, gel_arrays)]
    back = any(stack.read and stack.miss.steps < now.miss.steps - _MOVED for stack in nearer)
    stacks = nearer if back else [now, *nearer]
    move = worth_most([_swap(hung, stack, work) for stack in stacks])
    moved = bare.source.kind is Kind.DAYLIGHT and bare.doubt > 0.0
    if (
        move.nearest is not None
        and trusted
        and not moved
        and max(move.nearest.result.within, now.within) < _LIKELY
    ):
        read = [hung, *(stack.gels for stack in answer.stacks if stack.read and stack is not now)]
        if corrected := correcting(stood, read, limits, gel_arrays):
            return NextMove(_swap(hung, corrected, work))
    if move.nearest is None or not move.nearest.some:
        return move
    nearest = _swap(hung, first_line([move.nearest.result, *answer.stacks], stood.least_stops), work)
    least = move.least if move.least and move.least.moves < nearest.moves else None
    return NextMove(nearest, least)


def worth_most(swaps: Sequence[Swap]) -> NextMove:
    """Return the change that is worth most, and a smaller one that is worth more if each move is a climb.

    A change costs what its stack costs, plus a fixed cost for each move.
    """

    def cost(swap: Swap, move: float) -> float:
        return swap.result.cost + move * swap.moves

    nearest = min(swaps, key=lambda swap: cost(swap, MOVE_IN_STEPS))
    surely = min(nearest.result.within, _SELDOM)
    fewer = [s for s in swaps if 0 < s.moves < nearest.moves and s.result.within >= surely]
    least = min([nearest, *fewer], key=lambda swap: cost(swap, _CLIMB))
    if least is nearest:
        return NextMove(nearest, None)
    # What is told with as good a chance, and takes fewer moves still, is less work than that.
    told = times_in_ten(least.result.within)
    same = [swap for swap in fewer if times_in_ten(swap.result.within) >= told]
    return NextMove(nearest, min(same, key=lambda swap: (swap.moves, cost(swap, _CLIMB))))


def likely(now: StackAdvice, answer: SourceAdvice, judge: Judge) -> list[StackAdvice]:
    """Return the stacks other than `now` that are likely to bring the light within the tolerance, or nearer.

    Nearer is what is nearer than anything that was read: of the stacks that were read, only the best one can
    be among them, if it is nearer than what hangs.
    """
    read = [stack for stack in answer.stacks if stack.read]
    best = min(read, key=lambda stack: stack.miss.steps)
    back = [best] if best is not now and best.miss.steps < now.miss.steps else []
    others = [stack for stack in answer.stacks if not stack.read]
    if not others:
        return back
    width = max(stack.layers for stack in others)
    stacks = np.full((len(others), width), NONE, dtype=np.intp)
    for row, stack in enumerate(others):
        stacks[row, : stack.layers] = judge.gel_arrays.find(stack.gels)
    sure = judge.certainty(stacks)

    def chance(steps: float) -> Array:
        return chance_within(sure.offsets, judge.shares, sure.covariance, steps)

    off, tolerance = min(best.miss.steps, now.miss.steps), judge.limits.tolerance_steps
    helps = chance(max(off - WORTH_A_SWAP, tolerance)) >= _LIKELY
    helps |= (chance(tolerance) >= _OFTEN) & (chance(off) >= _LIKELY)
    return back + [stack for stack, helpful in zip(others, helps, strict=True) if helpful]


def _no_more_than_now(stack: StackAdvice, now: StackAdvice, gel_arrays: GelArrays) -> bool:
    """Whether a stack that nobody read is by its labels what hangs `now`, and is not plainly better.

    Sheets of one label differ: another draw seems a little better, and the climb is for nothing.
    """
    if stack.read or stack.within >= now.within + _PLAINLY:
        return False
    there, here = gel_arrays.find(stack.gels), gel_arrays.find(now.gels)
    mired, cc = (float(of[there].sum() - of[here].sum()) for of in (gel_arrays.mired, gel_arrays.cc))
    return abs(mired) <= _SAME_MIRED and abs(cc) <= _SAME_CC


def change_to(hung: StackAdvice, stack: StackAdvice) -> Swap:
    """Return the change from what hangs to a stack, dials included."""
    off, on = changed(hung.gels, stack.gels)
    return Swap(off, on, stack, stack.dial if stack.dial != hung.dial else None)


def smallest(hung: Sequence[str], answer: SourceAdvice, least_stops: float) -> StackAdvice:
    """Return the stack with the smallest change of those that look the same as the first.

    If the first was read, return it: no prediction replaces a reading.
    """

    def size(stack: StackAdvice) -> tuple[float, int]:
        # They look the same in colour only. Leaving the light too bright counts before the size of a change.
        off, on = changed(hung, stack.gels)
        return round(max(least_stops - stack.stops, 0.0), 1), len(off) + len(on)

    first = first_line(answer.stacks, least_stops)
    if first.read or first is not answer.stacks[0]:
        return first
    same = [s for s in answer.stacks if s.same_as == 0 and not s.read]
    return min([first, *same], key=size)


def _swap(hung: Sequence[str], stack: StackAdvice, work: Work) -> Swap:
    return Swap(*changed(hung, stack.gels), stack.model_copy(update={"dial": work.dial}))


def _as_it_stands(bare: PreparedSource, work: Work, found: Reading, gel_arrays: GelArrays) -> PreparedSource:
    """Return the source with its dials where they are now, as bright as it was found behind the gels.

    How much light it has to lose, to stay below the key, follows from that. The dials stay where they are.
    Raises Unbendable where no light of its kind has the chromaticity that the dials say.
    """
    stood = standing(bare, work.dial)
    read = bare.source.reading
    if bare.source.reach is not None:
        dial = work.dial or read.dial
        read = Reading(cct=stood.white.cct, duv=stood.white.duv, lux=read.lux, level=read.level, dial=dial)
        then = {name: getattr(bare.source.reading, name) for name in ("modifier", "as_far", "lux_as_far")}
        read = read.model_copy(update=then)
    passed = float((stood.ensemble.mean * gel_arrays.product(gel_arrays.find(work.gels))) @ weights()[:, 1])
    over, doubt = stood.over, stood.doubt
    if work.dial not in (None, bare.source.reading.dial):
        doubt = max(doubt, _UNREAD_DIAL)
    if over is not None and found.lux and read.lux and passed > 0.0:
        over += float(np.log2(found.lux / (passed * read.lux)))
    source = bare.source.model_copy(update={"reading": read, "reach": None, "over_key": None})
    return replace(stood, source=source, over=over, doubt=doubt)
