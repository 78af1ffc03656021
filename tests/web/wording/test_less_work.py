"""What a tap says was done where less work would do: it names the gel, so that no two buttons read alike."""

import pytest

from advisor.advice.after_hanging.next_move import Swap
from advisor.advice.plan.questions import by_hand
from advisor.model.sets.behind import changed
from advisor.web.views.head import _less_done
from tests.advice.lamps import lamp, plan, planckian
from tests.web.page import plain

HANGS = ["CTB 1/4", "Minus green 1/8"]


@pytest.mark.parametrize(
    ("gels", "said"),
    [
        (["CTB 1/2", "Minus green 1/8"], "Less work: swapped to ½ CTB"),
        ([*HANGS, "CTB 1/8"], "Less work: added ⅛ CTB"),
        (["CTB 1/4"], "Less work: ⅛ minus green taken off"),
        ([], "Less work: ¼ CTB and ⅛ minus green taken off"),
    ],
)
def test_its_button_names_the_gel(gels, said):
    result = by_hand(plan(lamp(planckian(4400))), 0, gels)
    assert plain(_less_done(Swap(*changed(HANGS, gels), result))) == said
