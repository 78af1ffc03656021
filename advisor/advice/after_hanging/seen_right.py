"""A gel that was seen to be right: somebody looked at it, or its reading was once what the stack gives.

If the same stack then reads otherwise, the light is doubted first: a sky moves, and a sheet stays what it is.
So what was read since counts, and nobody is asked for the gel. What else may hang is still offered.
"""

from collections.abc import Sequence

from ...colour.observer.chromaticity import steps_apart
from ...colour.observer.data import Array
from ...model import Kind, Reading, Refused, Source, Work
from ...model.sets.behind import same_but_level
from ..readings.chromaticity import WhitePoint, measure
from ..stacks.prediction import PreparedSource

_ONE_LIGHT = 2.0
"""Readings of one light, by one meter, lie nearer together than this. [step] Our judgement."""


def sky_moved(
    source: Source,
    work: Work,
    behind: Sequence[Reading],
    found: Reading,
    white: WhitePoint,
    *,
    explained: bool,
) -> bool:
    """Whether daylight was read otherwise `behind` the same stack than `found`, `white`, and not bare since.

    Then nobody knows what it is bare, and that is metered before gel is given up. One that was read bare
    while the stack hung, and whose reading is `explained` by that, need not be read bare again.
    """
    if source.kind is not Kind.DAYLIGHT or work.read_bare not in (None, source.reading):
        return False
    if explained and work.read_bare is not None and work.predicted is None:
        return False
    return any(
        not (same_but_level(one, found) or _near(one, white.uv, _ONE_LIGHT, white.uv, _ONE_LIGHT))
        for one in behind
    )


def seen_right(
    bare: PreparedSource,
    behind: Sequence[Reading],
    found: Reading,
    expected: Array,
    allowed: float,
    tolerance: float,
) -> bool:
    """Whether a reading before `found`, of those `behind` the same stack, was as it should be.

    It was if it lies within `allowed` [step] of what is `expected`, (u, v), (2,), or within the `tolerance`
    [step] of what is wanted. Of daylight any will do; of a lamp, whose light stays, only the first. The sheet
    behind which one of daylight was read need be looked at only once.
    """
    earlier = [reading for reading in behind if not same_but_level(reading, found)]
    if bare.source.kind is not Kind.DAYLIGHT:
        earlier = earlier[:1]
    elif any(reading.gels_checked for reading in earlier):
        return True
    return any(_near(one, expected, allowed, bare.wanted.uv, tolerance) for one in earlier)


def _near(one: Reading, expected: Array, allowed: float, wanted: Array, tolerance: float) -> bool:
    try:
        uv = measure(one).uv
    except Refused:
        return False
    off, left = (float(steps_apart(uv, other)) for other in (expected, wanted))
    return off <= allowed or left <= tolerance
