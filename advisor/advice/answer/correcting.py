"""A weak gel of the opposite family over a stack that is up, as a gaffer corrects it.

Nobody plans CTO with CTB: the ranking leaves opposites out. But where what hangs was read a little past the
target, and no other stack is likely close, the weakest sheet of the opposite family corrects it.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ...model import Limits, StackAdvice
from ..stacks.enumerate import allowed_by
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .one_stack import predict_stack

_LIKELY = 0.5
"""It has to be likelier than not to land within the tolerance: one climb, to end the work. Our judgement."""


def correcting(
    bare: PreparedSource, read: Sequence[Sequence[str]], limits: Limits, gel_arrays: GelArrays
) -> StackAdvice | None:
    """Return a stack that was read with one opposite sheet more, where that is likely close; None if none is.

    `read` are the names of what was read behind, what hangs first, all in the table. The limits hold, and so
    does what is there of each sheet. Raises Refused where the limits name what the table lacks.
    """
    own = limits.for_source(bare.source)
    if bare.source.no_gel:
        return None
    able = gel_arrays.ranked & allowed_by(gel_arrays, own)
    close = []
    for gels in read:
        for gel in _weakest_against(gel_arrays.find(gels), able, own.max_layers, gel_arrays):
            stack = predict_stack(bare, limits, gel_arrays, [*gels, gel_arrays.names[gel]])
            dark = own.max_stops is not None and stack.stops > own.max_stops
            if stack.within >= _LIKELY and not dark:
                close.append(stack)
    return max(close, key=lambda stack: stack.within, default=None)


def _weakest_against(
    stack: Sequence[int], able: NDArray[np.bool_], most: int, gel_arrays: GelArrays
) -> list[int]:
    """Return of each family against a stack the weakest gel that may hang on top of it."""
    now = np.array(stack, dtype=np.intp)
    if int((~gel_arrays.scrims[now]).sum()) >= most:
        return []
    fits = able & (gel_arrays.stock > np.bincount(now, minlength=len(gel_arrays.names)))
    against = np.zeros(len(able), dtype=np.bool_)
    for way in gel_arrays.pushes.T:
        against |= (way > 0) & (way[now] < 0).any() | (way < 0) & (way[now] > 0).any()
    size = np.hypot(gel_arrays.mired, gel_arrays.cc)
    weakest: dict[str, int] = {}
    for gel in sorted(np.flatnonzero(fits & against).tolist(), key=lambda gel: float(size[gel])):
        weakest.setdefault(str(gel_arrays.family_keys[gel]), gel)
    return list(weakest.values())
