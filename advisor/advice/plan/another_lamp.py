"""Where gel is a poor answer: what lamp or tube to ask for in the place of the one that is there.

A lamp is told by a window of CCT and Duv that it may read in: any lamp that does comes within the tolerance,
with no gel, or behind one weak sheet. Behind gel it is predicted as a white LED, or as a tube.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import product
from math import ceil, floor, sqrt

import numpy as np

from ...colour.observer.loci import MIRED_K
from ...model import Kind, Reading, Role, Seen, Source, StackAdvice, Stage
from ..answer.reached import nearest
from ..readings.chromaticity import measure
from ..readings.steps import scale_at
from ..stacks.gel_arrays import GelArrays
from ..stacks.watch import go_on, tell
from ..wording.outlook import NEAR
from .head import PlannedSource
from .lamps_behind import LampsBehind
from .plan import Plan

MANY_STOPS = 1.8
"""Who loses about two stops to gel had better take another lamp. [stop] Our judgement."""
MANY_LAYERS = 3
"""So many layers that are added are dear. Our judgement."""
SELDOM = 0.3
"""A practical that comes close less often, whatever hangs, had better be another bulb. Our judgement."""
WEAK = ("1/8", "1/4")
"""The fractions of a sheet that a lamp may yet need."""
_FAMILIES = ("cto", "ctb", "plus green", "minus green")
_TUBES = (Kind.FLUORESCENT, Kind.FLUORESCENT_TRIBAND)
_LEAST_KELVINS = 20.0
"""Nobody is asked for a narrower window. [K]"""
_CLOSER = 0.95
"""By so much a window shrinks until all its corners come in."""
_MOST_CLOSER = 24
"""So often at most: to a third."""
_HALOGEN = (2800, 2900)
_BULBS = (2700, 3000, 3200, 4000, 5000, 5600, 6500)
_HEADS = (3200, 4300, 5600, 6000)
SOLD = dict.fromkeys(Kind, _BULBS) | {
    Kind.TUNGSTEN: tuple(sorted({*_HALOGEN, *_BULBS})),
    Kind.FLUORESCENT: (2700, 3000, 3200, 3500, 4000, 5000, 5600, 6500),
    Kind.FLUORESCENT_TRIBAND: (2700, 3000, 3200, 3500, 4000, 5000, 5600, 6500),
    Kind.DISCHARGE: _HEADS,
}
"""The CCTs that lamps come in, by the kind of the lamp that is there. [K] Common practice, no source.

What fits a tungsten lamp's holder is halogen or an LED bulb, a tube's a tube; a discharge head is exchanged
for another head. Only those come in 4 300 K: for that white a bulb of 4 000 K wants a sheet of CTB.
"""


class PoorGel(StrEnum):
    """Why gel is a poor answer for a source."""

    OFF = "off"
    DOUBT = "doubt"
    LIGHT = "light"
    LAYERS = "layers"


@dataclass(frozen=True)
class LampWindow:
    """What a lamp may read, low to high, so that it comes in behind a `gel`, or without where that is empty.

    CCT [K] and Duv. `sold` are the CCTs of lamps on sale that lie in it, as they are meant to read: without
    one there is nothing to ask for.
    """

    gel: str
    cct: tuple[float, float]
    duv: tuple[float, float]
    sold: tuple[int, ...]


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


def without_lamp(plan: Plan) -> list[int]:
    """Return the indices of the sources that gel serves poorly, and for which no lamp is sold either."""
    return [i for i in _all_poor(plan) if not _sold_for(plan, i)]


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
        head.source.kind in _TUBES,
        shown.stops,
        shown.layers - len(head.source.keep),
        _windows(plan, i, behind=behind) or _windows(plan, i, behind=True),
        _likeliest(head),
        shown.miss.seen if head.out or head.due else head.seen,
    )


def _poor(plan: Plan, head: PlannedSource) -> PoorGel | None:
    """Return why gel is a poor answer for a head; None where it is a fair one, or the lamp has to stay."""
    source = head.source
    fixed = source.kind is Kind.DAYLIGHT or source.aim.leave or head.stage is Stage.CONFIRMED
    if fixed or head.advice is None or head.best is None or head.best.dial is not None:
        return None
    hung = head.due.result if head.due else head.best
    if any(_dear(stack, source) is None for stack in (*head.listed_near, *_likely(hung))):
        return None
    if not head.listed_near and nearest(head.advice).miss.steps > plan.limits.tolerance_of(source):
        return PoorGel.OFF
    doubted = source.role is Role.PRACTICAL and not head.listed_near and head.check is None
    return _dear(hung, source) or (PoorGel.DOUBT if doubted and _likeliest(head) < SELDOM else None)


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


@lru_cache(maxsize=256)
def windows_of(
    cct: float, duv: float, tolerance: float, kind: Kind, gel_arrays: GelArrays, *, behind: bool = True
) -> tuple[LampWindow, ...]:
    """Return the windows for a white that is wanted, CCT [K] and Duv, within a tolerance [step].

    `kind` is that of the lamp that is there, in whose place another one comes.
    The first is without gel. With `behind`, the others are behind one weak sheet each, of those
    that are in use.
    """
    wanted = measure(Reading(cct=cct, duv=duv))
    sheets = [("", []), *((gel_arrays.names[k], [k]) for k in _weak(gel_arrays) if behind)]
    made_as = Kind.FLUORESCENT_TRIBAND if kind in _TUBES else Kind.LED_WHITE
    found = [
        _window(name, LampsBehind(indices, wanted, made_as, gel_arrays), tolerance, SOLD[kind])
        for name, indices in sheets
    ]
    return tuple(one for one in found if one is not None)


def _weak(gel_arrays: GelArrays) -> Iterator[int]:
    """Yield the indices of the weak sheets in use: CTO and CTB, then green, the weakest first."""
    for family, fraction in product(_FAMILIES, WEAK):
        for index, name in enumerate(gel_arrays.names):
            there = gel_arrays.family_keys[index] == family and name.rpartition(" ")[2] == fraction
            if there and gel_arrays.ranked[index]:
                yield index


def _window(gel: str, behind: LampsBehind, tolerance: float, on_sale: Sequence[int]) -> LampWindow | None:
    """Return the window of a sheet; None where no lamp of its kind comes in behind it."""
    middle = behind.middle()
    if middle is None:
        return None
    scale, mired = scale_at(middle), middle.mired
    # A box within an upright ellipse touches it with its corners, at a share of 1/√2 of its axes. This one
    # leans, since Δu′v′ stretches v: so the box shrinks until the farthest corners touch.
    widest = tolerance / sqrt(2.0) / np.array([scale.steps_per_mired, scale.steps_per_duv])
    halves = widest * _CLOSER ** np.arange(_MOST_CLOSER)[:, None]
    corners = np.array(list(product((-1.0, 1.0), repeat=2)))
    fits = behind.first_in(np.array([mired, middle.duv]) + halves[:, None] * corners, tolerance)
    if fits is None:
        return None
    along, across = halves[fits].tolist()
    low, high = MIRED_K / (mired + along), MIRED_K / (mired - along)
    cct = ceil(low / 10.0) * 10.0, floor(high / 10.0) * 10.0
    duv = ceil((middle.duv - across) * 1e4 - 1e-6) / 1e4, floor((middle.duv + across) * 1e4 + 1e-6) / 1e4
    if cct[1] - cct[0] < _LEAST_KELVINS or duv[1] < duv[0]:
        return None
    near = (named for named in on_sale if cct[0] <= named <= cct[1])
    sold = tuple(named for named in near if duv[0] <= duv_sold(named) <= duv[1])
    return LampWindow(gel, cct, duv, sold)


def duv_sold(cct: float) -> float:
    """Return the Duv that a lamp sold by a CCT [K] is meant to have.

    ANSI C78.377-2017, from memory: none below 2 870 K, above 57 700/T² − 44.6/T + 0.00854.
    """
    return 0.0 if cct < 2870.0 else 57700.0 / cct**2 - 44.6 / cct + 0.00854
