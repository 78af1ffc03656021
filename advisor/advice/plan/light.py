"""Where the light of a planned head is: with its dials set, and behind its stack, as read or as predicted."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import uv_of_cct_duv
from ...colour.observer.chromaticity import uv_of_xy, uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...model import StackAdvice
from ..stacks.prediction import PreparedSource
from .head import PlannedSource
from .plan import Plan, turned


def swapped_to(head: PlannedSource) -> StackAdvice | None:
    """Return what is to hang on a head in place of what does; None where no swap is due.

    What is to be looked at or metered first stays as it is.
    """
    if head.source.work is None:
        return None
    first = (head.check and head.check.odd) or head.bare_first or (head.again and head.changed)
    return head.due.result if head.due and not first else None


def swaps_due(plan: Plan, indices: Iterable[int]) -> dict[int, StackAdvice]:
    """Return what is to hang on heads in place of what does, by their indices: see `swapped_to`."""
    return {i: stack for i in indices if (stack := swapped_to(plan.heads[i]))}


def uv_then(plan: Plan, i: int) -> Array | None:
    """Return the (u, v), (2,), of the `i`-th head once its swap is done too; None where it has no stack."""
    return uv_then_each(plan, [i]).get(i)


def uv_then_each(plan: Plan, indices: Sequence[int]) -> dict[int, Array]:
    """Return the (u, v), (2,), of heads as `uv_behind_each` does, once the swaps that are due are done."""
    swapped = swaps_due(plan, indices)
    found = uv_behind_each(plan, [i for i in indices if i not in swapped])
    return found | {i: uv_of_xy(np.array([s.after.x, s.after.y])) for i, s in swapped.items()}


def uv_behind(plan: Plan, i: int) -> Array | None:
    """Return the (u, v), (2,), of the `i`-th head behind its best stack; None where there is none."""
    return uv_behind_each(plan, [i]).get(i)


def uv_behind_each(plan: Plan, indices: Sequence[int]) -> dict[int, Array]:
    """Return the (u, v), (2,), of heads behind their best stacks, by their indices.

    Those without one are left out. It is what was read there, where something was.
    """
    found = {i: uv for i in indices if (uv := uv_read(plan, i)) is not None}
    unread = through_best(plan, [i for i in indices if i not in found])
    if not unread or plan.gel_arrays is None:
        return found
    sheets = plan.gel_arrays.products([one.stack.gels for one in unread.values()])
    lit = np.concatenate([one.stood.mean for one in unread.values()])
    return found | dict(zip(unread, uv_of_xyz((lit * sheets) @ weights()), strict=True))


class Through(NamedTuple):
    """A head with its dials where its best `stack` wants them, and the (u, v), (2,), read behind that."""

    stood: PreparedSource
    stack: StackAdvice
    read: Array | None


def through_best(plan: Plan, indices: Sequence[int]) -> dict[int, Through]:
    """Return heads with their best stacks, by their indices; those that cannot be predicted are left out."""
    at_best = plan.at_best
    return {
        i: Through(at_best[i], stack, uv_read(plan, i))
        for i in indices
        if i in at_best and (stack := plan.heads[i].best)
    }


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
    return plan.at_best[i] if stack is plan.heads[i].best else turned(plan.prepared[i], stack.dial)
