"""What moved, so that a set which fitted no longer does: the light of a source, or the target."""

from dataclasses import dataclass, replace

from ...colour.observer.chromaticity import steps_apart
from ...model import Reading, Refused, Target
from ...model.basis.base import name_key
from ..plan.head import PlannedSource
from ..plan.plan import Plan
from ..readings.chromaticity import measure
from ..stacks.prediction import predicted_behind, prepare
from .standing import Standing, stand_as_hung
from .way import EVEN
from .whites import held, matched_before, total_beyond

_SEEN = 0.5
"""What hangs is out of place if it is farther beyond its tolerance. [step] Our judgement."""
_CHANGED = 1.0
"""Two readings farther apart are of two lights: the difference is just visible. [step]"""


@dataclass(frozen=True)
class Moved:
    """What moved: `sources` by name, or the target, which was `former` before.

    `levels` are those of the sources that read otherwise since they are used at another dim level.
    """

    sources: tuple[str, ...] = ()
    former: Target | None = None
    levels: tuple[str, ...] = ()


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
    left = tuple(plan.heads[i].source.name for i in plan.prepared if left_behind(plan, i, target))
    if not wrong:
        return Moved(left) if left else None
    if target.source is not None and _matched_moved(plan, target.source, hung):
        return Moved((target.source,))
    then = {one.index: _as_hung_then(plan, one) for one in hung}
    if found := _target_moved(plan, former, list(then.values())):
        return found
    lights = [one for one in wrong if _light_moved(plan, one, then[one.index])]
    names = (*(one.name for one in lights), *left)
    levels = tuple(one.name for one in lights if _level_changed(plan.heads[one.index]))
    return Moved(names, levels=levels) if names else None


def left_behind(plan: Plan, i: int, target: Target) -> Reading | None:
    """Return the newest bare reading with which the `i`-th source, on which no gel may hang, still fitted.

    None where it fits now, or never did, where gel hangs on it, and where the `target` matches it. Readings
    at another dim level, and those of about the same light, do not count.
    """
    source = plan.heads[i].source
    may = source.no_gel is not None and not source.hanging and not source.aim.leave
    if not may or i not in plan.prepared or name_key(source.name) == name_key(target.source or ""):
        return None
    if plan.target is None or plan.gel_arrays is None or len(source.bare_readings) < 2:
        return None
    try:
        now = stand_as_hung(plan, i, plan.limits, plan.gel_arrays, fixed=True)
    except Refused:
        return None
    if total_beyond([now], plan.target) <= _SEEN:
        return None
    for reading in reversed(source.bare_readings[:-1]):
        alike = reading.level == source.reading.level and _apart(reading, source.reading) > _CHANGED
        then = _in_light_of(plan, now, reading) if alike else now
        if then is not now and total_beyond([then], plan.target) <= EVEN:
            return reading
    return None


def _target_moved(plan: Plan, former: Target | None, hung: list[Standing]) -> Moved | None:
    """Return that the target moved, where what was hung, in the light of then, fitted the one before."""
    if former is None or plan.target is None:
        return None
    try:
        _, white = matched_before(former, [head.source for head in plan.heads], hung)
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
    if white is None or total_beyond(others, white) >= total_beyond(others, plan.target) - _SEEN:
        return False
    # A white that nothing was brought to was never held: the target was changed since, not the light.
    return any(total_beyond([one], white) <= _SEEN < total_beyond([one], plan.target) for one in others)


def _light_changed(head: PlannedSource) -> bool:
    """Whether a source reads bare otherwise than when what hangs on it was hung."""
    work = head.source.work
    if head.changed:
        return True
    return bool(work and work.read_bare and _apart(work.read_bare, head.source.reading) > _CHANGED)


def _light_moved(plan: Plan, now: Standing, then: Standing) -> bool:
    """Whether what hangs on a source is out of place since its light changed, and would not be else."""
    assert plan.target is not None, "something was planned for it"
    head = plan.heads[now.index]
    if now is then:  # what it read when that was hung is not known
        return _light_changed(head)
    return total_beyond([then], plan.target) < total_beyond([now], plan.target) - _SEEN


def _level_changed(head: PlannedSource) -> bool:
    """Whether a source is used at another dim level than it was read at when what hangs was hung."""
    work, level = head.source.work, head.source.reading.level
    was = work.read_bare.level if work and work.read_bare else None
    return None not in (was, level) and was != level


def _as_hung_then(plan: Plan, one: Standing) -> Standing:
    """Return a source with its light as it read when what hangs on it was hung; itself where that is so now.

    What hangs is then where it was predicted from that light.
    """
    head = plan.heads[one.index]
    was = head.source.work.read_bare if head.source.work else None
    if was is None or not _light_changed(head):
        return one
    return _in_light_of(plan, one, was)


def _in_light_of(plan: Plan, one: Standing, was: Reading) -> Standing:
    """Return a source, as it hangs, in the light of another bare reading; itself where that is no white."""
    if plan.target is None or plan.gel_arrays is None:
        return one
    update = {"reading": was, "readings": [], "level": None}
    source = plan.heads[one.index].source.model_copy(update=update)
    try:
        bare = prepare(source, plan.gel_arrays, plan.target)
    except Refused:
        return one
    uv = one.uv.copy()
    uv[0] = predicted_behind(bare, plan.gel_arrays, plan.gel_arrays.find(one.hung))
    return replace(one, uv=uv)


def _apart(one: Reading, other: Reading) -> float:
    """Return how far two readings are apart [step]; nothing where one is no white."""
    try:
        here, there = measure(one), measure(other)
    except Refused:
        return 0.0
    return float(steps_apart(here.uv, there.uv))
