"""The page of a head and the plans of its set give one order for it, before and after a plan is adopted.

The lamps are invented: Planckian radiators behind sheets that are off their labels.
"""

import pytest

from advisor.advice.next_plans.find import next_plans
from advisor.advice.next_plans.moved import what_moved
from advisor.advice.next_plans.way import PlanWay
from advisor.colour.observer.loci import daylight
from advisor.model import Source, Stage, Target, Work
from tests.advice.lamps import hung, lamp, looked, plan, planckian, read

BEFORE, AFTER = Target(cct=5220), Target(cct=5790)
LAMPS = [(3200.0, ["CTB 1/2", "CTB 1/8"]), (3050.0, ["CTB 3/4"]), (3350.0, ["CTB 1/2"])]


def metered(cct, gels, off=0.965):
    """A lamp with gel that was confirmed for the first target: a little warmer than its label."""
    there = read(planckian(cct), gels, lux=1000.0)
    found = looked(there.model_copy(update={"cct": there.cct * off}))
    one = hung(lamp(planckian(cct)), gels, found, target=BEFORE)
    left = plan(one, target=BEFORE).alone.check.left
    work = one.work.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": left, "read_bare": one.reading})
    return one.model_copy(update={"work": work, "name": f"Lamp {cct:.0f}"})


@pytest.fixture(scope="module")
def sources():
    bare = lamp(planckian(2900.0)).model_copy(update={"name": "Lamp bare"})
    return [*(metered(*one) for one in LAMPS), bare]


def orders(head):
    """What the page says is to come off and to go on."""
    if head.source.work is None:
        return (), tuple(sorted(head.best.gels))
    return (tuple(sorted(head.due.off)), tuple(sorted(head.due.on))) if head.due else ((), ())


def test_the_plan_that_goes_to_the_white_of_the_set_says_what_its_pages_say(sources):
    there = plan(*sources, target=AFTER)
    moved = what_moved(there, AFTER, BEFORE)
    assert moved is not None and moved.former == BEFORE
    found = next_plans(there, AFTER, moved.sources, moved.former)
    [follow] = [one for one in found.plans if one.way is PlanWay.FOLLOW]
    said = {turn.name: (tuple(sorted(turn.off)), tuple(sorted(turn.on))) for turn in follow.turns}
    assert any(off or on for off, on in said.values())
    for head in there.heads:
        if head.source.name in said:
            assert said[head.source.name] == orders(head)


def test_what_a_plan_leaves_is_left_by_the_pages_once_it_is_adopted(sources):
    there = plan(*sources, target=AFTER)
    for way in next_plans(there, AFTER, (), BEFORE).plans:
        then = plan(*sources, target=way.target)
        for turn in way.turns:
            if not turn.moves:
                assert then.heads[turn.index].due is None, (way.way, turn.name)


def window(gels):
    """A window that was read bare at 5 900 K and at 6 770 K, with gel that was hung for the white before."""
    bare, now = (read(daylight(cct), lux=900.0) for cct in (5900.0, 6770.0))
    work = Work(stage=Stage.HUNG, gels=gels, read_bare=now, read_behind=looked(read(daylight(6770.0), gels)))
    source = Source(name="Window", kind="daylight", reading=now, work=work)
    return source.model_copy(update={"readings": [bare, now]})


def test_a_window_that_is_matched_anew_did_not_move_and_goes_bare(sources):
    """All was brought to another white, and the target went to the window: nothing ever was at 5 900 K."""
    cold = Target(cct=4300)
    lamps = [metered(3200.0, ["CTB 1/4", "CTB 1/8"], 1.0), sources[3]]
    there = plan(window(["CTO 1/2"]), *lamps, target=Target(source="Window"))
    moved = what_moved(there, Target(source="Window"), cold)
    assert moved is not None and moved.sources == () and moved.former == cold
    found = next_plans(there, Target(source="Window"), moved.sources, moved.former)
    [follow] = [one for one in found.plans if one.way is PlanWay.FOLLOW]
    assert follow.turns[0].off == ("CTO 1/2",) == there.heads[0].due.off
