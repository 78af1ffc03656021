"""What mended readings make of a head: which were read behind one sheet, and how its work stands then."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import reduce

from ...advice.after_hanging.check import Check, predicted_of
from ...advice.plan.head import PlannedSource
from ...advice.plan.plan import Plan
from ...advice.plan.questions import by_hand
from ...model import Reading, Source, Stage, Work
from ...model.sets.behind import same_but_level, taken, with_found
from ...model.sets.whole import that_count
from ...store import StoredSource
from ...store.tables.records import StoredReading
from ..state import state
from .behind import at_other_dials
from .kept import plan_for


def behind_sheet(now: StoredSource, readings: Sequence[StoredReading], gel: str) -> list[StoredReading]:
    """Return the readings of a head that were taken behind a gel that hangs on it, since its stack hangs.

    What was read behind another stack with that gel stays: another sheet may have hung there. Readings that
    wait for somebody to say which gel it was are among them, whenever they were taken: one may have been
    taken before anybody said that the stack hangs, and filed behind it later.
    """
    work = now.source.work
    found = taken(work) if work else []
    owner = state().sets.get_set(now.set_id)
    waiting = plan_for(owner).heads[owner.index_of(now.id)].left_out if work else ()
    same = [one for one in waiting if work and sorted(one.gels) == sorted(work.gels)]
    since = state().sets.hangs_since(now.id, work.gels) if work else ""
    return [
        kept
        for kept in readings
        if kept.counts
        and gel in kept.reading.gels
        and (
            (since and kept.taken_at >= since)
            or kept.reading in found
            or any(same_but_level(kept.reading, one) for one in same)
        )
    ]


def behind_burnt(now: StoredSource, readings: Sequence[StoredReading]) -> list[StoredReading]:
    """Return the readings of a head that were taken behind what hangs, since that may have burnt or faded.

    There are none where the newest one is not doubted for that.
    """
    head = planned(now)
    if head.check is None or not head.check.burnt or now.source.work is None:
        return []
    doubted = [one for one in head.left_out if sorted(one.gels) == sorted(now.source.work.gels)]
    return [
        kept
        for kept in readings
        if kept.struck is None and any(same_but_level(kept.reading, one) for one in doubted)
    ]


def planned(now: StoredSource) -> PlannedSource:
    """Return a source in the plan of its set."""
    owner = state().sets.get_set(now.set_id)
    return plan_for(owner).heads[owner.index_of(now.id)]


def work_behind(
    now: StoredSource,
    head: PlannedSource,
    readings: Sequence[StoredReading],
    mended: Mapping[int, Reading],
) -> Work | None:
    """Return the work on a head, whose bare reading was taken behind its `gel_on`, as `mended` says."""
    stack, [found] = head.gel_on, mended.values()
    assert stack is not None, "somebody was asked"
    if now.source.work and now.source.work.hangs:
        return work_mended(now, readings, mended)
    bare, _ = that_count(_as_mended(readings, mended))
    work = Work(
        stage=Stage.HUNG,
        gels=stack.gels,
        predicted=predicted_of(stack, as_far=now.source.stands_as_far),
        read_bare=bare if bare.said else None,
        steps_off=stack.miss.steps,
        read_behind=found,
    )
    check = _check(now, readings, mended, work)
    if check is None or not check.reached or check.on_edge:
        return work
    return work.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": check.left})


def with_new_sheets(work: Work) -> Work:
    """Return the work once new sheets of the same hang: nothing was read behind those."""
    unread = work.model_copy(update={"read_behind": None, "read_elsewhere": []})
    return unread.model_copy(update={"stage": Stage.HUNG, "steps_off": None, "reused": []})


def exchanged(gels: Sequence[str], of: str, instead: str) -> list[str]:
    """Return gels with one of them exchanged, or without it where `instead` is empty."""
    index = list(gels).index(of)
    return [*gels[:index], *([instead] if instead else []), *gels[index + 1 :]]


def work_mended(
    now: StoredSource,
    readings: Sequence[StoredReading],
    mended: Mapping[int, Reading],
    gels: Sequence[str] | None = None,
) -> Work | None:
    """Return the work on a head once some of its `readings` are `mended`, by their ids; None as it is.

    `gels` are what really hangs, where that is not what was said. Where nothing does, it is still to be hung.
    """
    was = now.source.work
    if was is None or not was.hangs:
        return None
    if gels is not None and not gels and was.dial is None:
        return Work(gels=was.gels, predicted=was.predicted, read_bare=was.read_bare, steps_off=was.steps_off)
    if renewed := next(
        (mended[r.id] for r in readings if r.id in mended and r.reading == was.read_bare), None
    ):
        # It was predicted from the bare reading as it was typed, and so was its miss, unless that was read.
        read = was.read_behind is not None and was.stage is Stage.CONFIRMED
        left = was.steps_off if read else None
        bare = None if renewed.gels else renewed
        was = was.model_copy(update={"read_bare": bare, "predicted": None, "steps_off": left})
    hung = was if gels is None else _rehung(was, gels)
    found = taken(was)
    behind = [r for r in found if r not in [kept.reading for kept in readings]]  # of an older record
    for kept in readings:
        reading = mended.get(kept.id, kept.reading)
        theirs = kept.reading in found or (kept.id in mended and _hung_then(now, kept))
        theirs = theirs and kept.counts and not reading.gel_burnt
        if theirs and sorted(reading.gels) == sorted(hung.gels):
            behind.append(reading)
    told = [r for r in behind if not at_other_dials(r, now.source)]
    fresh = reduce(with_found, told, hung.model_copy(update={"read_behind": None, "read_elsewhere": []}))
    turned = _still_turned(now, readings, mended)
    fresh = _promised(now, readings, mended, fresh.model_copy(update={"read_turned": turned}))
    if taken(fresh) == found and gels is None and turned == was.read_turned:
        return was.model_copy(update={"predicted": fresh.predicted}) if renewed else None
    if fresh.read_behind == was.read_behind and gels is None:
        return fresh
    fresh = fresh.model_copy(update={"stage": Stage.HUNG, "steps_off": None})
    check = _check(now, readings, mended, fresh)
    if check is None or not check.reached or fresh.instead:
        return fresh
    return fresh.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": check.left})


def _still_turned(
    now: StoredSource, readings: Sequence[StoredReading], mended: Mapping[int, Reading]
) -> Reading | None:
    """Return what was read last at other dials than a head is set to, once that is mended; else None."""
    was = now.source.work.read_turned if now.source.work else None
    if was is None:
        return None
    turned = next((mended[kept.id] for kept in readings if kept.id in mended and kept.reading == was), was)
    return turned if at_other_dials(turned, now.source) else None


def _rehung(was: Work, gels: Sequence[str]) -> Work:
    """Return work with what really hangs; what was predicted was of something else."""
    other = was.instead if was.instead and was.instead.gels != list(gels) else None
    return Work(stage=Stage.HUNG, gels=list(gels), dial=was.dial, read_bare=was.read_bare, instead=other)


def _promised(
    now: StoredSource, readings: Sequence[StoredReading], mended: Mapping[int, Reading], work: Work
) -> Work:
    """Return work with what was predicted of it, as before anything was read behind it; as it is where known.

    Without it each reading behind the stack would be fitted to itself.
    """
    if work.predicted or work.read_bare is None:
        return work
    rest = [r for r in _as_mended(readings, mended) if sorted(r.gels) != sorted(work.gels) or not r.gels]
    counts, others = that_count(rest)
    source = now.source.model_copy(update={"reading": counts, "readings": others, "work": None})
    plan, i = _plan_with(now, source)
    entry = by_hand(plan, i, work.gels, work.dial)
    if entry is None:
        return work
    tolerance = plan.limits.tolerance_of(source)
    return work.model_copy(update={"predicted": predicted_of(entry, tolerance, source.stands_as_far)})


def _hung_then(now: StoredSource, kept: StoredReading) -> bool:
    """Whether what hangs on a head hung when a reading of it was taken."""
    then, work = state().sets.work_at(now.id, kept.taken_at), now.source.work
    return bool(then and work and then.hangs and then.gels == work.gels)


def _check(
    now: StoredSource, readings: Sequence[StoredReading], mended: Mapping[int, Reading], work: Work
) -> Check | None:
    """Compare what was found behind work with what is predicted, by all readings as they are mended."""
    counts, others = that_count(_as_mended(readings, mended))
    source = now.source.model_copy(update={"reading": counts, "readings": others, "work": work})
    plan, i = _plan_with(now, source)
    return plan.heads[i].check


def _as_mended(readings: Sequence[StoredReading], mended: Mapping[int, Reading]) -> list[Reading]:
    """Return the readings that count, as they are mended."""
    return [mended.get(kept.id, kept.reading) for kept in readings if kept.counts]


def _plan_with(now: StoredSource, source: Source) -> tuple[Plan, int]:
    """Return the plan of a head's set with it as another `source`, and its index there."""
    owner = state().sets.get_set(now.set_id)
    sources = [replace(s, source=source) if s.id == now.id else s for s in owner.sources]
    return plan_for(replace(owner, sources=tuple(sources))), owner.index_of(now.id)
