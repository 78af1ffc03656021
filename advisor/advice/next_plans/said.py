"""What the page of a source says, as a turn of it in a plan: a set gives one order for each head."""

from ...model import StackAdvice
from ..after_hanging.next_move import Swap, change_to
from ..answer.one_stack import predict_stack
from ..plan.decided import as_wanted
from ..plan.plan import Plan
from ..readings.chromaticity import WhitePoint
from ..wording.words import seen
from .standing import Standing
from .way import Turn


def said_there(plan: Plan, one: Standing, white: WhitePoint, *, here: bool) -> Turn | None:
    """Return what the page of a source says at a white; None where it goes by what its moves cost.

    It says so of what was metered as it hangs, by all its readings; and of what is bare where the white is
    that of the set (`here`). What is fixed in a plan keeps what hangs.
    """
    if one.fixed:
        return None
    head = plan.heads[one.index]
    if one.read:
        wanted = one.wanted(white)
        there = as_wanted(plan, one.index, wanted) if wanted else None
        if there is None or there.check is None or there.chosen is None:
            return None
        left, due, hung = there.check.left, there.due, there.chosen
        return _turn(one, due or Swap((), (), hung), hung, left, due.result.miss.steps if due else left)
    if here and head.source.work is None and head.best:
        assert plan.gel_arrays is not None, "it was planned for"
        hung = predict_stack(one.bare, plan.limits, plan.gel_arrays, one.hung)
        return _turn(one, change_to(hung, head.best), hung, hung.miss.steps, head.best.miss.steps)
    return None


def _turn(one: Standing, change: Swap, hung: StackAdvice, before: float, steps: float) -> Turn:
    """Return a change to what is `hung` as a turn; its misses are those `before` it and then. [step]"""
    allowed = one.tolerance if change.some else max(one.tolerance, one.taken)
    return Turn(
        index=one.index,
        name=one.name,
        gels=tuple(change.result.gels) if change.some else one.hung,
        off=change.off,
        on=change.on,
        dial=change.dial,
        steps=steps,
        before=before,
        beyond=max(steps - allowed, 0.0),
        seen=seen(steps, one.tolerance),
        passed=2.0 ** (hung.stops - change.result.stops),
        standing=change.dial or one.dial,
    )
