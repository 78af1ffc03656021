"""Readings behind gels that count for nothing yet: the page asks somebody to check them first.

If the wrong sheet hung, or a digit was typed wrong, such a reading teaches wrong things about the lamp and
its sheets. So it stays out of the fit until they say what it was, or it was read twice. Where it reads as if
another gel hung, other readings behind that stack that are nearer to it than to the prediction stay out too:
they were taken behind the same wrong sheet.
What was read behind sheets that may have burnt or faded stays out until it is told (`learned.burnt`).
Earlier readings of that kind, to which nobody answered, stay out too. They count again once the readings that
count explain them.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ...colour.observer.chromaticity import delta_uv_prime, steps_apart, uv_of_xy
from ...model import Kind, Limits, Reading, Refused, Stage, Work
from ...model.sets.behind import conditions_of, found_as, read_behind, same_but_filled_in, stand_in_use
from ..answer.one_stack import predict_stack, unread
from ..learned.burnt import since_burnt
from ..learned.posterior import unread_so
from ..readings.chromaticity import measure
from ..stacks.bare_behind_gels import worked_out
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, prepare
from .check import JUST_SEEN, Check, compared, predicted_of
from .seen_right import seen_right
from .slip import Slips, slip
from .wrong_gel import mistake


def left_out(bare: PreparedSource, limits: Limits, gel_arrays: GelArrays) -> tuple[Reading, ...]:
    """Return the readings behind gels of a source that count for nothing yet, as `read_behind` has them."""
    source = bare.source
    readings = read_behind(source)
    if not readings or source.reach or unread_so(bare):  # the light of a head goes with its dials
        return ()
    used = stand_in_use(source)
    now = found_as(used, source.work).reading if source.work else None
    # Of what hangs now the page asks by what was predicted when it was hung.
    current = [r for r in readings if now is not None and same_but_filled_in(r, now)]
    asked = _asked(bare, limits, gel_arrays) if current else None
    doubted = [*current] if asked and asked.waits else []
    unasked = [r for r in readings if not (r in current or r.gels_checked)]
    others = [r for r in unasked if conditions_of(r).agrees(used)]
    if asked and asked.gel_doubted:
        behind = sorted(current[0].gels)
        doubted += [r for r in others if sorted(r.gels) == behind and _like(r, asked)]
    unlike = [r for r in others if r not in doubted]
    odd = [r for r in unlike if _odd(unread(bare), r, _before(r, readings), limits, gel_arrays)]
    rest = [r for r in unasked if r not in others]  # at another level it was the same sheet
    if odd and len(readings) > len(with_theirs := _with_same_sheets([*doubted, *odd], rest)):
        known = replace(bare, left_out=with_theirs)
        odd = [r for r in odd if _odd(known, r, _before(r, readings), limits, gel_arrays)]
    odd = [r for r in odd if not _of_its_light(bare, r, readings, odd, limits, gel_arrays)]
    out = _with_same_sheets([*doubted, *odd], rest)
    burnt = since_burnt(source, replace(bare, left_out=out), gel_arrays, limits.accuracy)
    return (*out, *burnt)


def _before(reading: Reading, readings: Sequence[Reading]) -> list[Reading]:
    """Return what was read behind the same stack before a reading, as it stood then."""
    stood = conditions_of(reading)
    index = next(k for k, other in enumerate(readings) if other is reading)
    behind = [r for r in readings[:index] if sorted(r.gels) == sorted(reading.gels)]
    return [r for r in behind if conditions_of(r).agrees(stood)]


def _of_its_light(
    bare: PreparedSource,
    reading: Reading,
    readings: Sequence[Reading],
    odd: Sequence[Reading],
    limits: Limits,
    gel_arrays: GelArrays,
) -> bool:
    """Whether daylight read just before, behind other gels that are not doubted, explains a reading.

    A sky that moved since it was read bare moves all that is read after that. Whether a sheet is doubted must
    not hang on where the head is wanted now: what was right when it was read stays so.
    """
    source = bare.source
    if source.kind is not Kind.DAYLIGHT:
        return False
    index = next(k for k, one in enumerate(readings) if one is reading)
    stood = conditions_of(reading)
    before = [r for r in readings[:index] if r not in odd and conditions_of(r).agrees(stood)]
    if not before or sorted(before[-1].gels) == sorted(reading.gels):
        return False
    try:
        use = worked_out(source.model_copy(update={"readings": before[-1:], "work": None}), gel_arrays)
        then = prepare(source, gel_arrays, bare.wanted, use)
        found = predict_stack(unread(then), limits, gel_arrays, reading.gels, reading.dial)
        there = uv_of_xy(np.array([found.after.x, found.after.y]))
        apart = float(steps_apart(measure(reading).uv, there))
    except Refused:
        return False
    return apart <= max(found.uncertainty_steps, JUST_SEEN)


def _with_same_sheets(doubted: Sequence[Reading], rest: Sequence[Reading]) -> tuple[Reading, ...]:
    sheets = [sorted(r.gels) for r in doubted]
    return (*doubted, *(r for r in rest if sorted(r.gels) in sheets))


def _asked(bare: PreparedSource, limits: Limits, gel_arrays: GelArrays) -> Check | None:
    """Return what was found behind what hangs."""
    work = bare.source.work
    if work is None or not work.hangs:
        return None
    try:
        return compared(bare, work, limits, gel_arrays)
    except Refused:  # the gels no longer make a stack
        return None


def _like(reading: Reading, asked: Check) -> bool:
    """Whether a reading behind a doubted stack is nearer to the doubted reading than to the prediction."""
    try:
        uv = measure(reading).uv
    except Refused:
        return False
    then = measure(Reading(cct=asked.predicted.cct, duv=asked.predicted.duv))
    return bool(delta_uv_prime(uv, asked.white.uv) <= delta_uv_prime(uv, then.uv))


def _odd(
    bare: PreparedSource,
    reading: Reading,
    earlier: Sequence[Reading],
    limits: Limits,
    gel_arrays: GelArrays,
) -> bool:
    """Whether a reading is not what is predicted, and another gel, or none, would explain it.

    It is not, if one of the `earlier` ones behind the same stack shows that the gel is right.
    """
    try:
        predicted = predicted_of(predict_stack(bare, limits, gel_arrays, reading.gels, reading.dial))
        white = measure(reading)
    except Refused:
        return False
    if predicted is None:
        return False
    expected = measure(Reading(cct=predicted.cct, duv=predicted.duv))
    apart = float(steps_apart(white.uv, expected.uv))
    allowed = max(predicted.uncertainty_steps, JUST_SEEN)
    left = float(steps_apart(white.uv, bare.wanted.uv))
    tolerance = limits.tolerance_of(bare.source)
    if apart <= allowed or left <= tolerance:
        return False
    if seen_right(bare, earlier, reading, expected.uv, allowed, tolerance):
        return False
    work = Work(stage=Stage.HUNG, gels=reading.gels, dial=reading.dial)
    if mistake(bare, work, predicted, reading, white, apart, allowed, gel_arrays):
        return True
    typed = slip(reading, white, bare.white, predicted, apart, allowed, bare.source.reading.lux)
    return typed is not None and typed.what is Slips.BARE
