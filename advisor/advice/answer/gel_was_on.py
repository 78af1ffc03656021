"""A bare reading that reads like the lamp behind its gel: was the gel on?

Who hangs gel without a link, or tells nobody, leaves the next one to meter it as bare. What is then read is
far from the bare lamp, and near to what was predicted behind the gel. So that is asked first.
"""

from collections.abc import Sequence

import numpy as np

from ...colour.observer.cct import uv_of_cct_duv
from ...colour.observer.chromaticity import steps_apart
from ...model import Accuracy, Kind, Limits, Reading, Refused, Source, StackAdvice
from ..learned.taken import changed
from ..ranking.first_line import first_line
from ..readings.chromaticity import WhitePoint, measure
from ..readings.dim_curve import InUse
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, prepare
from .advise import advise_on
from .one_stack import predict_stack, unread

_CLEARLY = 1 / 3
"""The gel explains a reading if that is so much nearer to the prediction than to the bare lamp. Our
judgement, as in `after_hanging.slip`."""
_SHEETS = 4.0
"""A sheet off its label moves as much from the prediction, however small the stated doubt. [step] Our
judgement."""


def gel_was_on(
    source: Source, wanted: WhitePoint, limits: Limits, gel_arrays: GelArrays
) -> StackAdvice | None:
    """Return the stack behind which the bare reading that counts reads as if it was taken; None of most.

    It is what hangs or is planned, else what was advised by the bare reading before. None for daylight, which
    moves by itself, for adjustable heads, where somebody looked, and where it was read twice.
    """
    was = _read_before(source, limits.accuracy)
    if was is None:
        return None
    before = source.model_copy(update={"reading": was, "work": None, "level": None, "modifier": None})
    try:
        bare = unread(prepare(before, gel_arrays, wanted, InUse(was)))
        stack = _hung_or_advised(bare, source, limits, gel_arrays)
        return stack if stack and _fits(source.reading, was, stack) else None
    except Refused:
        return None


def _read_before(source: Source, accuracy: Accuracy) -> Reading | None:
    """Return the bare reading before the one that counts, if they differ by more than the meter does."""
    now, aim = source.reading, source.aim
    if (
        not source.readings
        or source.reach
        or source.kind is Kind.DAYLIGHT
        or now.gels_checked
        or not now.said
        or aim.leave
    ):
        return None
    _, was = changed(source, accuracy)
    alike = [one for one in source.readings if not one.gels and one.said and not one.tested_at]
    return was if was is not None and alike[-1] == was else None


def _hung_or_advised(
    bare: PreparedSource, source: Source, limits: Limits, gel_arrays: GelArrays
) -> StackAdvice | None:
    work = source.work
    if work is not None:
        gels: Sequence[str] = work.gels
        return predict_stack(bare, limits, gel_arrays, gels) if gels else None
    alone = limits.model_copy(update={"share_stock": False})
    [answer] = advise_on([bare], alone, gel_arrays).answers
    first = first_line(answer.stacks, bare.least_stops)
    return first if sorted(first.gels) != sorted(source.keep) else None


def _fits(now: Reading, was: Reading, stack: StackAdvice) -> bool:
    """Whether a reading is clearly nearer to a stack's prediction than to the bare lamp as it read before."""
    then = stack.after
    if then.cct is None or then.duv is None:
        return False
    white, bare = measure(now), measure(was)
    expected = uv_of_cct_duv(np.array(then.cct), np.array(then.duv))
    from_gelled, from_bare = steps_apart(white.uv, np.stack([expected, bare.uv])).tolist()
    if from_gelled > min(max(stack.uncertainty_steps, _SHEETS), _CLEARLY * from_bare):
        return False
    if not (now.lux and was.lux and then.lux):
        return True
    return abs(float(np.log2(now.lux / then.lux))) <= abs(float(np.log2(now.lux / was.lux)))
