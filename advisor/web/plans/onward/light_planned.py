"""What planning the light that is asked for keeps: each source's work, its dimmer, where its stand goes."""

from collections.abc import Mapping
from math import isclose

from ....advice.after_hanging.check import predicted_of
from ....advice.light_aims.solve import LightSolution
from ....advice.light_aims.ways import LightMove, LightWay
from ....advice.plan.plan import Plan
from ....advice.readings.dim_levels import in_use
from ....model import Source, Stage, StandMove, Work
from ....store import StoredSet


def works_of_light(
    now: StoredSet, plan: Plan, found: LightSolution, chosen: Mapping[int, str]
) -> tuple[dict[int, Work | None], dict[int, float], dict[int, StandMove | None]]:
    """Return the work on sources, their dimmers' levels, and their stands, by their ids, once it is planned.

    `chosen` is the mark of another way than the first, by the source's id.
    """
    works: dict[int, Work | None] = {}
    levels: dict[int, float] = {}
    stands: dict[int, StandMove | None] = {}
    for one in found.sources:
        stored = now.sources[one.index]
        if one.best is None:
            continue
        way = next((way for way in one.ways if way.move == chosen.get(stored.id)), one.best)
        if way.level is not None:
            levels[stored.id] = way.level
        works[stored.id] = _work(stored.source, plan, way)
        stands[stored.id] = _stand_kept(stored.source, stand_of(stored.source, way))
    return works, levels, stands


def is_planned(now: StoredSet, found: LightSolution) -> bool:
    """Whether each source that is to do something for the light is planned to, in one of its ways."""
    asked = [(now.sources[one.index].source, one.ways) for one in found.sources if one.ways]
    return bool(asked) and all(any(_is_way(source, way) for way in ways) for source, ways in asked)


def _is_way(source: Source, way: LightWay) -> bool:
    work = source.work
    planned = (work.instead or work) if work else None
    if planned is None or way.level not in (None, source.level):
        return False
    dial = way.stack.dial if source.reach else None
    if (sorted(planned.gels), planned.dial) != (sorted(way.stack.gels), dial):
        return False
    goes, asked = source.stand if source.stand and not source.stand.done else None, stand_of(source, way)
    return goes == asked or bool(goes and asked and isclose(goes.times, asked.times, rel_tol=0.01))


def stand_of(source: Source, way: LightWay) -> StandMove | None:
    """Return where a way has a stand go; None where it stays."""
    if way.move is not LightMove.DISTANCE:
        return None
    read_at = source.test.distance if source.test and source.reading.tested_at else None
    return StandMove(times=way.times, distance=read_at and read_at * way.times)


def _stand_kept(source: Source, asked: StandMove | None) -> StandMove | None:
    """Return where a stand is to go; one that was asked to go there before stays as far as it came.

    One that was moved, and not read there yet, is asked from where it stands.
    """
    was = source.stand
    if was is not None and was.done:
        return asked or was
    same = was and asked and isclose(was.times, asked.times, rel_tol=0.01)
    return was if same else asked


def _work(source: Source, plan: Plan, way: LightWay) -> Work:
    was = source.work if source.work and source.work.hangs else None
    gels = list(way.stack.gels)
    if was and sorted(was.gels) == sorted(gels) and way.level is None and not way.stack.dial:
        return was.model_copy(update={"instead": None})
    as_used = source if way.level is None else source.model_copy(update={"level": way.level})
    reading = in_use(as_used).reading if source.reading.said else None
    fresh = Work(
        stage=Stage.PLANNED,
        gels=gels,
        dial=way.stack.dial if source.reach else None,
        predicted=predicted_of(way.stack, plan.limits.tolerance_of(source), source.stands_as_far),
        read_bare=reading,
        steps_off=way.stack.miss.steps,
    )
    return was.model_copy(update={"instead": fresh}) if was else fresh
