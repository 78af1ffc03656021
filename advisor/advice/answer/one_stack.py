"""Where the light of a source lands behind one stack that somebody names, and what an answer says of it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ...model import Limits, Setting, StackAdvice
from ..dials.ranking import landing_dialled
from ..learned.informed import judge_of
from ..ranking.pareto import Ranked
from ..ranking.report import stack_reports
from ..stacks.enumerate import Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, lets_through


def predict_stack(
    bare: PreparedSource,
    limits: Limits,
    gel_arrays: GelArrays,
    gels: Sequence[str],
    dial: Setting | None = None,
) -> StackAdvice:
    """Predict gels by name, and a setting of the dials if one is given. Raises Refused as `landing` does."""
    [[entry]] = stack_reports([landing(bare, limits, gel_arrays, gels, dial)])
    return entry if dial is None else entry.model_copy(update={"dial": dial})


def landing(
    bare: PreparedSource,
    limits: Limits,
    gel_arrays: GelArrays,
    gels: Sequence[str],
    dial: Setting | None = None,
) -> Ranked:
    """Return where the light lands behind gels by name, at a setting of the dials if one is given.

    Raises Refused for either, and for gels that let no light through.
    """
    indices = gel_arrays.find(gels, "stack")
    lets_through(bare.ensemble, gel_arrays, indices, "stack")
    stack = np.array([indices], dtype=np.intp).reshape(1, -1)
    if dial is not None:
        return landing_dialled(bare, limits, gel_arrays, stack, dial)
    judge = judge_of(bare, gel_arrays, limits)
    return Ranked(judge, stack, *judge.landed(stack))


def predict_one(bare: PreparedSource, limits: Limits, gel_arrays: GelArrays, stack: Indices) -> StackAdvice:
    """Predict a single stack, (1, w) indices into the gel table."""
    judge = judge_of(bare, gel_arrays, limits)
    [[entry]] = stack_reports([Ranked(judge, stack, *judge.landed(stack))])
    return entry


def unread(bare: PreparedSource) -> PreparedSource:
    """Return a source without its readings behind gels, so that a reading does not predict itself."""
    readings = [reading for reading in bare.source.readings if not reading.gels]
    return replace(bare, source=bare.source.model_copy(update={"readings": readings, "work": None}))
