"""Who has a say in the white of a set."""

from collections.abc import Sequence

from ...model import Gel, Limits, Role, Source, Target
from ..plan.another_lamp import poorly_gelled
from ..plan.make import make_plan


def without_say(
    sources: Sequence[Source], target: Target, limits: Limits, gels: Sequence[Gel]
) -> tuple[str, ...]:
    """Return the sources that do not pull a set to a white: nothing may hang on them, or on none to good use.

    Those are practicals on which gel is a poor answer at the present target: another bulb is a better one.
    The source that the target matches has its say, and so have all where nobody else would.
    """
    kept = [s for s in sources if s.no_gel is not None and s.name != target.source]
    practicals = [s for s in sources if s.role is Role.PRACTICAL and s.no_gel is None]
    bulbs = [s.model_copy(update={"work": None}) for s in practicals if s.name != target.source]
    poor: list[str] = []
    if bulbs:
        others = [s for s in sources if s.name == target.source]
        plan = make_plan([*bulbs, *others], target, limits.model_copy(update={"share_stock": False}), gels)
        poor = [plan.heads[i].source.name for i in poorly_gelled(plan) if i < len(bulbs)]
    found = {*(s.name for s in kept), *poor}
    if all(s.name in found or s.aim.leave for s in sources):
        return ()
    return tuple(s.name for s in sources if s.name in found)
