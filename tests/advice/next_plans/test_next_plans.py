"""Hold, follow or move the white: against every assignment by brute force, and a day of a drifting window."""

import itertools

import numpy as np
import pytest

from advisor.advice.answer.one_stack import predict_stack
from advisor.advice.next_plans.find import next_plans
from advisor.advice.next_plans.moved import what_moved
from advisor.advice.next_plans.way import PlanWay
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import Limits, NoGel, Reading, Seen, Stage, Target, WantedOffset, Work
from tests.advice.decided import all_hung
from tests.advice.exhaustive import every_stack
from tests.advice.rows import nominal, source

ROWS = nominal()
EIGHT = [
    row for row in ROWS if row.family in ("CTO", "CTB") and row.fraction in ("1/8", "1/4", "1/2", "full")
]
MORNING, NOON = Reading(cct=7143.0, duv=0.003, lux=500.0), Reading(cct=7850.0, duv=0.003, lux=500.0)
HALF_A_STEP = 0.5
"""What a move counts. [step]"""


def hung(sources, target, gels=ROWS, limits=None):
    return all_hung(sources, target, limits or Limits(), gels)


def lamps(count):
    return [source(f"Lamp {i + 1}", "tungsten", 3000.0 + 20 * i, 0.0, lux=300.0) for i in range(count)]


def drifted(one, reading):
    return one.model_copy(update={"reading": reading, "readings": [*one.readings, one.reading]})


def window_set(count=4, gels=ROWS, limits=None):
    """A window that all lamps are matched to, in the morning, and what it reads at noon."""
    window = source("Window", "daylight", 7143.0, 0.003, lux=500.0)
    window = window.model_copy(update={"reading": MORNING})
    sources = hung([window, *lamps(count)], Target(source="Window"), gels, limits)
    return [drifted(sources[0], NOON), *sources[1:]]


def ways(sources, target, moved, gels=ROWS, limits=None, **extra):
    plan = make_plan(sources, target, limits or Limits(), gels)
    return next_plans(plan, target, moved, **extra)


def by_way(found):
    return {plan.way: plan for plan in found.plans}


def test_a_window_that_drifts_gets_an_eighth_and_nothing_else_moves():
    found = ways(window_set(), Target(source="Window"), ["Window"])
    hold = by_way(found)[PlanWay.HOLD]
    assert [(turn.name, turn.off, turn.on) for turn in hold.heads] == [("Window", (), ("CTO 1/8",))]
    assert hold.target.source is None
    assert hold.white.cct == pytest.approx(7143.0, abs=1.0)
    assert found.moved == ("Window",)


def test_to_follow_leaves_the_window_and_changes_the_others():
    follow = by_way(ways(window_set(), Target(source="Window"), ["Window"]))[PlanWay.FOLLOW]
    assert follow.target == Target(source="Window")
    assert "Window" not in {turn.name for turn in follow.heads}
    assert len(follow.heads) >= 3


def test_the_fewest_moves_come_first_and_equal_ones_by_miss():
    plans = ways(window_set(6), Target(source="Window"), ["Window"]).plans
    order = [(plan.moves, round(plan.miss, 6)) for plan in plans]
    assert order == sorted(order)
    assert plans[0].way is not PlanWay.FOLLOW
    assert len(plans) <= 3


def test_who_comes_near_only_by_luck_is_told_from_who_is_off_and_who_was_metered():
    """Nobody knows what kind of lamp it is: a sheet lands on the white as predicted, but may well not."""
    bar = source("Bar", "unknown", 4600.0, 0.009)
    sources = [*window_set(1), *hung([bar], Target(cct=7143.0, duv_offset=0.0))]
    for plan in ways(sources, Target(source="Window"), ["Window"]).plans:
        there = make_plan(sources, plan.target, Limits(), ROWS)
        for turn in plan.turns:
            stack = by_hand(there, turn.index, turn.gels, turn.standing)
            told_off = stack.miss.seen not in (Seen.MATCHES, Seen.CLOSE)
            assert turn in plan.off or turn.unsure == told_off, (plan.way, turn.name)
            assert not (turn in plan.off and turn.unsure)
    assert any(plan.unsure for plan in ways(sources, Target(source="Window"), ["Window"]).plans)


def exhaustive_fronts(sources, white, gels, limits, fixed=()):
    """For each source the miss beyond its tolerance and the moves of every stack, by plain predictions."""
    gel_arrays, found = gel_arrays_of(tuple(gels)), []
    for one in sources:
        bare = prepare(one.model_copy(update={"work": None}), gel_arrays, white)
        has = one.work.gels if one.work else []
        stacks = [[row.name for row in stack] for stack in every_stack(gels, [], limits.max_layers)]
        options = []
        for names in [has] if one.name in fixed else [has, *stacks]:
            miss = predict_stack(bare, limits, gel_arrays, names).miss.steps
            off = [*has]
            on = [name for name in names if name not in off or off.remove(name)]
            options.append((len(off) + len(on), max(miss - limits.tolerance_steps, 0.0)))
        found.append(options)
    return found


@pytest.mark.parametrize("tolerance", [1.0, 3.0])
def test_no_other_assignment_has_fewer_moves_for_no_larger_miss(tolerance):
    """All assignments of three sources, 13 stacks or more each, without any pruning."""
    limits = Limits(max_layers=2, tolerance_steps=tolerance)
    sources = window_set(2, EIGHT, limits)
    for plan in ways(sources, Target(source="Window"), ["Window"], EIGHT, limits).plans:
        fixed = ("Window",) if plan.way is PlanWay.FOLLOW else ()
        fronts = exhaustive_fronts(sources, plan.white, EIGHT, limits, fixed)
        for chosen in itertools.product(*fronts):
            moves, miss = (sum(part) for part in zip(*chosen, strict=True))
            assert not (moves < plan.moves and miss <= plan.miss + 1e-6), plan.way
            assert not (moves <= plan.moves and miss < plan.miss - 0.01), plan.way


def test_five_sources_are_exact_too_by_the_least_miss_of_every_number_of_moves():
    limits = Limits(max_layers=2, tolerance_steps=2.0)
    sources = window_set(4, EIGHT, limits)
    for plan in ways(sources, Target(source="Window"), ["Window"], EIGHT, limits).plans:
        fixed = ("Window",) if plan.way is PlanWay.FOLLOW else ()
        least = {0: 0.0}
        for options in exhaustive_fronts(sources, plan.white, EIGHT, limits, fixed):
            grown = {}
            for (moves, miss), (more, beyond) in itertools.product(least.items(), options):
                there = moves + more
                grown[there] = min(grown.get(there, np.inf), miss + beyond)
            least = grown
        assert plan.miss <= least[plan.moves] + 0.01, plan.way
        for moves, miss in least.items():
            assert moves >= plan.moves or miss > plan.miss, plan.way
            assert plan.cost <= miss + HALF_A_STEP * moves + 0.01, plan.way


def test_the_white_that_is_offered_is_the_cheapest_of_those_a_camera_offers():
    target = Target(cct=5600)
    sources = hung([source("Panel", "led-white", 4300.0, 0.0), *lamps(2)], target)
    former, target = target, Target(cct=4000)
    found = by_way(ways(sources, target, [], former=former))
    assert found[PlanWay.HOLD].target == former
    assert found[PlanWay.HOLD].moves == 0
    assert found[PlanWay.FOLLOW].target == target
    assert found[PlanWay.FOLLOW].moves > 0
    assert PlanWay.WHITE not in found  # nothing costs less than putting the target back


def test_a_white_between_needs_no_ladder():
    """Half of the lamps drifted: with the camera half the way along, all are close, and nobody climbs."""
    target = Target(cct=5600)
    same = [source(f"Lamp {i + 1}", "tungsten", 3200.0, 0.0, lux=300.0) for i in range(6)]
    sources = hung(same, target)
    sources[3:] = [drifted(one, Reading(cct=3280.0, duv=0.0, lux=300.0)) for one in sources[3:]]
    first, *others = ways(sources, target, ["Lamp 4", "Lamp 5", "Lamp 6"]).plans
    assert (first.way, first.moves, first.off) == (PlanWay.WHITE, 0, ())
    assert first.white.cct > 5600
    assert all(plan.off or plan.moves for plan in others)


def test_what_is_to_be_left_takes_no_part_and_what_nobody_hung_saves_no_moves():
    sources = window_set(2)
    left = source("Neon", "led-white", 2500.0, 0.0, aim=WantedOffset(leave=True))
    todo = source("Practical", "tungsten", 2700.0, 0.0)
    found = ways([*sources, left, todo], Target(source="Window"), ["Window"])
    assert found.left_out == ("Neon", "Practical")
    assert all(turn.name not in ("Neon", "Practical") for plan in found.plans for turn in plan.turns)


def test_light_lost_counts_all_that_falls_on_the_subject():
    hold = by_way(ways(window_set(1), Target(source="Window"), ["Window"]))[PlanWay.HOLD]
    assert 0.0 < hold.stops < 0.3
    dark = [
        one.model_copy(update={"reading": one.reading.model_copy(update={"lux": None})})
        for one in window_set(1)
    ]
    assert by_way(ways(dark, Target(source="Window"), ["Window"]))[PlanWay.HOLD].stops is None


def test_what_moved_is_found_from_readings():
    sources = window_set()
    target = Target(source="Window")
    assert what_moved(make_plan(sources, target, Limits(), ROWS), target).sources == ("Window",)
    still = hung([sources[0].model_copy(update={"readings": []}), *lamps(3)], target)
    assert what_moved(make_plan(still, target, Limits(), ROWS), target) is None


def test_a_window_without_gel_that_drifted_off_moved():
    """It may take none, so it is followed or left: 5 580 K was right at 5 600 K, 6 190 K is not."""
    target, then = Target(cct=5600), Reading(cct=5580.0, duv=0.003, lux=500.0)
    window = source("Window", "daylight", 5580.0, 0.003, lux=500.0, no_gel=NoGel.OTHER)
    window = window.model_copy(update={"reading": then})
    rest = hung(lamps(2), target)
    off = drifted(window, Reading(cct=6190.0, duv=0.003, lux=500.0))
    moved = what_moved(make_plan([off, *rest], target, Limits(), ROWS), target)
    assert moved is not None and moved.sources == ("Window",)
    found = by_way(ways([off, *rest], target, moved.sources))
    assert found[PlanWay.FOLLOW].white.cct == pytest.approx(6190.0, abs=5.0)
    assert all(turn.name != "Window" for plan in found.values() for turn in plan.heads)
    near = drifted(window, Reading(cct=5620.0, duv=0.003, lux=500.0))
    never = drifted(window.model_copy(update={"reading": Reading(cct=7000.0, duv=0.003)}), off.reading)
    gel = off.model_copy(update={"no_gel": None})
    for other in (window, near, never, gel):
        assert what_moved(make_plan([other, *rest], target, Limits(), ROWS), target) is None


def test_one_lamp_that_changed_is_named():
    target = Target(cct=5600)
    sources = hung(lamps(3), target)
    sources[1] = drifted(sources[1], Reading(cct=3600.0, duv=0.0, lux=300.0))
    plan = make_plan(sources, target, Limits(), ROWS)
    assert what_moved(plan, target).sources == ("Lamp 2",)
    found = by_way(next_plans(plan, target, ["Lamp 2"]))
    assert {turn.name for turn in found[PlanWay.HOLD].heads} == {"Lamp 2"}
    assert "Lamp 2" not in {turn.name for turn in found[PlanWay.FOLLOW].heads}


def test_a_target_that_was_changed_can_be_put_back():
    former, target = Target(cct=5600), Target(cct=4300)
    sources = hung(lamps(3), former)
    plan = make_plan(sources, target, Limits(), ROWS)
    moved = what_moved(plan, target, former)
    assert (moved.sources, moved.former) == ((), former)
    assert what_moved(plan, target) is None


def test_once_a_window_was_followed_the_target_moved_and_no_lamp():
    """A key whose level was turned since reads otherwise: that is not what makes it miss the new white."""
    window = source("Window", "daylight", 5600.0, 0.0033, lux=500.0)
    former = Target(cct=5600)
    sources = hung([window, *lamps(3)], former)
    sources[1] = drifted(sources[1], Reading(cct=2985.0, duv=0.0, lux=100.0, level=30.0))
    sources[0] = drifted(window, Reading(cct=6700.0, duv=0.0033, lux=500.0))
    plan = make_plan(sources, former, Limits(), ROWS)
    assert what_moved(plan, former) is None, "who nothing hangs on is out of nothing"
    sources[0] = sources[0].model_copy(
        update={"work": Work(stage=Stage.HUNG, read_bare=window.reading, predicted=None)}
    )
    plan = make_plan(sources, former, Limits(), ROWS)
    assert what_moved(plan, former).sources == ("Window",)
    follow = by_way(next_plans(plan, former, ["Window"]))[PlanWay.FOLLOW]
    plan = make_plan(sources, follow.target, Limits(), ROWS)
    moved = what_moved(plan, follow.target, former)
    assert (moved.sources, moved.former) == ((), former)


def test_after_a_change_of_the_target_a_lamp_that_drifts_is_named_still():
    former, target = Target(cct=5600), Target(cct=4700)
    sources = hung(lamps(3), target)
    sources[1] = drifted(sources[1], Reading(cct=3600.0, duv=0.0, lux=300.0))
    plan = make_plan(sources, target, Limits(), ROWS)
    assert what_moved(plan, target, former).sources == ("Lamp 2",)


def test_a_lamp_that_is_dimmed_is_told_from_one_that_drifts():
    target = Target(cct=5600)
    bright = [
        one.model_copy(update={"reading": one.reading.model_copy(update={"level": 100.0})})
        for one in lamps(3)
    ]
    sources = hung(bright, target)
    sources[1] = drifted(sources[1], Reading(cct=2700.0, duv=0.0, lux=100.0, level=40.0))
    plan = make_plan(sources, target, Limits(), ROWS)
    moved = what_moved(plan, target)
    assert (moved.sources, moved.levels) == (("Lamp 2",), ("Lamp 2",))


def test_what_was_followed_takes_part_and_no_other_white_looks_better_without_it():
    """A window that stays bare, drifted and was followed: no white that it would miss is offered then."""
    window = source("Window", "daylight", 7143.0, 0.003, lux=500.0)
    former = Target(cct=5600)
    sources = hung([window, *lamps(3)], former)
    follow_to = Target(cct=7143, locus="planckian", duv_offset=0.003)
    found = ways(sources, follow_to, [], former=former)
    assert "Window" not in found.left_out
    for one in found.plans:
        assert "Window" in {turn.name for turn in one.turns}


def test_a_day_of_a_window_never_asks_more_of_the_crew_than_the_plan_of_the_set():
    """Through a day in steps, each time from what then hangs, holding what the morning was."""
    sources = window_set(3)
    target = Target(source="Window")
    day = [7400.0, 7850.0, 8400.0, 7000.0, 6300.0, 5600.0]
    for cct in day:
        sources[0] = drifted(sources[0], Reading(cct=cct, duv=0.003, lux=500.0))
        plan = make_plan(sources, target, Limits(), ROWS)
        if what_moved(plan, target) is None:
            continue
        hold = by_way(next_plans(plan, target, ["Window"]))[PlanWay.HOLD]
        assert {turn.name for turn in hold.heads} <= {"Window"}
        assert hold.moves <= 3
        white = white_of(hold.target, [])
        [turn] = [turn for turn in hold.turns if turn.name == "Window"]
        bare = prepare(sources[0], gel_arrays_of(tuple(ROWS)), white)
        entry = predict_stack(bare, Limits(), gel_arrays_of(tuple(ROWS)), turn.gels)
        assert turn.steps == pytest.approx(entry.miss.steps, abs=0.01)


@pytest.mark.parametrize("later", [NOON, Reading(cct=6500.0, duv=0.003, lux=500.0)], ids=["noon", "back"])
def test_what_was_matched_to_a_window_is_held_where_the_target_is_frozen_since(later):
    """The window that the set went to has moved: to hold is the morning's white, not what it reads now."""
    frozen, former = Target(cct=7850.0, locus="planckian", duv_offset=0.003), Target(source="Window")
    sources = window_set(3)
    if later is not NOON:
        sources[0] = drifted(sources[0], later)
    plan = make_plan(sources, frozen, Limits(), ROWS)
    moved = what_moved(plan, frozen, former)
    assert (moved.sources, moved.former) == ((), former)
    found = by_way(next_plans(plan, frozen, moved.sources, moved.former))
    assert found[PlanWay.HOLD].target.cct == pytest.approx(MORNING.cct, abs=1)
    assert {turn.name for turn in found[PlanWay.HOLD].heads} <= {"Window"}
    assert found[PlanWay.FOLLOW].target == frozen
