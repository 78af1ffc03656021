"""One stock for all, after the first round: what is changed on a head takes no sheet that another one has."""

from collections import Counter

import pytest

from advisor.model import UNREAD, Limits
from tests.advice.lamps import SHIPPED, hung, lamp, looked, plan, planckian, read

SHARED = Limits(share_stock=True)
OTHERS = ["CTB 1/2", "CTB 1/2"]
HERE = ["CTB 3/4"]


def stocked(**counts):
    """The shipped table with two sheets of half CTB, and plenty of all others but for `counts`."""
    counts = {"CTB 1/2": 2, **{name.replace("_", " "): n for name, n in counts.items()}}
    return [row.model_copy(update={"stock": counts.get(row.name, row.stock)}) for row in SHIPPED]


@pytest.fixture
def warm():
    """A lamp on which three quarters CTB hang, too little by far: it is warmer than it read bare."""
    found = looked(read(planckian(2500), HERE))
    return hung(lamp(planckian(3200)), HERE, found).model_copy(update={"name": "Warm"})


@pytest.fixture
def holder():
    """A lamp that has both sheets of half CTB."""
    return hung(lamp(planckian(3200)), OTHERS).model_copy(update={"name": "Holder"})


def test_a_change_takes_no_sheet_that_hangs_elsewhere(warm, holder):
    rows = stocked(CTB_full=0)
    alone, _ = plan(warm, holder, rows=rows).heads
    assert "CTB 1/2" in alone.due.on
    beside, _ = plan(warm, holder, rows=rows, limits=SHARED).heads
    assert beside.swap is not None and "CTB 1/2" not in beside.swap.on
    listed = Counter(name for stack in beside.advice.stacks for name in stack.gels)
    assert listed["CTB 1/2"] == 0 and any("CTB 1/2" in stack.gels for stack in alone.advice.stacks)


def test_one_that_comes_down_elsewhere_is_at_hand_again(warm, holder):
    rows = stocked(CTB_full=0)
    down = holder.model_copy(
        update={"work": None, "keep": [], "aim": holder.aim.model_copy(update={"leave": True})}
    )
    beside, _ = plan(warm, down, rows=rows, limits=SHARED).heads
    assert "CTB 1/2" in beside.due.on


def test_what_hangs_here_stays_at_hand(holder):
    rows = stocked()
    found = looked(read(planckian(3200), OTHERS))
    first = holder.model_copy(update={"work": holder.work.model_copy(update={"read_behind": found})})
    second = hung(lamp(planckian(3000)), ["CTB full"]).model_copy(update={"name": "Other"})
    here, _ = plan(first, second, rows=rows, limits=SHARED).heads
    assert any(Counter(stack.gels)["CTB 1/2"] == 2 for stack in here.advice.stacks)


def test_the_wrong_gel_may_be_one_that_was_promised_elsewhere(holder):
    """Somebody took it: sheets that another head is to have are on the truck all the same."""
    rows = stocked()
    found = read(planckian(3200), ["CTB 1/2"])
    mixed = hung(lamp(planckian(3200)), HERE, found).model_copy(update={"name": "Mixed up"})
    for limits in (Limits(), SHARED):
        here, _ = plan(mixed, holder, rows=rows, limits=limits).heads
        assert here.check.mistake is not None and "CTB 1/2" in str(here.check.mistake)


def test_what_hangs_on_a_head_that_nobody_read_is_not_free(holder):
    """Its lamp was changed, or all its readings were struck out: the gel is up all the same."""
    unread = holder.model_copy(update={"reading": UNREAD, "readings": []})
    other = lamp(planckian(3200)).model_copy(update={"name": "Other"})
    only = [row.model_copy(update={"stock": 2 if row.name == "CTB 1/2" else 0}) for row in SHIPPED]
    assert "CTB 1/2" in plan(other, rows=only, limits=SHARED).alone.best.gels
    assert plan(other, unread, rows=only, limits=SHARED).heads[0].best.gels == []
