"""A plan that is out of date, where all share one stock: one other stack is advised."""

from advisor.advice.plan.questions import by_hand
from advisor.model import Limits, Stage
from advisor.web.wording.runners_up import runners_up
from advisor.web.wording.stacks import closest
from advisor.web.wording.work import outdated
from tests.advice.decided import hung_as
from tests.advice.lamps import SHIPPED, lamp, plan, planckian

SHARED = Limits(share_stock=True)
ROWS = [row.model_copy(update={"stock": 2}) for row in SHIPPED]


def test_it_names_what_is_advised_now_and_not_itself():
    was = lamp(planckian(3200))
    entry = by_hand(plan(was, limits=SHARED, rows=ROWS), 0, ["CTB full"])
    planned = hung_as(was, entry, Stage.PLANNED)
    now = planned.model_copy(update={"reading": lamp(planckian(4300)).reading})
    head = plan(now, limits=SHARED, rows=ROWS).alone
    bare = plan(now.model_copy(update={"work": None}), limits=SHARED, rows=ROWS).alone
    assert head.outdated
    assert head.first.gels == bare.first.gels != ["CTB full"]
    assert "full CTB" not in outdated(head)
    assert closest(head) == "", "what is advised now is said already"
    listed = {tuple(one.stack.gels): one.why for one in runners_up(head, SHARED)}
    assert listed[tuple(head.first.gels)] == "This is advised now."
    assert not any("decided" in why for why in listed.values())
