"""Which stacks may hang again after a bad try, by the limits, and which are no use to try at all."""

from collections import Counter
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from ..cost.judge import Judge, Read
from ..stacks.enumerate import NONE, Indices


def that_may_hang(
    judge: Judge, read: Mapping[tuple[int, ...], Read], hanging: Counter[int] | None
) -> dict[tuple[int, ...], Read]:
    """Return those stacks of `read`, by the numbers of their gels, that the limits of a source leave.

    What is `hanging` may stay, unless it loses more light than the limit: the others limit what is added.
    """
    if not read:
        return {}
    stacks = np.full((len(read), max(map(len, read))), NONE, dtype=np.intp)
    for row, gels in enumerate(read):
        stacks[row, : len(gels)] = gels
    light = judge.affordable(Judge.outcomes(judge, stacks).passed)  # readings move colour alone
    kept, open_gels, layers = Counter(judge.bare.keep), judge.open_gels, judge.limits.max_layers

    def may(gels: tuple[int, ...]) -> bool:
        added = Counter(gels) - kept
        few = len(gels) <= layers and all(open_gels[gel] for gel in added)
        # What was read before a gel was kept, such as ND for the light, would take that off.
        whole = not kept - Counter(gels)
        return (whole and (few or not added)) or Counter(gels) == hanging

    return {gels: one for (gels, one), able in zip(read.items(), light, strict=True) if able and may(gels)}


def no_use(judge: Judge, stacks: Indices) -> NDArray[np.bool_]:
    """Return which of stacks (m, w) land farther off than the source without them, by the tolerance, (m,).

    A try that can be undone costs little, however far off: it is still none that anybody makes. None where
    the source without gel is not among the stacks.
    """
    steps = judge.outcomes(stacks).steps
    bare = (stacks != NONE).sum(axis=1) == len(judge.bare.keep)
    least = steps[bare].min() if bare.any() else np.inf
    return np.asarray(steps > least + judge.limits.tolerance_steps)
