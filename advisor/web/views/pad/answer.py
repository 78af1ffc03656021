"""What the reading pad answers while it is typed: what to do, how good that will be, and the light."""

from dataclasses import dataclass

from ....advice.pictures.light_path import LightPath
from ....advice.plan.plan import Plan
from ....model import Problem
from ...pictures.light_path import light_path_of
from ...wording.work import doing
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
    return PadAnswer(doing(head), good, light_path_of(plan, i, head.best) if head.answered else None)
