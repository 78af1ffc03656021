"""After hanging: is the light what was predicted and what is wanted; if not, what to change of what hangs.

A reading is as predicted where it lies within the doubt that was stated. What to change goes by all that was
read of the source (`next_move`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...colour.observer.cct import uv_of_cct_duv
from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, uv_of_xy
from ...model import Limits, Predicted, Reading, Seen, SourceAdvice, StackAdvice, Stage, Work
from ..answer.advise import predict_stack
from ..learned.posterior import unread_so
from ..readings.behind_gels import found_in_use, read_at, stand_in_use, stand_when_hung
from ..readings.chromaticity import WhitePoint, measure
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..wording import words
from .next_move import Swap, change_to, next_move, smallest
from .slip import Slip, Slips, slip
from .wrong_gel import Mistake, mistake

JUST_SEEN = 1.0
"""A reading no farther from what was predicted is as predicted, however sure that was. [step] One step
is just visible (CIE TN 001:2014, from memory)."""
_MOVED = 0.5
"""What is further off than when it was hung by less than this is left alone. [step] Our judgement."""
SURE = 0.8
"""What reads within the tolerance, and truly lies there less often, is metered twice.

Tuned on the even rows of the measured lamps (`tests/accuracy/rounds.py`).
"""


@dataclass(frozen=True, eq=False)
class Check:
    """What was read behind a stack, beside what was `predicted` and what is wanted.

    `apart` is how far the reading lies from what was predicted, `left` from what is wanted, and `allowed` how
    far the prediction said that nine in ten may lie, all in steps. `settled` says that it is right: within
    the tolerance, or somebody said that it is right as it is; `moved`, that what is wanted changed since
    somebody said so; `on_edge`, that one reading is within the tolerance and the meter may be as far off as
    that: it is to be read once more. `stops` is how much brighter it is than predicted; None where either has
    no illuminance.

    `swap` is what to change; one without anything to do says that what hangs is the closest there is, and
    None that nobody knows. `smaller` is a change of fewer moves, for whom each is a climb. `mistake` is what
    else may hang that would explain the reading, and `slip` what else may have been typed or read. A reading
    of which the gel is doubted says nothing of what to change until somebody looked.
    """

    reading: Reading
    white: WhitePoint
    predicted: Predicted
    apart: float
    left: float
    allowed: float
    tolerance: float
    settled: bool
    words: str
    stops: float | None
    moved: bool
    on_edge: bool = False
    swap: Swap | None = None
    smaller: Swap | None = None
    mistake: Mistake | None = None
    slip: Slip | None = None

    @property
    def as_predicted(self) -> bool:
        """Whether it reads what was predicted, whatever is wanted now."""
        return self.apart <= self.allowed

    @property
    def gel_doubted(self) -> bool:
        """Whether it reads as if something else hung than is said, or nothing: it then counts for nothing."""
        return self.mistake is not None or bool(self.slip and self.slip.what is Slips.BARE)

    @property
    def reached(self) -> bool:
        """Whether it is within the tolerance of what is wanted."""
        return self.left <= self.tolerance

    @property
    def seen(self) -> Seen:
        """What the eye makes of it beside what is wanted."""
        return words.seen(self.left, self.tolerance)


def check(bare: PreparedSource, work: Work, limits: Limits, gel_arrays: GelArrays) -> Check | None:
    """Compare what was read behind a source's stack as it is used; None where nothing was.

    Raises Refused where what was read is no light, or the stack cannot be predicted.
    """
    checked = compared(bare, work, limits, gel_arrays)
    if checked is None or checked.settled or checked.on_edge or checked.gel_doubted:
        return checked
    move = next_move(bare, work, checked.reading, limits, gel_arrays)
    return replace(checked, swap=move.nearest, smaller=move.least)


def compared(bare: PreparedSource, work: Work, limits: Limits, gel_arrays: GelArrays) -> Check | None:
    """Compare as `check` does, without a word of what to change."""
    found = found_in_use(bare.source, work).reading
    if found is None:
        return None
    predicted = _predicted(bare, work, limits, gel_arrays)
    if predicted is None:
        return None
    white = measure(found)
    expected = uv_of_cct_duv(np.array(predicted.cct), np.array(predicted.duv))
    tolerance = limits.tolerance_of(bare.source)
    left = float(delta_uv_prime(white.uv, bare.wanted.uv)) / STEP_DELTA_UV
    taken = work.steps_off if work.stage is Stage.CONFIRMED and found == work.read_behind else None
    settled = left <= max(tolerance, 0.0 if taken is None else taken + _MOVED)
    on_edge = settled and taken is None and _on_edge(bare, work, found, limits, gel_arrays)
    checked = Check(
        reading=found,
        white=white,
        predicted=predicted,
        apart=float(delta_uv_prime(white.uv, expected)) / STEP_DELTA_UV,
        left=left,
        allowed=max(predicted.uncertainty_steps, JUST_SEEN),
        tolerance=tolerance,
        settled=settled and not on_edge,
        on_edge=on_edge,
        moved=taken is not None and not settled,
        words=words.left_over(left, *white.shift_to(bare.wanted), tolerance, gel_arrays.ladder),
        stops=float(np.log2(found.lux / predicted.lux)) if found.lux and predicted.lux else None,
    )
    if settled or checked.as_predicted or unread_so(bare):
        return checked  # of a level that nobody read, nothing was predicted
    other = mistake(bare, work, predicted, found, white, checked.apart, checked.allowed, gel_arrays)
    typed = slip(found, white, bare.white, predicted, checked.apart, checked.allowed)
    return replace(checked, mistake=other, slip=typed)


def _on_edge(bare: PreparedSource, work: Work, found: Reading, limits: Limits, gel_arrays: GelArrays) -> bool:
    """Whether what was read once within the tolerance, behind gel, may well lie beyond it."""
    if not work.gels or len(read_at(bare.source, work, found)) > 1:
        return False
    return predict_stack(bare, limits, gel_arrays, work.gels, work.dial).within < SURE


def _predicted(bare: PreparedSource, work: Work, limits: Limits, gel_arrays: GelArrays) -> Predicted | None:
    """Return what was predicted when it was hung; where it is used otherwise since, what is predicted so.

    So too where nothing is known of then, as after the reading that it went by was struck out.
    """
    then, hung = work.predicted, stand_when_hung(work)
    if then and (hung is None or hung.agrees(stand_in_use(bare.source))):
        return then
    entry = predict_stack(unread(bare), limits, gel_arrays, work.gels, work.dial)
    return predicted_of(entry, limits.tolerance_of(bare.source)) or then


def unread(bare: PreparedSource) -> PreparedSource:
    """Return a source as if nothing had been read behind gels: a reading is no prediction of itself."""
    readings = [reading for reading in bare.source.readings if not reading.gels]
    return replace(bare, source=bare.source.model_copy(update={"readings": readings, "work": None}))


def like_hung(read: Sequence[WhitePoint], hung: StackAdvice, bare: WhitePoint) -> bool:
    """Whether what was read lies nearer to what a stack does than to the bare source."""
    there = uv_of_xy(np.array([hung.after.x, hung.after.y]))
    from_there, from_bare = (sum(float(delta_uv_prime(w.uv, uv)) for w in read) for uv in (there, bare.uv))
    return from_there <= from_bare


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
    bare: PreparedSource, work: Work, entry: StackAdvice, answer: SourceAdvice, limits: Limits
) -> Swap | None:
    """Return what to change of what was decided where what is wanted changed since; None where it did not.

    That goes by the prediction alone: the stack now leaves more than it did when it was decided for.
    """
    tolerance, before = limits.tolerance_of(bare.source), work.steps_off
    if before is None or entry.miss.steps <= max(tolerance, before) + _MOVED:
        return None
    best = answer.stacks[0] if bare.source.reach else smallest(entry.gels, answer, bare.least_stops)
    swap = change_to(entry, best)
    return swap if swap.some else None
