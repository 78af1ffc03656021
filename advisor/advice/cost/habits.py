"""What a gaffer would not hang without a reason. Each case makes a stack count as half a step farther off.

- Plus green on a source that is not too magenta, or minus green on one that is not too green.
- Two sheets of one family where there is one that does as much as both.

Common practice, no source.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.data import Array
from ..stacks.enumerate import Indices
from ..stacks.gel_arrays import CC_PER_MIRED, GelArrays

FUSSY = 0.5
"""How much farther off a stack counts for each. [step]"""
LEAST_NEEDED = 1.75
"""The least green or magenta that calls for gel: half of the trade's eighth. [CC] Common practice, no
source."""
_AS_MUCH = 0.1
"""One sheet does as much as two if its shift is the sum of theirs, give or take this share."""


def fussy(gel_arrays: GelArrays, there: NDArray[np.bool_], added: Indices, needed: float) -> Array:
    """Return how much farther off stacks of added gels (m, w) count, (m,) [step].

    `there` (n,) are the gels at hand, `needed` the green that the source needs [CC], below zero magenta.
    """
    parts = _parts(gel_arrays, there.tobytes())
    in_parts = np.zeros(len(added), dtype=np.bool_)
    for first in range(added.shape[1]):
        for second in range(first + 1, added.shape[1]):
            in_parts |= parts[added[:, first], added[:, second]]
    green = gel_arrays.pushes[:, 1]
    against = (green > 0) & (needed < LEAST_NEEDED) | (green < 0) & (needed > -LEAST_NEEDED)
    reasons = in_parts.astype(np.float64) + np.append(against, False)[added].any(axis=1)
    return np.asarray(FUSSY * reasons)


@lru_cache(maxsize=32)
def _parts(gel_arrays: GelArrays, there: bytes) -> NDArray[np.bool_]:
    """Say for which pairs of gels one gel does as much as both, (n + 1, n + 1); the last is NONE."""
    at_hand = np.frombuffer(there, dtype=np.bool_)
    does = np.stack([gel_arrays.mired, gel_arrays.cc / CC_PER_MIRED], axis=1)
    parts = np.zeros((len(gel_arrays.names) + 1,) * 2, dtype=np.bool_)
    for family in set(gel_arrays.families):
        own = np.flatnonzero(np.array([name == family for name in gel_arrays.families]) & gel_arrays.ranked)
        for gel in own:
            both = does[own] + does[gel]
            apart = np.hypot(*(both[:, None, :] - does[own[at_hand[own]]]).transpose(2, 0, 1))
            near = apart <= _AS_MUCH * np.hypot(*both.T)[:, None]
            parts[gel, own] = near.any(axis=1)
    return parts
