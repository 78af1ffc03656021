"""A head that goes by its test: does what was read behind its gels come from that light?

A reading behind a gel says which bare light it comes from, as far as the gel, the kind of lamp and the meter
are known. Where that is not the light of the test, in mired and green together, a sheet that is not as its
label may be why, or another head or lamp. A bare reading tells which, so it is asked for before gel is moved.
"""

from collections.abc import Sequence

import numpy as np

from ...colour.observer.chromaticity import PER_STEP
from ...colour.observer.data import Array
from ...model import Accuracy, Limits, Source
from ..learned.unknowns import hues
from ..readings.chromaticity import WhitePoint
from ..stacks.enumerate import Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, stacked
from .one_stack import landing, unread

_SELDOM = 5.99
"""A light may come from the test if χ² with two degrees of freedom is no more than this: 19 in 20 do. Of
invented heads and sheets that are as doubtful as is told, no more did (`tests.advice.answer`)."""
_LEAST = 3.0
"""What is nearer to what the test gives is close, however sure that is. [step] The usual tolerance."""


def unlike_test(
    bare: PreparedSource, white: WhitePoint, gels: Sequence[str], limits: Limits, gel_arrays: GelArrays
) -> bool:
    """Whether a `white` read behind gels does not come from the light of a test that nobody read bare here.

    All that a prediction counts is in doubt: the lamp, the strength and the dye of each sheet, the meter, how
    far the head may be off its test, and a level between those tested; on top the hue of each sheet.
    Raises Refused for gels that are not in the table.
    """
    if not by_test_alone(bare.source):
        return False
    there = landing(unread(bare), limits, gel_arrays, gels)
    off = (white.uv - there.outcomes.uv[0]) * PER_STEP
    places, shares = there.sure.offsets[0], there.judge.bare.ensemble.weights
    around = places - shares @ places
    covariance = there.sure.covariance[0] + (shares[:, None] * around).T @ around
    covariance = covariance + _hue(bare, there.stacks, gel_arrays, limits.accuracy)
    square = float(off @ np.linalg.solve(covariance, off))
    return square > _SELDOM and float(np.hypot(*off)) > _LEAST


def by_test_alone(source: Source) -> bool:
    """Whether a source without dials goes by a test of its head, and nobody read it bare here."""
    if source.reading.tested_at is None or source.reach:
        return False
    return all(reading.tested_at for reading in source.bare_readings)


def _hue(bare: PreparedSource, stacks: Indices, gel_arrays: GelArrays, accuracy: Accuracy) -> Array:
    """Return the covariance (2, 2) [step²] of a stack's sheets that are greener or less than their labels."""
    filters = stacked(gel_arrays.transmittances, stacks)
    [moves] = hues(bare, gel_arrays, stacks, filters, accuracy)
    return np.asarray(moves.T @ moves)
