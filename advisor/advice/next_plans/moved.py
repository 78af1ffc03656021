"""What moved, so that a set which fitted no longer does: the light of a source, or the target."""

from dataclasses import dataclass

from ...colour.observer.chromaticity import steps_apart
from ...model import Reading, Refused, Target
from ...model.basis.base import name_key
from ..plan.head import PlannedSource
from ..plan.plan import Plan
from ..readings.chromaticity import measure
from ..readings.target import white_of
from .standing import Standing, stand_as_hung
from .whites import held, total_beyond

_SEEN = 0.5
"""What hangs is out of place if it is farther beyond its tolerance. [step] Our judgement."""
_CHANGED = 1.0
"""Two readings farther apart are of two lights: the difference is just visible. [step]"""


@dataclass(frozen=True)
class Moved:
    """What moved: `sources` by name, or the target, which was `former` before."""

    sources: tuple[str, ...] = ()
    former: Target | None = None


def what_moved(plan: Plan, target: Target, former: Target | None = None) -> Moved | None:
    """Return what moved since the set was hung; None where what hangs still fits, or never did.

    `former` is the target before the present one, if there was one.
    """
    if plan.target is None or plan.gel_arrays is None:
        return None
    hung = []
    for i in plan.prepared:
        source = plan.heads[i].source
        if source.work and source.work.hangs and not source.aim.leave:
            try:
                hung.append(stand_as_hung(plan, i, plan.limits, plan.gel_arrays, fixed=True))
            except Refused:
                continue
    wrong = [one for one in hung if total_beyond([one], plan.target) > _SEEN]
    if not wrong:
        return None
    if target.source is not None and _matched_moved(plan, target.source, hung):
        return Moved((target.source,))
    lights = [one.name for one in wrong if _light_changed(plan.heads[one.place])]
    if lights:
        return Moved(tuple(lights))
    return _target_moved(plan, former, hung)


def _target_moved(plan: Plan, former: Target | None, hung: list[Standing]) -> Moved | None:
    """Return that the target moved, where what hangs fitted the one before plainly better."""
    if former is None or plan.target is None:
        return None
    try:
        white = white_of(former, [head.source for head in plan.heads])
    except Refused:
        return None
    better = total_beyond(hung, white) < total_beyond(hung, plan.target) - _SEEN
    return Moved(former=former) if better else None


def _matched_moved(plan: Plan, name: str, hung: list[Standing]) -> bool:
    """Whether the source that the target matches was read anew, and what hangs fitted it before."""
    matched = next((h.source for h in plan.heads if name_key(h.source.name) == name_key(name)), None)
    others = [one for one in hung if name_key(one.name) != name_key(name)]
    if matched is None or not others or plan.target is None:
        return False
    white = held(matched, others)
    return white is not None and total_beyond(others, white) < total_beyond(others, plan.target) - _SEEN


def _light_changed(head: PlannedSource) -> bool:
    """Whether a source reads bare otherwise than when what hangs on it was hung."""
    work = head.source.work
    if head.changed:
        return True
    return bool(work and work.read_bare and _apart(work.read_bare, head.source.reading) > _CHANGED)


def _apart(one: Reading, other: Reading) -> float:
    """Return how far two readings are apart [step]; nothing where one is no white."""
    try:
        here, there = measure(one), measure(other)
    except Refused:
        return 0.0
    return float(steps_apart(here.uv, there.uv))
