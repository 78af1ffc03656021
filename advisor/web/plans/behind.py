"""Readings of a head on which gel hangs: taken behind it, or bare; what they make of the work on it."""

from collections.abc import Sequence
from functools import reduce

from ...advice.after_hanging.check import like_hung, predicted_of
from ...advice.after_hanging.next_move import Swap
from ...advice.learned.taken import as_lit_now
from ...advice.plan.decided import with_work
from ...advice.plan.head import PlannedSource
from ...advice.plan.plan import Plan
from ...advice.readings.chromaticity import WhitePoint
from ...model import Reading, Setting, Source, Stage, Work
from ...model.sets.behind import stand_in_use, with_earlier, with_found
from ...store import StoredSource
from ..forms.taken import age, before_now
from ..state import state
from .kept import plan_for


def hanging(stored: StoredSource) -> Work | None:
    """Return the work on a head on which gel hangs; None where none does."""
    work = stored.source.work
    return work if work and work.gels and work.hangs else None


def set_on_dials(stored: StoredSource) -> Work | None:
    """Return the work on a head whose dials are set, without gel; None of any other."""
    work = stored.source.work
    return work if work and work.hangs and work.dial and not work.gels else None


def behind(reading: Reading, work: Work) -> Reading:
    """Return a reading as one that was taken behind what hangs."""
    return reading.model_copy(update={"gels": list(work.gels)})


def dials_set(source: Source) -> Setting | None:
    """Return how the dials of an adjustable head are set: as hung, else as read; None where nobody knows."""
    if source.reach is None:
        return None
    work = source.work
    hung = work.dial or (work.read_bare.dial if work.read_bare else None) if work and work.hangs else None
    return hung or source.reading.dial


def dials_to_meter(head: PlannedSource, source: Source) -> Setting | None:
    """Return where the dials of `source` stand at its next reading: as they are told to be, else as set.

    Who is told to turn them and then meters has turned them: how it reads as it was set is known. Where gel
    is to be changed too, they stand as they were set for what hangs, until somebody says that it was done.
    """
    if head.stage in (Stage.HUNG, Stage.CONFIRMED):
        turn = _only_to_turn(head)
        return turn.dial if turn else dials_set(source)
    told = head.best.dial if source.reach and head.best else None
    return told or dials_set(source)


def _only_to_turn(head: PlannedSource) -> Swap | None:
    """Return the change that a head is told to make, once read, where that turns dials and moves no gel."""
    due = head.due if head.check else None
    return due if due and due.dial and not (due.off or due.on) else None


def turned_as_told(head: PlannedSource, work: Work, reading: Reading, tolerance: float) -> Work:
    """Return the work with the dials that a head was told to turn, where a reading was taken at those.

    `tolerance` [step] is the head's.
    """
    turn = _only_to_turn(head)
    if turn is None or reading.dial != turn.dial:
        return work
    return Work(
        stage=Stage.HUNG,
        gels=work.gels,
        dial=turn.dial,
        predicted=predicted_of(turn.result, tolerance, head.source.stands_as_far),
        read_bare=work.read_bare,
        steps_off=turn.result.miss.steps,
        reused=work.reused,
    )


def set_as_told(head: PlannedSource, reading: Reading, tolerance: float) -> Work | None:
    """Return the work on a head that is told dials and no gel, once it was read at just those: they are set.

    None of any other. `tolerance` [step] is the head's.
    """
    told, source = head.best, head.source
    if source.reach is None or source.aim.leave or head.stage in (Stage.HUNG, Stage.CONFIRMED):
        return None
    if told is None or told.gels or told.dial is None or reading.gels or reading.dial != told.dial:
        return None
    return Work(
        stage=Stage.HUNG,
        dial=told.dial,
        predicted=predicted_of(told, tolerance, source.stands_as_far),
        read_bare=source.reading if source.reading.said else None,
        steps_off=told.miss.steps,
    )


def at_dials(reading: Reading, source: Source) -> Reading:
    """Return a reading of a head with its dials, as they are set where the reading does not say."""
    if reading.dial is not None or (dial := dials_set(source)) is None:
        return reading
    return reading.model_copy(update={"dial": dial})


def at_level(reading: Reading, source: Source) -> Reading:
    """Return a reading of a head with its dim level, that in use where the reading does not say."""
    if reading.level is not None or (level := stand_in_use(source).level) is None:
        return reading
    return reading.model_copy(update={"level": level})


def at_said_level(reading: Reading, source: Source) -> Reading:
    """Return a reading with the dim level at which somebody said that its head is used, where it has none."""
    return reading if source.level is None else at_level(reading, source)


def at_other_dials(reading: Reading, source: Source) -> bool:
    """Whether a reading was taken at other dials than a head is set to: it tells nothing of its work."""
    dial = dials_set(source)
    return dial is not None and reading.dial not in (None, dial)


def reads_like_behind(plan: Plan, i: int, whites: Sequence[WhitePoint]) -> bool:
    """Whether what was read of a head lies nearer to what hangs, as predicted, than to the bare head.

    Where nobody knows, it is taken for that: whoever meters a head with gel on meters the gel too.
    """
    head = plan.heads[i]
    if head.white is None or head.chosen is None or not whites:
        return True
    return like_hung(whites, head.chosen, head.white)


def works_found(now: StoredSource, work: Work, readings: Sequence[Reading]) -> Work:
    """Say what readings behind what hangs, oldest first, make of the work: confirmed where it is right.

    Those that were taken at other dials say nothing of it but that these were turned. What comes in late, and
    was taken before the newest of those, is kept beside it.
    """
    place = {"as_far": state().sets.as_far_then(now.id)}
    placed = [r.model_copy(update=place) for r in readings]
    late = age()
    if late and now.behind and now.behind.taken_at > before_now(late):
        return reduce(with_earlier, [r for r in placed if not at_other_dials(r, now.source)], work)
    owner = state().sets.get_set(now.set_id)
    plan, index = plan_for(owner), owner.index_of(now.id)

    changed = plan.heads[index].changed
    by_behind = changed is not None and changed.by_behind  # then the bare reading is of the light before

    def one(work: Work, reading: Reading) -> Work:
        if at_other_dials(reading, now.source):
            return work.model_copy(update={"read_turned": reading})
        lit = work if by_behind else as_lit_now(work, now.source, owner.limits.accuracy)
        hung = with_found(lit, reading).model_copy(update={"stage": Stage.HUNG})
        check = with_work(plan, index, hung, owner.limits).check
        if check is None or not check.reached or check.on_edge or work.instead:
            return hung
        return hung.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": check.left})

    return reduce(one, placed, work)
