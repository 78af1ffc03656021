"""A head that goes by its test: does what was read behind its gels come from that light?

A reading behind a gel says which bare light it comes from, as far as the gel, the kind of lamp and the meter
are known. Where that is not the light of the test, in mired and green together, a weak sheet may be why, or
another head or lamp. A bare reading tells which, so it is asked for before gel is moved.
"""

from collections.abc import Sequence

import numpy as np

from ...colour.observer.chromaticity import PER_STEP
from ...model import Limits
from ..readings.chromaticity import WhitePoint
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .one_stack import landing, unread

_SELDOM = 5.99
"""A light may come from the test if χ² with two degrees of freedom is no more than this: 19 in 20 do. That
is what the scatter allows which is told, and less comes of it (README)."""
_LEAST = 3.0
"""What is nearer to what the test gives is close, however sure that is. [step] The usual tolerance."""


def unlike_test(
    bare: PreparedSource, white: WhitePoint, gels: Sequence[str], limits: Limits, gel_arrays: GelArrays
) -> bool:
    """Whether a `white` read behind gels does not come from the light of a test that nobody read bare here.

    Raises Refused for gels that are not in the table.
    """
    source = bare.source
    if source.reading.tested_at is None or source.reach:
        return False
    if any(not reading.tested_at for reading in source.bare_readings):
        return False
    there = landing(unread(bare), limits, gel_arrays, gels)
    off = (white.uv - there.outcomes.uv[0]) * PER_STEP
    places, shares = there.sure.offsets[0], there.judge.bare.ensemble.weights
    around = places - shares @ places
    covariance = there.sure.covariance[0] + (shares[:, None] * around).T @ around
    square = float(off @ np.linalg.solve(covariance, off))
    return square > _SELDOM and float(np.hypot(*off)) > _LEAST
