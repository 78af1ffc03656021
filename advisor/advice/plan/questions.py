"""What is asked of a plan beside what is in it: why a head stays off, and what would make it surer."""

from collections.abc import Iterable, Sequence
from weakref import WeakKeyDictionary

from ...model import (
    KindQuestion,
    Setting,
    StackAdvice,
)
from ..answer.kind_hint import kind_hint
from ..answer.one_stack import predict_stack
from ..answer.reached import nearest
from ..learned.off_label import OffLabel, off_labels
from ..learned.posterior import Posterior, posterior, posteriors, unread_so
from ..ranking.green_side_effect import green_taken_out
from ..stacks.prediction import PreparedSource
from ..stacks.uncertainty import ALONG_LINE
from .head import PlannedSource
from .light import stood
from .out_of_reach import why_not
from .plan import Plan


def why_beyond(plan: Plan, i: int) -> str:
    """Say which limits keep the `i`-th head beyond its tolerance; empty where none does."""
    head = plan.heads[i]
    if head.advice is None or plan.gel_arrays is None or head.source.aim.leave:
        return ""
    best = nearest(head.advice)
    if best.miss.steps <= plan.limits.tolerance_of(head.source):
        return ""
    return why_not(plan.prepared[i], best, plan.limits, plan.gel_arrays)


def gels_off_label(plan: Plan) -> list[OffLabel]:
    """Return the gels that are off their labels: far off, and by readings on several sources that agree.

    A source whose own reading is to be checked first says nothing of a gel until it is.
    """
    if plan.gel_arrays is None:
        return []
    believed = [bare for i, bare in plan.prepared.items() if not _doubted(plan.heads[i])]
    every = posteriors(believed, plan.gel_arrays, plan.limits.accuracy)
    fits = [fit for fit in every if fit and not fit.loose]
    names = plan.gel_arrays.names
    unsure = _looked_at(bare for i, bare in plan.prepared.items() if _doubted(plan.heads[i]))
    unsure -= _looked_at(believed)
    far = [
        OffLabel((names[one.gel],), 100.0 * (one.strength - 1.0), one.sources, 100.0 * ALONG_LINE * one.doubt)
        for one in plan.off_labels
        if names[one.gel] not in unsure
    ]
    known = {name for one in far for name in one.names}
    near = off_labels(fits, plan.gel_arrays, plan.limits.accuracy)
    return far + [one for one in near if known.isdisjoint(one.names)]


def _looked_at(bares: Iterable[PreparedSource]) -> set[str]:
    """Return the gels that somebody looked at where readings were taken behind them."""
    readings = (reading for bare in bares for reading in bare.source.readings if reading.gels_checked)
    return {name for reading in readings for name in reading.gels}


def _doubted(head: PlannedSource) -> bool:
    return head.check is not None and head.check.odd


def drifted(plan: Plan, i: int) -> bool:
    """Whether what was read behind gels of the `i`-th head says that it is not the lamp it was bare."""
    fit = _fit(plan, i)
    return fit is not None and fit.loose and not unread_so(fit.bare)


def _fit(plan: Plan, i: int) -> Posterior | None:
    """Return what the readings behind gels tell of the `i`-th head; None where it has none that count."""
    if plan.gel_arrays is None or i not in plan.prepared:
        return None
    return posterior(plan.prepared[i], plan.gel_arrays, plan.limits.accuracy)


def kind_question(plan: Plan, i: int) -> KindQuestion | None:
    """Return the kinds that the `i`-th head may be of, where saying which narrows its answer most.

    Where that has to be asked before any answer, or something was read behind its gels, it is not asked.
    """
    known = _KNOWN.setdefault(plan, {})
    if i not in known:
        known[i] = _kind_question(plan, i)
    return known[i]


_KNOWN: WeakKeyDictionary[Plan, dict[int, KindQuestion | None]] = WeakKeyDictionary()
"""By the index of the head; it goes with the plan: kept longer, it would hold all plans of a day."""


def _kind_question(plan: Plan, i: int) -> KindQuestion | None:
    head = plan.heads[i]
    if plan.gel_arrays is None or i not in plan.prepared or head.best is None:
        return None
    if head.asks or head.check or head.before:
        return None
    return kind_hint(plan.prepared[i], head.best, plan.limits, plan.gel_arrays)


def side_effect(plan: Plan, i: int) -> str:
    """Say how much green the `i`-th head's mired gels take out, where that stands in for minus green."""
    head = plan.heads[i]
    if head.advice is None or head.best is None or plan.gel_arrays is None or i not in plan.prepared:
        return ""
    return green_taken_out(stood(plan, i, head.best), head.advice.needed, head.best, plan.gel_arrays)


def by_hand(plan: Plan, i: int, gels: Sequence[str], dial: Setting | None = None) -> StackAdvice | None:
    """Predict a stack that somebody built for the `i`-th head, its dials at a setting if it has them.

    Raises Refused for unknown gels, and for a setting that the head does not have.
    """
    if plan.target is None or plan.gel_arrays is None or i not in plan.prepared:
        return None
    return predict_stack(plan.prepared[i], plan.limits, plan.gel_arrays, gels, dial)
