"""Dials before gel, always, while they reach: first, after a reading, and behind gels."""

import pytest

from advisor.advice.after_hanging.dials_first import dials_before_gel
from advisor.advice.plan.questions import by_hand
from advisor.model import Limits, Predicted, Reading, Stage, Target, Work
from advisor.web.wording.work import doing
from tests.advice.heads import NO_GREEN, dial, head, read
from tests.advice.lamps import plan
from tests.web.page import plain

TARGET = Target(cct=4300, locus="planckian")


def panel(reach=NO_GREEN, **more):
    return head([dial(3200), dial(5600)], reach, **more)


def hung(source, gels, setting, found, **more):
    predicted = Predicted(cct=4300, duv=0.0, uncertainty_steps=1.0)
    work = Work(
        stage=Stage.HUNG,
        gels=gels,
        dial=setting,
        predicted=predicted,
        read_bare=source.reading,
        read_behind=found,
    )
    return source.model_copy(update={"work": work})


def entries(*wanted):
    """Return stacks of a plan, each with other gels, dial and miss."""
    entry = plan(panel(), target=TARGET).alone.advice.stacks[0]
    return [
        entry.model_copy(
            update={
                "gels": gels,
                "dial": at and dial(at),
                "miss": entry.miss.model_copy(update={"steps": off}),
            }
        )
        for gels, at, off in wanted
    ]


@pytest.mark.parametrize(
    ("wanted", "hung", "first"),
    [
        ([(["CTO 1/4"], 4300, 0.5), ([], 4350, 2.8)], [], 1),
        ([(["CTO 1/4"], 4300, 0.5), ([], 4350, 3.2)], [], 0),
        ([(["CTO 1/4"], 4300, 2.5), ([], 4350, 3.4)], [], 1),
        ([(["CTO 1/4"], None, 0.5), ([], None, 2.8)], [], 0),
        ([([], 4300, 2.0), ([], 4350, 1.0)], [], 0),
        ([([], 4300, 0.5), (["CTO 1/4"], 3900, 1.5)], ["CTO 1/4"], 1),
    ],
    ids=["reach", "do not reach", "as near", "nobody knows them", "by rank", "what hangs stays"],
)
def test_the_dials_go_first_while_they_reach(wanted, hung, first):
    stacks = entries(*wanted)
    assert dials_before_gel(stacks, hung, 3.0) is stacks[first]


def test_a_head_whose_dials_reach_is_told_no_gel():
    for cct in (3000, 3600, 4300, 5200, 6000):
        made = plan(panel(kind="led-white"), target=Target(cct=cct, locus="planckian")).alone
        alone = [s for s in made.advice.stacks if s.dial and not s.gels and s.miss.steps <= 3.0]
        assert not alone or not made.best.gels


def test_a_reading_at_the_set_dials_that_is_off_turns_them_and_hangs_nothing():
    source = panel()
    off = Reading(cct=3900, duv=read(dial(4300)).duv, dial=dial(4300))
    newest = source.model_copy(update={"reading": off, "readings": [*source.readings, source.reading]})
    for lamp in (hung(source, [], dial(4300), off), hung(newest, [], dial(4300), off)):
        made = plan(lamp, target=TARGET).alone
        assert not made.check.settled
        assert made.swap.on == () and made.swap.dial.cct > 4300
        assert plain(doing(made)).startswith("Set 4")


def test_behind_gel_too_the_dials_are_turned_and_the_gel_stays():
    source = panel()
    gels = ["Plus green 1/8"]
    entry = by_hand(plan(source, target=TARGET), 0, gels, dial(4300))
    off = Reading(cct=entry.after.cct - 500, duv=entry.after.duv, dial=dial(4300), gels=gels)
    made = plan(hung(source, gels, dial(4300), off), target=TARGET, limits=Limits(tolerance_steps=6)).alone
    assert not made.check.settled
    assert made.swap.on == made.swap.off == () and made.swap.dial.cct > 4300


def test_what_the_dials_cannot_reach_gets_gel():
    source = head([dial(3200), dial(4000)], NO_GREEN.model_copy(update={"cct_to": 4000}))
    made = plan(source, target=Target(cct=5600)).alone
    assert made.best.gels
