"""When a light that drifts leaves the tolerance of what is matched to it, or of what it is matched to.

The drift is taken on in a straight line, no farther than four times as long as it was watched. Neither the
weather nor the path of the sun is known.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from ...colour.observer.cct import in_range, uv_of_mired_duv
from ...colour.observer.chromaticity import steps_apart
from ...colour.observer.data import Array
from ...model import Reading, Refused, Stage, Target
from ...model.basis.base import name_key
from ..plan.light import uv_behind, uv_read
from ..plan.plan import Plan
from ..readings.target import offset
from ..stacks.prediction import predicted_behind, prepare
from .rate import DriftRate, rate_of
from .series import DriftSeries

_FARTHER = 4.0
"""How long a drift is taken on, as a multiple of how long it was watched. Our judgement."""
_AT_LEAST, _AT_MOST = 1.0, 12.0
"""The same, in hours at least and at most. Our judgement."""
_MINUTES = 2.0
"""How finely it is looked for. [min]"""
_PREDICTED = 9
"""Light behind gels is predicted at so many times, and in between on straight lines."""


@dataclass(frozen=True)
class Leaving:
    """When it no longer fits: `at` the time to expect, `early` and `late` within which nine in ten lie.

    `late` is None where that is farther ahead than anybody can say. `names` are the sources that no longer
    match then.
    """

    at: datetime
    early: datetime
    late: datetime | None
    names: tuple[str, ...]


@dataclass(frozen=True)
class DriftAhead:
    """How fast a source drifts, and when that shows; `leaving` is None where it does not, or nobody can say.

    `read_at` is when it was read last.
    """

    name: str
    rate: DriftRate
    read_at: datetime
    leaving: Leaving | None


def drift_ahead(plan: Plan, target: Target, i: int, series: DriftSeries) -> DriftAhead:
    """Return how the `i`-th source of a plan drifts, by what it read."""
    rate = rate_of(series, plan.limits.accuracy)
    leaving = _leaving(plan, target, i, series, rate) if rate.sure else None
    return DriftAhead(plan.heads[i].source.name, rate, series.at, leaving)


def _leaving(plan: Plan, target: Target, i: int, series: DriftSeries, rate: DriftRate) -> Leaving | None:
    horizon = min(max(_FARTHER * float(series.hours[-1]), _AT_LEAST), _AT_MOST)
    hours = np.arange(0.0, horizon + 1e-9, _MINUTES / 60.0)
    mired, duv = series.white.mired + rate.mired * hours, series.white.duv + rate.duv * hours
    hours = hours[np.cumprod(in_range(mired, duv)).astype(bool)]
    mired, duv = mired[: len(hours)], duv[: len(hours)]
    matched = target.source is not None and name_key(target.source) == name_key(plan.heads[i].source.name)
    ways = _others(plan, i, series, mired, duv) if matched else _own(plan, i, series, hours, mired, duv)
    first: dict[str, float] = {}
    for name, away, allowed in ways:
        if len(away) and away[0] <= allowed and (away > allowed).any():
            first[name] = float(hours[int((away > allowed).argmax())])
    if not first:
        return None
    soonest = min(first.values())
    late = soonest / (1.0 - rate.share)
    return Leaving(
        at=series.at + timedelta(hours=soonest),
        early=series.at + timedelta(hours=soonest / (1.0 + rate.share)),
        late=series.at + timedelta(hours=late) if late <= horizon else None,
        names=tuple(name for name, when in first.items() if when == soonest),
    )


def _others(
    plan: Plan, i: int, series: DriftSeries, mired: Array, duv: Array
) -> Iterator[tuple[str, Array, float]]:
    """Yield how far off each source that hangs is from the drifting one it is matched to (n,) [step]."""
    if series.gels:
        return
    for j in plan.prepared:
        head = plan.heads[j]
        if j == i or head.source.aim.leave or not head.hangs:
            continue
        uv = uv_behind(plan, j)
        if uv is not None:
            wanted = uv_of_mired_duv(*offset(mired, duv, head.source.aim))
            yield head.source.name, steps_apart(wanted, uv), _allowed(plan, j)


def _own(
    plan: Plan, i: int, series: DriftSeries, hours: Array, mired: Array, duv: Array
) -> Iterator[tuple[str, Array, float]]:
    """Yield how far off the drifting source is itself, behind what hangs on it (n,) [step]."""
    head = plan.heads[i]
    work = head.source.work
    if i not in plan.prepared or head.source.aim.leave or not head.hangs or work is None:
        return
    wanted, hung = plan.prepared[i].wanted.uv, tuple(sorted(work.gels))
    if series.gels == hung:
        yield head.source.name, steps_apart(uv_of_mired_duv(mired, duv), wanted), _allowed(plan, i)
    elif not series.gels:
        behind = _behind(plan, i, list(hung), hours, mired, duv)
        if behind is not None:
            yield head.source.name, steps_apart(behind, wanted), _allowed(plan, i)


def _behind(plan: Plan, i: int, hung: list[str], hours: Array, mired: Array, duv: Array) -> Array | None:
    """Return the light of a source behind its gels (n, 2) while it drifts; None where nobody can say."""
    bare = plan.prepared[i]
    if plan.gel_arrays is None or plan.target is None or not len(hours):
        return None
    indices = plan.gel_arrays.find(hung)
    some = np.unique(np.linspace(0, len(hours) - 1, _PREDICTED).astype(int))
    found = []
    for k in some:
        reading = Reading(cct=1e6 / float(mired[k]), duv=float(duv[k]), level=bare.source.reading.level)
        source = bare.source.model_copy(update={"reading": reading, "readings": [], "work": None})
        try:
            found.append(
                predicted_behind(prepare(source, plan.gel_arrays, plan.target), plan.gel_arrays, indices)
            )
        except Refused:
            break
    if len(found) < 2:
        return None
    predicted = np.array(found)
    known = hours[: some[len(found) - 1] + 1]
    path = np.stack([np.interp(known, hours[some[: len(found)]], predicted[:, c]) for c in (0, 1)], axis=1)
    read = None if plan.heads[i].changed else uv_read(plan, i)
    return path if read is None else path + (read - path[0])


def _allowed(plan: Plan, j: int) -> float:
    """Return how far off counts as right: the tolerance, or what somebody took for right."""
    source = plan.heads[j].source
    work = source.work
    taken = work.steps_off if work and work.stage is Stage.CONFIRMED and work.steps_off else 0.0
    return max(plan.limits.tolerance_of(source), taken)
