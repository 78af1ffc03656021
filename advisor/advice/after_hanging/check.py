"""After hanging: is the light as predicted, and as wanted? If not, what should change?

A reading is as predicted if it lies within the doubt that was stated. What to change follows from all
readings of the source (`next_move`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...colour.observer.cct import uv_of_cct_duv
from ...colour.observer.chromaticity import delta_uv_prime, steps_apart, uv_of_xy
from ...model import Limits, Predicted, Reading, Seen, StackAdvice, Stage, Work
from ...model.sets.behind import (
    Conditions,
    found_as,
    read_at,
    same_but_filled_in,
    stand_in_use,
    stand_when_hung,
)
from ..answer.one_stack import landing, predict_stack, unread
from ..learned.burnt import may_have_burnt
from ..learned.light_here import predicted_here, read_here
from ..learned.posterior import unread_so
from ..readings.chromaticity import WhitePoint, measure
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..wording import words
from .edge import near_edge
from .far_off import FarOff, far_off, read_twice
from .mistyped_bare import mistyped_bare
from .next_move import Swap, next_move
from .out_of_date import MOVED
from .seen_right import seen_right, sky_moved
from .signs import other_sign
from .slip import Slip, Slips, slip
from .wrong_gel import Mistake, mistake

JUST_SEEN = 1.0
"""A reading this near to the prediction is as predicted, however small the stated doubt. [step] One step is
just visible (CIE TN 001:2014, from memory)."""


@dataclass(frozen=True, eq=False)
class Check:
    """What was read behind a stack, beside what was `predicted` and what is wanted.

    `apart` [step] is how far the reading lies from the prediction, `left` [step] how far from what is wanted.
    `allowed` [step] is the distance that the prediction gave for nine readings in ten. `settled` is true if
    it is right: within the tolerance, or somebody said that it is right as it is. `moved` is true if what is
    wanted has changed since somebody said so. `on_edge` is true if the only reading is so near to the edge
    of the tolerance that another one may well say otherwise: it should be read once more. `stops` is how much
    brighter it is than predicted; None if either has no illuminance.

    `swap` is what to change. If it has nothing to do, what hangs is the closest there is; None if nobody
    knows. `smaller` is a change of fewer moves, for crews to whom each move is a climb. `mistake` is another
    gel that would explain the reading, `slip` another number or place of the meter that would. `far_off` says
    that nothing would, so it is read again first. If the gel is doubted, the reading says nothing about what
    to change until somebody has looked. `lit_anew` is true if the light changed since the stack was first
    read. `sky_moved` is true of daylight that was read otherwise behind the same gels, and not bare since.
    `other_sign` is what was read before behind the same stack, if that is the reading with the other sign of
    Duv: then one of the two was typed wrong. `level_unsaid` is true where it was read at a level, and nobody
    said at which the head is used, nor at which it was read bare: it may have been dimmed since. `burnt` is
    true where the gel may have burnt or faded, or the lamp changed (`learned.burnt`), and `bare_agrees` where
    it was read bare since, as before. `promised` is what was predicted when it was hung, where `predicted`
    is worked out from the very reading; it is `unforeseen` where nothing was predicted of this light then.
    `lamp_first` is true where it reads like another gel, and nobody read the head bare.
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
    far_off: FarOff | None = None
    lit_anew: bool = False
    sky_moved: bool = False
    other_sign: Reading | None = None
    level_unsaid: bool = False
    burnt: bool = False
    bare_agrees: bool = False
    promised: Predicted | None = None
    unforeseen: bool = False
    lamp_first: bool = False

    @property
    def as_predicted(self) -> bool:
        """Whether it reads what was predicted, whatever is wanted now."""
        return self.apart <= self.allowed

    @property
    def gel_doubted(self) -> bool:
        """Whether it reads as if another gel hung, or none; then it counts for nothing."""
        return self.burnt or self.mistake is not None or bool(self.slip and self.slip.what is Slips.BARE)

    @property
    def waits(self) -> bool:
        """Whether the reading counts for nothing until it was checked: another gel or a slip explains it.

        A slip may be the bare reading's. Then it counts, and so it does where nothing explains it: a lamp
        that drifted reads so.
        """
        typed = self.slip is not None and self.slip.of_bare is None and not self.reading.gels_checked
        return self.gel_doubted or (self.odd and typed)

    @property
    def asks_bare(self) -> bool:
        """Whether a bare reading has to tell whether it is the gel, or the lamp changed."""
        return self.lamp_first or (self.burnt and not self.bare_agrees)

    @property
    def slip_first(self) -> bool:
        """Whether a slip explains the reading first: the gel was off, or no gel fits as well."""
        if self.slip is None or self.mistake is None or self.slip.what is Slips.BARE:
            return self.slip is not None
        if self.slip.what not in (Slips.SWAPPED, Slips.POINT):
            return False  # a wrong sheet is likelier than a wrong leading digit, or a sign that was not read
        # A sheet is never quite its label: within half of the doubt a gel fits as well as exact figures do.
        return self.slip.away < self.mistake.away - max(JUST_SEEN, self.allowed / 2)

    @property
    def odd(self) -> bool:
        """Whether something is to be checked before anything is changed: gel, number, or reading."""
        if self.settled or self.on_edge:
            return False
        if self.other_sign is not None or self.burnt:
            return True
        if self.as_predicted:
            return False
        return self.slip is not None or self.mistake is not None or self.far_off is not None

    @property
    def reached(self) -> bool:
        """Whether it is within the tolerance of what is wanted."""
        return self.left <= self.tolerance

    @property
    def seen(self) -> Seen:
        """What the eye makes of it beside what is wanted."""
        return words.seen(self.left, self.tolerance)


def check(bare: PreparedSource, work: Work, limits: Limits, gel_arrays: GelArrays) -> Check | None:
    """Compare the reading behind a source's stack with the prediction; None without a reading in use.

    Raises Refused if the reading is no real light, or the stack cannot be predicted.
    """
    checked = compared(bare, work, limits, gel_arrays)
    if checked is None or checked.settled or checked.on_edge or checked.gel_doubted:
        return checked
    if not (checked.other_sign or checked.slip) and may_have_burnt(
        bare, checked.reading, gel_arrays, limits.accuracy
    ):
        agrees = work.read_bare in bare.source.readings  # another bare reading came after that
        return replace(checked, burnt=True, bare_agrees=agrees, far_off=None, level_unsaid=False)
    if checked.waits:  # what to do if it is right all the same
        rest = (one for one in bare.left_out if not same_but_filled_in(one, checked.reading))
        bare = replace(bare, left_out=tuple(rest))
    trusted = not (checked.odd or checked.sky_moved)
    move = next_move(bare, work, checked.reading, limits, gel_arrays, trusted=trusted)
    if checked.far_off and move.nearest and move.nearest.result.read:
        return (
            checked  # that was read before, as this one cannot be: which of the two is right is asked first
        )
    return replace(checked, swap=move.nearest, smaller=move.least)


def compared(bare: PreparedSource, work: Work, limits: Limits, gel_arrays: GelArrays) -> Check | None:
    """Compare as `check` does, without saying what to change."""
    used = stand_in_use(bare.source)
    found = found_as(used, work).reading
    if found is None:
        return None
    predicted = _predicted(bare, work, used, limits, gel_arrays)
    if predicted is None:
        return None
    white = measure(found)
    expected = uv_of_cct_duv(np.array(predicted.cct), np.array(predicted.duv))
    tolerance = limits.tolerance_of(bare.source)
    left, apart = steps_apart(white.uv, np.stack([bare.wanted.uv, expected])).tolist()
    taken = work.steps_off if work.stage is Stage.CONFIRMED and found == work.read_behind else None
    settled = left <= max(tolerance, 0.0 if taken is None else taken + MOVED)
    earlier = read_at(bare.source, work, found)
    first = bool(work.gels) and taken is None and len(earlier) <= 1
    edge = first and near_edge(left, bare.wanted, tolerance, limits.accuracy)
    allowed = max(predicted.uncertainty_steps, JUST_SEEN)
    checked = Check(
        reading=found,
        white=white,
        predicted=predicted,
        apart=apart,
        left=left,
        allowed=allowed,
        tolerance=tolerance,
        settled=settled and not edge,
        on_edge=edge,
        moved=taken is not None and not settled,
        words=words.left_over(left, *white.shift_to(bare.wanted), tolerance, gel_arrays.ladder),
        stops=float(np.log2(found.lux / predicted.lux)) if found.lux and predicted.lux else None,
        sky_moved=not settled
        and sky_moved(bare.source, work, earlier, found, white, explained=apart <= allowed),
        other_sign=None if settled else other_sign(found, earlier),
    )
    if settled or edge or checked.as_predicted or checked.other_sign or unread_so(bare):
        return checked  # nothing was predicted for a level that nobody read
    if found.level is not None and stand_in_use(bare.source).level is None:
        return replace(checked, level_unsaid=True)  # a dimmer explains it before any gel does
    if seen_right(bare, earlier, found, expected, checked.allowed, tolerance):
        return checked  # the light is doubted first, and not the gel
    if predicted is work.predicted and _explained(bare, work, white, limits, gel_arrays):
        return checked  # what is known of the sheets by now explains it
    other = mistake(bare, work, predicted, found, white, apart, checked.allowed, gel_arrays)
    lux = bare.source.reading.lux
    typed = slip(found, white, bare.white, predicted, apart, checked.allowed, lux)
    if typed and typed.what is not Slips.BARE and read_twice(white, earlier, limits.accuracy):
        typed = None  # nobody types the same wrong figures twice
    if typed and typed.what is not Slips.BARE and found.gels_checked:
        typed = None  # somebody said that it is right
    odd = replace(checked, mistake=other, slip=typed)
    if typed or (other and other.on_truck and not found.gels_checked):
        return odd
    allowed, accuracy = checked.allowed, limits.accuracy
    hung = found.gels or work.gels
    meant = mistyped_bare(bare, hung, predicted, white, apart, allowed, gel_arrays, accuracy)
    if meant:
        return replace(odd, mistake=None, slip=meant)
    if other:
        return odd
    again = far_off(found, bare.source, predicted, apart, allowed, earlier, limits.accuracy)
    if again:
        hangs = mistake(bare, work, predicted, found, white, apart, allowed, gel_arrays, any_family=True)
        again = replace(again, mistake=hangs)
    return replace(odd, far_off=again)


def _predicted(
    bare: PreparedSource, work: Work, used: Conditions, limits: Limits, gel_arrays: GelArrays
) -> Predicted | None:
    """Return what was predicted when it was hung; what is predicted now, if its use has changed since.

    It is also predicted now if nobody said at which level it was hung, and its level is known by now. Or if
    the old prediction is not known, as when the reading behind it was struck out.
    """
    source, then = bare.source, work.predicted
    hung = stand_when_hung(work)
    unsaid = hung is not None and hung.level is None and used.level is not None
    if then and (hung is None or (hung.agrees(used) and not unsaid)):
        return predicted_here(source, then)
    entry = predict_stack(unread(bare), limits, gel_arrays, work.gels, work.dial)
    now = predicted_of(entry, limits.tolerance_of(source), source.stands_as_far) or then
    if now is None or read_here(source, source.reading):
        return now
    return now.model_copy(update={"lux": None})  # what was read elsewhere says nothing of the light here


def _explained(
    bare: PreparedSource, work: Work, white: WhitePoint, limits: Limits, gel_arrays: GelArrays
) -> bool:
    """Whether a reading is as predicted by what is known now, and not when the stack was hung."""
    now = landing(unread(bare), limits, gel_arrays, work.gels, work.dial)
    apart = float(steps_apart(white.uv, now.outcomes.uv[0]))
    return apart <= max(float(now.sure.steps[0]), JUST_SEEN)


def like_hung(read: Sequence[WhitePoint], hung: StackAdvice, bare: WhitePoint) -> bool:
    """Whether readings are nearer to what a stack should give than to the bare source."""
    there = uv_of_xy(np.array([hung.after.x, hung.after.y]))
    from_there, from_bare = (sum(float(delta_uv_prime(w.uv, uv)) for w in read) for uv in (there, bare.uv))
    return from_there <= from_bare


def predicted_of(entry: StackAdvice, tolerance: float | None = None, as_far: float = 1.0) -> Predicted | None:
    """Return a stack's prediction, to be stored with what hangs; None if the light behind it is no white.

    `tolerance` [step] is the source's: the chance is of landing within it. `as_far` is where it stands.
    """
    if entry.after.cct is None or entry.after.duv is None:
        return None
    return Predicted(
        cct=entry.after.cct,
        duv=entry.after.duv,
        lux=entry.after.lux or None,
        as_far=as_far,
        uncertainty_steps=entry.uncertainty_steps,
        within=None if tolerance is None else entry.within,
        tolerance_steps=tolerance,
    )
