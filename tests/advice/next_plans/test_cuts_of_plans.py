"""The cuts of a way on: those that its work order and its pull list count once it is adopted."""

import random
from collections import Counter

import pytest

from advisor.advice.next_plans.cuts import NOTHING, AtHand, fallen_from
from advisor.advice.next_plans.find import next_plans
from advisor.advice.next_plans.way import PlanWay
from advisor.advice.plan.make import make_plan
from advisor.advice.pull_list.build import pull_list
from advisor.model import Limits, Opening, Reading, Stage, Target, Work
from advisor.model.gels.formats import EXAMPLE_SIZES
from tests.advice.decided import all_hung
from tests.advice.rows import nominal, source

ROWS = nominal()
LIMITS = Limits(max_layers=2)
FORMER, NOW = Target(cct=5600), Target(cct=4700)
LARGE, SMALL = [Opening(width=1.0, height=1.0)], [Opening(width=0.4, height=0.5)]


def lamp(number, cct, openings):
    return source(f"Lamp {number}", "led-white", float(cct), 0.0, lux=300.0).model_copy(
        update={"openings": openings}
    )


def ways(sources, at_hand=NOTHING):
    plan = make_plan(sources, NOW, LIMITS, ROWS)
    return {one.way: one for one in next_plans(plan, NOW, [], FORMER, at_hand).plans}


def adopted(sources, way):
    """The sources once a way is adopted: its gels planned in the place of what hangs."""
    for turn in way.turns:
        if turn.moves:
            was = sources[turn.index].work or Work(stage=Stage.HUNG)
            fresh = Work(stage=Stage.PLANNED, gels=list(turn.gels), read_bare=sources[turn.index].reading)
            work = was.model_copy(update={"instead": fresh})
            sources[turn.index] = sources[turn.index].model_copy(update={"work": work})
    return sources


def counted(cuts):
    return Counter(cut.gel for cut in cuts)


@pytest.mark.parametrize("seed", range(6))
def test_a_way_says_to_the_cut_what_the_pull_list_says_once_it_is_adopted(seed):
    """Sets of lamps with panels, large, small or of no size, walked in any order."""
    draw = random.Random(seed)
    drawn = [(draw.randint(3300, 6800), draw.choice([LARGE, SMALL, []])) for _ in range(5)]
    sources = all_hung([lamp(k, *one) for k, one in enumerate(drawn)], FORMER, LIMITS, ROWS)
    walk = tuple(draw.sample(range(5), 5))
    follow = ways(sources, AtHand((), walk))[PlanWay.FOLLOW]
    plan = make_plan(adopted(sources, follow), NOW, LIMITS, ROWS)
    pulls = pull_list([plan], ROWS, EXAMPLE_SIZES.rows, walks=[walk])
    new, again = Counter(), Counter()
    for line in pulls.gels:
        for use in line.uses:
            if not use.hangs:
                (again if use.reused else new)[line.name] += use.cuts
    assert (counted(follow.fresh), counted(follow.again)) == (+new, +again)


def panel(number, cct, hung_gels, openings):
    """A lamp that read 5 600 K when it was hung, and now another CCT."""
    work = Work(stage=Stage.HUNG, gels=hung_gels, read_bare=Reading(cct=5600, duv=0))
    reading = Reading(cct=cct, duv=0.0033, lux=300)
    return lamp(number, cct, openings).model_copy(update={"work": work, "reading": reading})


@pytest.mark.parametrize(
    ("gives", "takes", "again"),
    [(LARGE, SMALL, 1), (SMALL, LARGE, 0), ([], [], 1), (LARGE, [], 0), ([], SMALL, 0)],
)
def test_a_cut_goes_up_again_where_it_covers_and_where_nobody_gave_sizes(gives, takes, again):
    """A lamp that needs its quarter no more, and one that needs it now."""
    sources = [panel(1, 4700, ["CTO 1/4"], gives), panel(2, 5400, [], takes)]
    follow = ways(sources)[PlanWay.FOLLOW]
    assert [(turn.off, turn.on) for turn in follow.turns] == [(("CTO 1/4",), ()), ((), ("CTO 1/4",))]
    assert (len(follow.again), len(follow.fresh)) == (again, 1 - again)


def test_what_hung_on_a_head_that_failed_is_down_already():
    dead = source("Dead", "tungsten", 3200.0, 0.0).model_copy(
        update={"work": Work(stage=Stage.HUNG, gels=["CTB full"]), "openings": SMALL}
    )
    [cut] = fallen_from(dead)
    assert (cut.gel, cut.sides, cut.source, cut.off) == ("CTB full", (0.4, 0.5), "Dead", None)
