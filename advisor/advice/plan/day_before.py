"""A stack that hung the day before, planned again: what is known of it goes before what is predicted.

What was read behind the stack then says how far the prediction for the light of then was off, in (u, v) and
in light. The prediction for the light of today is moved by as much: with the same bare reading it is what was
read then, and a lamp that drifted takes its drift along. Daylight that changed between the two readings of
the day before tells nothing, nor does that of a day on which it read otherwise bare.
"""

from math import sqrt

import numpy as np

from ...colour.observer.cct import uv_of_cct_duv
from ...colour.observer.chromaticity import steps_apart, uv_of_xy
from ...colour.spectra.sources import Unbendable
from ...model import Kind, Limits, Predicted, Refused, StackAdvice, WantedOffset, Work
from ...model.sets.behind import as_far_as
from ..after_hanging.check import JUST_SEEN
from ..answer.one_stack import predict_stack
from ..learned.taken import lit_otherwise
from ..readings.chromaticity import WhitePoint, measure, white_at
from ..readings.dim_curve import InUse
from ..readings.steps import meter_steps
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, prepare

_OTHER_LIGHT = 2.0
"""Daylight that reads so many times as far from its prediction as nine in ten do changed after it was read
bare. Our judgement."""


def as_before(
    bare: PreparedSource, work: Work, entry: StackAdvice, limits: Limits, gel_arrays: GelArrays
) -> Predicted | None:
    """Return what a planned stack will do, by what was read behind it the day before; None if nothing was.

    `entry` is its prediction for today. It may be off by what two readings of the meter may.
    """
    if (
        work.read_day_before is None
        or work.read_bare is None
        or entry.after.cct is None
        or entry.after.duv is None
        or (bare.source.kind is Kind.DAYLIGHT and lit_otherwise(bare.source, work.read_bare, limits.accuracy))
    ):
        return None
    then = bare.source.model_copy(
        update={"level": None, "modifier": None, "aim": WantedOffset(), "work": None}
    )
    try:
        stood = prepare(then, gel_arrays, bare.wanted, InUse(work.read_bare))
        entry_then = predict_stack(stood, limits, gel_arrays, work.gels, work.dial)
        predicted = entry_then.after
        read = measure(work.read_day_before)
    except (Refused, Unbendable):
        return None
    if predicted.cct is None or predicted.duv is None:
        return None
    if _of_another_light(bare, entry_then, read):
        return None
    was = uv_of_cct_duv(np.array(predicted.cct), np.array(predicted.duv))
    today = uv_of_cct_duv(np.array(entry.after.cct), np.array(entry.after.duv))
    white = white_at(today + read.uv - was)
    if white is None:
        return None
    lux = entry.after.lux
    same = as_far_as(work.read_bare.as_far, work.read_day_before.as_far)
    if lux and predicted.lux and work.read_day_before.lux and same:
        lux *= work.read_day_before.lux / predicted.lux
    return Predicted(
        cct=white.cct,
        duv=white.duv,
        lux=min(lux, 1e6) if lux else None,
        uncertainty_steps=sqrt(2.0) * meter_steps(white, limits.accuracy),
    )


def _of_another_light(bare: PreparedSource, then: StackAdvice, read: WhitePoint) -> bool:
    """Whether daylight changed between the two readings of the day before: then they tell of no gel."""
    if bare.source.kind is not Kind.DAYLIGHT:
        return False
    expected = uv_of_xy(np.array([then.after.x, then.after.y]))
    apart = float(steps_apart(expected, read.uv))
    return apart > _OTHER_LIGHT * max(then.uncertainty_steps, JUST_SEEN)
