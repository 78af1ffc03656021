"""Lamps that are alike by their names and readings, and are asked about alike: one answer does for all."""

import re
from math import sqrt

import numpy as np

from ...colour.observer.chromaticity import steps_apart
from ...model import KindQuestion
from ...model.basis.base import name_key
from ..learned.posterior import repeats
from ..plan.head import PlannedSource
from ..plan.plan import Plan
from ..plan.questions import kind_question

_NINE_IN_TEN = 1.6449
"""The normal quantile within which nine in ten lie."""
_OF_A_ROW = 20.0
"""Lamps of one name with a number behind it are of one kind up to here. [step] Our judgement."""
_NUMBERED = re.compile(r"(.*\D)\d{1,3}", re.DOTALL)


def asked_of(plan: Plan, i: int) -> KindQuestion | None:
    """Return what is asked of the `i`-th head: which kind it is, before an answer or beside it."""
    return plan.heads[i].asks or kind_question(plan, i)


def asked_alike(plan: Plan, i: int) -> list[int]:
    """Return the other heads that are asked what the `i`-th is, and are lamps like it, by their indices.

    They are alike where they read the same within a meter's repeat, or have one name with a number behind
    it and read about the same.
    """
    question = asked_of(plan, i)
    if question is None:
        return []
    head = plan.heads[i]
    others = [k for k, other in enumerate(plan.heads) if k != i and _alike(plan, head, other)]
    return [k for k in others if asked_of(plan, k) == question]


def _alike(plan: Plan, one: PlannedSource, other: PlannedSource) -> bool:
    if one.white is None or other.white is None or one.source.kind is not other.source.kind:
        return False
    apart = float(steps_apart(one.white.uv, other.white.uv))
    stem = _stem(one.source.name)
    if stem and stem == _stem(other.source.name):
        return apart <= _OF_A_ROW
    scatter = float(np.diag(repeats(one.white, plan.limits.accuracy)).max())
    return apart <= _NINE_IN_TEN * sqrt(2.0 * scatter)


def _stem(name: str) -> str:
    """Return a name without the number behind it; empty where it has none."""
    found = _NUMBERED.fullmatch(name.strip())
    return name_key(found[1].strip(" #.-")) if found else ""
