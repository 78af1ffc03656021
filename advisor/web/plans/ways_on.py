"""The ways on for a stored set that no longer fits, and what adopting one of them keeps."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import lru_cache
from hashlib import sha256

from ...advice.after_hanging.check import predicted_of
from ...advice.learned.light_here import as_filed
from ...advice.next_plans.cuts import AtHand
from ...advice.next_plans.find import next_plans
from ...advice.next_plans.moved import Moved, what_moved
from ...advice.next_plans.way import NextPlan, NextPlans, Turn
from ...advice.next_plans.whites import frozen
from ...advice.plan.make import make_plan
from ...advice.plan.plan import Plan
from ...advice.plan.questions import by_hand
from ...model import Refused, Stage, Target, Work
from ...store import StoredSet
from ..state import state
from .aside import worked_aside
from .at_hand import at_hand_of
from .kept import PlanInputs, planned


def ways_on(now: StoredSet, asked: PlanInputs) -> NextPlans | None:
    """Return the ways on for a set, by what its plan follows from; None where what hangs fits, or never did.

    Raises Working where that takes longer than a page waits: where what is asked is large.
    """
    at_hand = AtHand(at_hand_of(now), tuple(now.walked))
    return _asked_ways(asked, _former(now), at_hand)


def moved_on(now: StoredSet, asked: PlanInputs) -> Moved | None:
    """Return what moved on a set, without any search; None where what hangs fits, or never did."""
    return _moved(asked, _former(now))


def mark_of_moved(now: StoredSet, asked: PlanInputs) -> str:
    """Return what tells what moved from what moves later: who, their newest readings, and the target.

    Empty where nothing moved. The crew may leave that as it is (`LightSet.stays_as`) until it is read anew.
    """
    moved = moved_on(now, asked)
    if moved is None:
        return ""
    readings = [
        one.source.reading.model_dump_json() for one in now.sources if one.source.name in moved.sources
    ]
    told = repr((moved.sources, readings, now.target.model_dump_json()))
    return sha256(told.encode()).hexdigest()[:24]


def _former(now: StoredSet) -> str:
    former = state().sets.previous_target(now.id)
    return "" if former is None else former.model_dump_json()


@lru_cache(maxsize=16)
def _moved(asked: PlanInputs, former: str) -> Moved | None:
    return what_moved(planned(asked), asked.target, Target.model_validate_json(former) if former else None)


@lru_cache(maxsize=16)
def _asked_ways(asked: PlanInputs, former: str, at_hand: AtHand) -> NextPlans | None:
    moved = _moved(asked, former)
    if moved is None:
        return None
    given = planned(asked), asked.target, moved, at_hand
    if not asked.large:
        return _found(*given)
    said = ["next plans", asked.number, former, repr(at_hand)]
    return worked_aside("The list of plans", said, _found, *given)


def _found(plan: Plan, target: Target, moved: Moved, at_hand: AtHand) -> NextPlans | None:
    try:
        found = next_plans(plan, target, moved.sources, moved.former, at_hand)
    except Refused:
        return None
    return replace(found, levels=moved.levels) if found.plans else None


def frozen_at(now: StoredSet, asked: PlanInputs) -> Target | None:
    """Return the target of a set that matches a source, fixed at what that reads now; None for others."""
    white = planned(asked).target
    if now.target.source is None or now.target_deleted or white is None:
        return None
    try:
        return frozen(white, now.target.tint)
    except Refused:
        return None


def mark_of(plan: NextPlan) -> str:
    """Return what tells a plan from others: where it leads to, and what it does on the way."""
    turns = [(turn.name, turn.gels, turn.off, repr(turn.standing)) for turn in plan.turns]
    return sha256(repr((plan.way, plan.target.model_dump_json(), turns)).encode()).hexdigest()[:24]


def is_adopted(now: StoredSet, plan: NextPlan, moved: Collection[str] = ()) -> bool:
    """Whether a plan is the one that a set has by now: its target, and on each head what it changes there.

    A head on which that was hung since may be changed once more: that is its own page's business, unless it
    is one of those that `moved`, by name.
    """
    busy = [turn for turn in plan.turns if turn.moves or turn.dial is not None]
    waiting = [turn for turn in busy if _is_planned(now, turn)]
    since = [turn for turn in busy if turn.name not in moved and _hangs_alone(now, turn)]
    return plan.target == now.target and bool(waiting) and all(t in waiting or t in since for t in busy)


def _hangs_alone(now: StoredSet, turn: Turn) -> bool:
    """Whether something hangs on a source and was metered, and nothing is planned in its place."""
    work = now.sources[turn.index].source.work
    return bool(work and work.hangs and work.read_behind and not work.instead)


def _is_planned(now: StoredSet, turn: Turn) -> bool:
    source = now.sources[turn.index].source
    planned = source.work.instead if source.work and source.work.hangs else source.work
    dial = turn.standing if source.reach else None
    return planned is not None and (sorted(planned.gels), planned.dial) == (sorted(turn.gels), dial)


def works_of(now: StoredSet, asked: PlanInputs, plan: NextPlan) -> Mapping[int, Work | None]:
    """Return the work on the sources of a set, by their ids, once a plan is adopted.

    What is to change is planned in the place of what hangs. Where what hangs stays, no other plan does.
    """
    there = make_plan(asked.sources, plan.target, asked.limits, asked.gels)
    return {now.sources[turn.index].id: _work(now, there, turn) for turn in plan.turns}


def _work(now: StoredSet, there: Plan, turn: Turn) -> Work | None:
    source = now.sources[turn.index].source
    was = source.work
    if not turn.moves and turn.dial is None:
        return was.model_copy(update={"instead": None}) if was and was.hangs else None
    entry = by_hand(there, turn.index, turn.gels, turn.standing if source.reach else None)
    reading = as_filed(source, there.heads[turn.index].source.reading)
    tolerance = there.limits.tolerance_of(source)
    fresh = Work(
        stage=Stage.PLANNED,
        gels=list(turn.gels),
        dial=turn.standing if source.reach else None,
        predicted=predicted_of(entry, tolerance, source.stands_as_far) if entry else None,
        read_bare=reading if reading.said else None,
        steps_off=entry.miss.steps if entry else None,
    )
    return was.model_copy(update={"instead": fresh}) if was and was.hangs else fresh
