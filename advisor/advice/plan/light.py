"""Where the light of a planned head is: with its dials set, and behind its stack, as read or as predicted."""

import numpy as np

from ...colour.observer.cct import uv_of_cct_duv
from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.spectra.sources import Unbendable
from ...model import (
    StackAdvice,
)
from ..dials.ranking import standing
from ..stacks.prediction import PreparedSource
from .plan import Plan


def uv_behind(plan: Plan, i: int) -> Array | None:
    """Return the (u, v), (2,), of the `i`-th head behind its best stack; None where there is none.

    It is what was read there, where something was.
    """
    best, read = plan.heads[i].best, uv_read(plan, i)
    if read is not None:
        return read
    if best is None or plan.gel_arrays is None or i not in plan.prepared:
        return None
    gels = plan.gel_arrays.product(plan.gel_arrays.find(best.gels))
    return uv_of_xyz((stood(plan, i, best).mean[0] * gels) @ weights())


def uv_read(plan: Plan, i: int) -> Array | None:
    """Return the (u, v), (2,), read behind the `i`-th head's best stack, or known from what was read."""
    head = plan.heads[i]
    if head.check:
        return head.check.white.uv
    if not head.known or head.chosen is None:
        return None
    after = head.chosen.after
    return uv_of_cct_duv(np.array(after.cct), np.array(after.duv))


def stood(plan: Plan, i: int, stack: StackAdvice) -> PreparedSource:
    """Return the `i`-th head with its dials where a stack wants them."""
    try:
        return standing(plan.prepared[i], stack.dial)
    except Unbendable:
        return plan.prepared[i]
