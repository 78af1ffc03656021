"""What the reading pad answers while it is typed: what to do, how good that will be, and the light."""

from dataclasses import dataclass

from ....advice.after_hanging.check import Check
from ....advice.pictures.light_path import LightPath
from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....model import Problem, Stage
from ...pictures.light_path import light_path_of
from ...wording.work import doing, hung_now
from ..heads import Quality, head_quality


@dataclass(frozen=True)
class PadAnswer:
    """What to do, empty where nothing can be said; `problems` then say why.

    `good` is None where something has to be said first, or where gel cannot do it.
    """

    words: str
    good: Quality | None = None
    path: LightPath | None = None
    problems: tuple[Problem, ...] = ()


def answer_of(plan: Plan, i: int) -> PadAnswer:
    """Return the answer to a reading of the `i`-th head, as it is planned with it."""
    head = plan.heads[i]
    if head.best is None:
        return PadAnswer("", problems=(*plan.problems, *head.problems))
    good = head_quality(head) if head.answered and not head.out else None
    return PadAnswer(_to_do(head), good, light_path_of(plan, i, head.best) if head.answered else None)


_TYPE_LUX = "Type its lux too: the light tells which gel hangs."
"""Said of a reading without lux that looks as if another gel hung: with it, the answer may be another one."""


def _to_do(head: PlannedSource) -> str:
    """Say what to do about a head once the reading is saved: only that confirms what hangs."""
    work = head.source.work
    if work is not None and head.stage is Stage.CONFIRMED:
        return f"{hung_now(work)}. Save confirms it."
    said = doing(head)
    doubted = head.check.mistake if head.check else None
    if head.check and doubted and doubted.of in said and _lux_tells(head.check):
        return f"{said} {_TYPE_LUX}"
    return said


def _lux_tells(check: Check) -> bool:
    return check.reading.lux is None and check.predicted.lux is not None and not check.reading.gels_checked
