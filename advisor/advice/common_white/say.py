"""Who has a say in the white of a set, and how dear a layer is on each source."""

from collections.abc import Sequence

from ...model import Gel, Kind, Limits, Role, Source, Target
from ..cost.counted import LAYER_IN_STEPS
from ..plan.another_lamp import poorly_gelled
from ..plan.make import make_plan

SHEET = 0.53 * 1.22
"""A sheet of gel: a window is dear by how many of them its glass takes. [m²] Common practice, no source."""


def dear(source: Source) -> float:
    """Return what a layer on a source costs more than one on a head. [step]

    A head counts by its openings, and glass by its area in sheets, since it comes off a roll.
    """
    if source.kind is Kind.DAYLIGHT:
        sheets = sum(one.count * max(one.width * one.height / SHEET, 1.0) for one in source.openings)
    else:
        sheets = float(sum(one.count for one in source.openings))
    return LAYER_IN_STEPS * max(sheets - 1.0, 0.0)


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
