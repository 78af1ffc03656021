"""Readings of a head on which gel hangs: taken behind it, or bare; what they make of the work on it."""

from collections.abc import Sequence
from functools import reduce

from ..advice.confirm import like_hung
from ..advice.hung import with_found
from ..advice.measure import Whiteness
from ..advice.plan import Plan
from ..model import Reading, Stage, Work
from ..store import StoredSource
from .plans import plan_for
from .state import state


def hanging(stored: StoredSource) -> Work | None:
    """Return the work on a head on which gel hangs; None where none does."""
    work = stored.source.work
    return work if work and work.gels and work.stage is not Stage.PLANNED else None


def behind(reading: Reading, work: Work) -> Reading:
    """Return a reading as one that was taken behind what hangs."""
    return reading.model_copy(update={"gels": list(work.gels)})


def reads_like_behind(plan: Plan, i: int, whites: Sequence[Whiteness]) -> bool:
    """Whether what was read of a head lies nearer to what hangs, as predicted, than to the bare head.

    Where nobody knows, it is taken for that: whoever meters a head with gel on meters the gel too.
    """
    head = plan.heads[i]
    if head.white is None or head.chosen is None or not whites:
        return True
    return like_hung(whites, head.chosen, head.white)


def works_found(now: StoredSource, work: Work, readings: Sequence[Reading]) -> Work:
    """Say what readings behind what hangs, oldest first, make of the work: confirmed where it is right."""
    owner = state().sets.get_set(now.set_id)
    plan, place = plan_for(owner), owner.place_of(now.id)

    def one(work: Work, reading: Reading) -> Work:
        hung = with_found(work, reading).model_copy(update={"stage": Stage.HUNG})
        check = plan.decided(place, hung, owner.limits).check
        if check is None or not check.reached:
            return hung
        return hung.model_copy(update={"stage": Stage.CONFIRMED, "left": check.left})

    return reduce(one, readings, work)
