"""After hanging: is the light what was predicted and what is wanted; if not, what to change of what hangs.

What was read behind the stack says more of the lamp than the bare reading did: its spectra are bent so
that behind the stack they are what the meter saw, and the stacks are ranked anew from there.
"""

from collections import Counter
from dataclasses import dataclass, replace

import numpy as np

from ..colour.cct import uv_of_cct_duv
from ..colour.chromaticity import STEP, distance, uv_of_xyz
from ..colour.grid import weights
from ..colour.sources import Unbendable, behind
from ..model import Limits, Predicted, Reading, Refused, Seen, Setting, SourceAdvice, StackAdvice, Stage, Work
from . import words
from .advise import advise_on, predict_stack
from .dial import standing
from .hung import found_in_use, stand_in_use, stand_when_hung
from .levels import held
from .measure import Whiteness, measure, white_at
from .mistake import Mistake, mistake
from .prediction import Bare
from .rack import Rack

_MOST_ALLOWED = 2.0
"""However unsure a prediction is, a reading so many tolerances from it is not as predicted: our judgement."""
WORTH_A_SWAP = 1.0
"""What is as predicted is changed only for something so much nearer. [step] What is just told apart."""
_MOVED = 0.5
"""What is further off than when it was hung by less than this is left alone. [step] Our judgement."""


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
        return bool(self.off or self.on or self.dial)


@dataclass(frozen=True, eq=False)
class Check:
    """What was read behind a stack, beside what was predicted and what is wanted.

    `apart` is how far the reading lies from what was predicted, `left` from what is wanted, and `allowed` the
    tolerance with the uncertainty of the prediction, at most twice the tolerance, all in steps. `settled`
    says that it is right: within the tolerance, or somebody said that it is right as it is; `moved`, that
    what is wanted changed since somebody said so. `stops` is how
    much brighter it is than predicted; None where either has no illuminance. `swap` is what to change, where
    anything is to be, and `mistake` what else may hang that would explain the reading.
    """

    reading: Reading
    white: Whiteness
    apart: float
    left: float
    allowed: float
    tolerance: float
    settled: bool
    words: str
    stops: float | None
    moved: bool
    swap: Swap | None = None
    mistake: Mistake | None = None

    @property
    def as_predicted(self) -> bool:
        """Whether it reads what was predicted, whatever is wanted now."""
        return self.apart <= self.allowed

    @property
    def reached(self) -> bool:
        """Whether it is within the tolerance of what is wanted."""
        return self.left <= self.tolerance

    @property
    def seen(self) -> Seen:
        """What the eye makes of it beside what is wanted."""
        return words.seen(self.left, self.tolerance)


def check(bare: Bare, work: Work, limits: Limits, rack: Rack) -> Check | None:
    """Compare what was read behind a source's stack as it is used; None where nothing was.

    Raises Refused where what was read is no light, or the stack cannot be predicted.
    """
    found = found_in_use(bare.source, work).reading
    if found is None:
        return None
    predicted = _predicted(bare, work, limits, rack)
    if predicted is None:
        return None
    white = measure(found)
    expected = uv_of_cct_duv(np.array(predicted.cct), np.array(predicted.duv))
    tolerance = limits.tolerance_of(bare.source)
    left = float(distance(white.uv, bare.wanted.uv)) / STEP
    taken = work.left if work.stage is Stage.CONFIRMED and found == work.found else None
    settled = left <= max(tolerance, 0.0 if taken is None else taken + _MOVED)
    checked = Check(
        reading=found,
        white=white,
        apart=float(distance(white.uv, expected)) / STEP,
        left=left,
        allowed=min(tolerance + predicted.uncertainty_steps, _MOST_ALLOWED * tolerance),
        tolerance=tolerance,
        settled=settled,
        moved=taken is not None and not settled,
        words=words.left_over(left, *white.shift_to(bare.wanted), tolerance, rack.ladder),
        stops=float(np.log2(found.lux / predicted.lux)) if found.lux and predicted.lux else None,
    )
    if checked.settled:
        return checked
    swap = _swap(bare, work, found, white, limits, rack)
    if checked.as_predicted:
        worth = swap is not None and swap.some and swap.result.miss.steps <= left - WORTH_A_SWAP
        return replace(checked, swap=swap if worth else None)
    other = mistake(bare, work, predicted, found, white, checked.apart, checked.allowed, rack)
    return replace(checked, swap=swap, mistake=other)


def _predicted(bare: Bare, work: Work, limits: Limits, rack: Rack) -> Predicted | None:
    """Return what was predicted when it was hung; where it is used otherwise since, what is predicted so.

    So too where nothing is known of then, as after the reading that it went by was struck out.
    """
    then, hung = work.predicted, stand_when_hung(work)
    if then and (hung is None or hung.agrees(stand_in_use(bare.source))):
        return then
    entry = predict_stack(bare, limits, rack, work.gels, work.dial)
    return predicted_of(entry, limits.tolerance_of(bare.source)) or then


def predicted_of(entry: StackAdvice, tolerance: float | None = None) -> Predicted | None:
    """Return a stack's prediction as it is kept with what hangs; None where the light is no white.

    `tolerance` [step] is the source's, which the chance is of.
    """
    if entry.after.cct is None or entry.after.duv is None:
        return None
    return Predicted(
        cct=entry.after.cct,
        duv=entry.after.duv,
        lux=entry.after.lux or None,
        uncertainty_steps=entry.uncertainty_steps,
        within=None if tolerance is None else entry.within,
        tolerance_steps=tolerance,
    )


def change_unread(
    bare: Bare, work: Work, entry: StackAdvice, answer: SourceAdvice, limits: Limits
) -> Swap | None:
    """Return what to change of what was decided where what is wanted changed since; None where it did not.

    That goes by the prediction alone: the stack now leaves more than it did when it was decided for.
    """
    tolerance, before = limits.tolerance_of(bare.source), work.left
    if before is None or entry.miss.steps <= max(tolerance, before) + _MOVED:
        return None
    best = answer.stacks[0] if bare.source.reach else _smallest(bare, Counter(entry.gels), answer)
    swap = change_to(entry, best)
    return swap if swap.some else None


def change_to(hung: StackAdvice, stack: StackAdvice) -> Swap:
    """Return the change, of the dials too, from what hangs to a stack."""
    off, on = _change(Counter(hung.gels), stack)
    return Swap(off, on, stack, stack.dial if stack.dial != hung.dial else None)


def seen_through(bare: Bare, work: Work, found: Reading, white: Whiteness, rack: Rack) -> Bare:
    """Return the bare source as what was `found` behind its stack, of a `white`, shows it to be.

    What it has to lose for the key's sake follows from its light; it has no dials here, and no limit of its
    own any more. Raises Unbendable where no light of its kind looks so behind the stack.
    """
    sheets = rack.product(rack.find(work.gels))
    stood = standing(bare, work.dial)
    lit = behind(stood.ensemble, sheets, white.uv)
    uv = uv_of_xyz(lit.mean @ weights())
    seen = white_at(uv)
    if seen is None:
        raise Unbendable("the light without its gels would be no white")
    passed = float(lit.mean @ (weights()[:, 1] * sheets))
    lux = found.lux / passed if found.lux and passed > 0 else None
    reading = Reading(cct=seen.cct, duv=seen.duv, lux=held(lux) if lux else None)
    source = bare.source.model_copy(update={"reading": reading, "reach": None, "over_key": None})
    over, was = bare.over, bare.source.reading.lux
    if over is not None and was and reading.lux:
        over += float(np.log2(reading.lux / was))
    return replace(stood, source=source, white=seen, ensemble=lit, doubt=0.0, over=over)


def _swap(
    bare: Bare, work: Work, found: Reading, white: Whiteness, limits: Limits, rack: Rack
) -> Swap | None:
    """Return the change of gels that leads to the best stack, the smallest change of those that tie."""
    try:
        seen = seen_through(bare, work, found, white, rack)
        alone = limits.model_copy(update={"share_stock": False})
        [answer] = advise_on([seen], alone, rack).answers
    except (Refused, Unbendable):
        return None

    hung = Counter(rack.names[i] for i in rack.find(work.gels))
    best = _smallest(seen, hung, answer)
    return Swap(*_change(hung, best), best.model_copy(update={"dial": work.dial}))


def _smallest(bare: Bare, hung: Counter[str], answer: SourceAdvice) -> StackAdvice:
    """Return, of the stacks that look the same as the first, that of the smallest change."""

    def size(stack: StackAdvice) -> tuple[float, int]:
        # They are the same by their colour: one that leaves it too bright is no smaller change.
        off, on = _change(hung, stack)
        return round(max(bare.least_stops - stack.stops, 0.0), 1), len(off) + len(on)

    return min([answer.stacks[0], *(s for s in answer.stacks if s.same_as == 0)], key=size)


def _change(hung: Counter[str], wanted: StackAdvice) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the gels to take off and those to add, which lead from what hangs to a stack."""
    then = Counter(wanted.gels)
    return tuple((hung - then).elements()), tuple((then - hung).elements())
