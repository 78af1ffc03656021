"""Racks, readings and limits for the tests of dials."""

import numpy as np

from advisor.advice.dials.ranking import dialled, landing_dialled
from advisor.advice.dials.search import scatter_of
from advisor.advice.ranking.report import stack_reports
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.colour.observer.cct import moves_at
from advisor.colour.observer.chromaticity import lengths
from advisor.model import EXACT, Limits
from tests.advice.heads import dial, white
from tests.advice.rows import nominal

ROWS = nominal()
RACK = gel_arrays_of(tuple(ROWS))
ALL = [dial(3200), dial(5600, 6), dial(5600, -6), dial(5600)]
"""Readings that teach the whole mapping."""
LIMITS = Limits(max_layers=2, accuracy=EXACT)
BARE = np.zeros((1, 0), dtype=np.intp)


def asked(source, cct=4300.0, duv=0.0, gel_arrays=RACK):
    return prepare(source, gel_arrays, white(cct, duv))


def scatter(mapped):
    """Return how far a mapping may be off, as the search has it: mean squares in Δu′v′."""
    return scatter_of(mapped, *lengths(moves_at(1e6 / mapped.mired, mapped.duv)))


def ranked(source, cct=4300.0, duv=0.0, gel_arrays=RACK, limits=LIMITS):
    return dialled(asked(source, cct, duv, gel_arrays), limits, gel_arrays).stacks


def predict_dialled(bare, limits, gel_arrays, stack, setting):
    """Predict one stack, (1, w), at one setting."""
    [[entry]] = stack_reports([landing_dialled(bare, limits, gel_arrays, stack, setting)])
    return entry.model_copy(update={"dial": setting})
