"""Where gel is a poor answer: what lamp or tube to ask for in the place of the one that is there.

A lamp is told by a window of CCT and Duv that it may read in: any lamp that does comes within the tolerance,
with no gel, or behind one weak sheet. Behind gel it is predicted as a white LED, or as a tube.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from ...model import Kind, Role, Seen, Source, StackAdvice, Stage
from ..answer.reached import nearest
from ..stacks.watch import go_on, tell
from ..wording.outlook import NEAR
from .head import PlannedSource
from .lamps_behind import SOLD_DOUBT, TUBES, LampWindow, nearest_sold, windows_of
from .plan import Plan

MANY_STOPS = 1.8
"""Who loses about two stops to gel had better take another lamp. [stop] Our judgement."""
MANY_LAYERS = 3
"""So many layers that are added are dear. Our judgement."""
SELDOM = 0.3
"""A practical that comes close less often, whatever hangs, had better be another bulb. Our judgement."""
_NEARER = 1.0
"""Nobody changes a lamp to come less nearer. [step]"""


class PoorGel(StrEnum):
    """Why gel is a poor answer for a source."""

    OFF = "off"
    DOUBT = "doubt"
    LIGHT = "light"
    LAYERS = "layers"


@dataclass(frozen=True)
class OtherLamp:
    """A source in whose place another lamp would serve better: `why`, and for which lamps to ask.

    `seen` is what the eye makes of it behind the gel that is the answer else. That loses so many `stops`,
    takes so many `layers`, and comes close with the chance `within`. A lamp is sold for each of the
    `windows`; those that need no gel come first.
    """

    index: int
    why: PoorGel
    tube: bool
    stops: float
    layers: int
    windows: tuple[LampWindow, ...]
    within: float = 1.0
    seen: Seen | None = None


def poorly_gelled(plan: Plan) -> list[int]:
    """Return the indices of the sources for which to ask for another lamp that is sold: practicals first."""
    return [i for i in _all_poor(plan) if _sold_for(plan, i)]


def lamp_helps(plan: Plan, i: int) -> bool:
    """Whether gel serves the `i`-th source poorly, and a lamp that is sold does better, or comes nearer."""
    if i not in plan.prepared or _poor(plan, plan.heads[i]) is None:
        return False
    return _sold_for(plan, i) or nearer_lamp(plan, i) is not None


def without_lamp(plan: Plan) -> list[int]:
    """Return the indices of the sources that gel serves poorly, and for which no lamp is sold either."""
    return [i for i in _all_poor(plan) if not _sold_for(plan, i)]


def nearer_lamp(plan: Plan, i: int) -> int | None:
    """Return the CCT [K] of the lamp on sale that comes nearest bare to what is wanted of the `i`-th source.

    None where that is no nearer than what hangs or is planned, with the usual doubt of what a lamp reads.
    """
    head = plan.heads[i]
    if i not in plan.prepared or head.best is None or _fixed(head):
        return None
    named, away = nearest_sold(plan.prepared[i].wanted, head.source.kind)
    hung = head.due.result if head.due else head.best
    now = head.check.left if head.check and not head.due else hung.miss.expected_steps
    return named if hypot(away, SOLD_DOUBT) < now - _NEARER else None


@dataclass(frozen=True)
class PoorlyGelled:
    """A source that gel does not serve well: the `layers` that are added, if many, and the `stops`, if many.

    `seen` is what the eye makes of it, if that is not close. `stays` is whether it is what it is all the
    same: daylight, or confirmed.
    """

    index: int
    layers: int | None
    stops: float | None
    seen: Seen | None
    stays: bool


def not_well_gelled(plan: Plan) -> list[PoorlyGelled]:
    """Return all sources that gel does not serve well as they hang or are planned."""
    found = []
    for i, head in enumerate(plan.heads):
        if i not in plan.prepared or head.best is None or head.source.aim.leave:
            continue
        hung = head.due.result if head.due else head.best
        added, seen = hung.layers - len(head.source.keep), hung.miss.seen if head.due else head.seen
        layers = added if added >= MANY_LAYERS else None
        stops = hung.stops if hung.stops >= MANY_STOPS and added > 0 else None
        off = None if seen in NEAR else seen
        if layers or stops or off:
            stays = head.source.kind is Kind.DAYLIGHT or head.stage is Stage.CONFIRMED
            found.append(PoorlyGelled(i, layers, stops, off, stays))
    return found


def _all_poor(plan: Plan) -> list[int]:
    found = [i for i in sorted(plan.prepared) if _poor(plan, plan.heads[i])]
    return sorted(found, key=lambda i: plan.heads[i].source.role is not Role.PRACTICAL)


def _sold_for(plan: Plan, i: int) -> bool:
    """Whether any lamp is sold for a source, with no gel or, where none is, behind one weak sheet."""
    return bool(_windows(plan, i, behind=False) or _windows(plan, i, behind=True))


def _windows(plan: Plan, i: int, *, behind: bool) -> tuple[LampWindow, ...]:
    assert plan.gel_arrays is not None, "it has prepared sources"
    wanted, source = plan.prepared[i].wanted, plan.heads[i].source
    tolerance = plan.limits.tolerance_of(source)
    found = windows_of(wanted.cct, wanted.duv, tolerance, source.kind, plan.gel_arrays, behind=behind)
    return tuple(one for one in found if one.sold)


def other_lamps(plan: Plan) -> list[OtherLamp]:
    """Return what lamps to ask for, practicals first, each in the set's order."""
    indices, found = poorly_gelled(plan), []
    for k, i in enumerate(indices):
        go_on()
        tell(k / len(indices))
        found.append(other_lamp(plan, i))
    return [one for one in found if one]


def other_lamp(plan: Plan, i: int, *, behind: bool = True) -> OtherLamp | None:
    """Return what lamp to ask for in the place of the `i`-th; None where gel is fair, or none is sold.

    `behind` says whether the windows behind a sheet are wanted too, which take a third of a second. Where no
    lamp is sold that needs none, they are known already.
    Nobody changes daylight, nor a lamp that is left as it is, that dials bring in, or that was confirmed.
    """
    head = plan.heads[i]
    why = _poor(plan, head)
    if why is None or i not in plan.prepared or head.best is None or not _sold_for(plan, i):
        return None
    hung = head.due.result if head.due else head.best
    shown = nearest(head.advice) if head.out and head.advice else hung
    return OtherLamp(
        i,
        why,
        head.source.kind in TUBES,
        shown.stops,
        shown.layers - len(head.source.keep),
        _windows(plan, i, behind=behind) or _windows(plan, i, behind=True),
        _likeliest(head),
        shown.miss.seen if head.out or head.due else head.seen,
    )


def _poor(plan: Plan, head: PlannedSource) -> PoorGel | None:
    """Return why gel is a poor answer for a head; None where it is a fair one, or the lamp has to stay."""
    source = head.source
    if _fixed(head) or head.advice is None or head.best is None or head.best.dial is not None:
        return None
    hung = head.due.result if head.due else head.best
    if any(_dear(stack, source) is None for stack in (*head.listed_near, *_likely(hung))):
        return None
    if not head.listed_near and nearest(head.advice).miss.steps > plan.limits.tolerance_of(source):
        return PoorGel.OFF
    doubted = source.role is Role.PRACTICAL and not head.listed_near and head.check is None
    return _dear(hung, source) or (PoorGel.DOUBT if doubted and _likeliest(head) < SELDOM else None)


def _fixed(head: PlannedSource) -> bool:
    """Whether a lamp has to stay: daylight, what is left as it is, and what was confirmed."""
    source = head.source
    return source.kind is Kind.DAYLIGHT or source.aim.leave or head.stage is Stage.CONFIRMED


def _likeliest(head: PlannedSource) -> float:
    """Return the best chance that any stack of a head's list comes close."""
    return max((stack.within for stack in head.advice.stacks), default=0.0) if head.advice else 0.0


def _likely(stack: StackAdvice) -> tuple[StackAdvice, ...]:
    return (stack,) if stack.miss.seen in NEAR else ()


def _dear(stack: StackAdvice, source: Source) -> PoorGel | None:
    """Return why a stack is dear: much light, or many layers beside those that always hang; else None."""
    added = stack.layers - len(source.keep)
    if stack.stops >= MANY_STOPS and added > 0:
        return PoorGel.LIGHT
    return PoorGel.LAYERS if added >= MANY_LAYERS else None
