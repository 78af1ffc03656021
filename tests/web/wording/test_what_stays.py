"""A change names what goes up beside what stays: “a second ⅛ minus green”."""

import pytest

from advisor.advice.after_hanging.next_move import Swap
from advisor.advice.plan.questions import by_hand
from advisor.model.sets.behind import changed
from advisor.web.wording.board import swapped
from advisor.web.wording.work import swap, up_still
from tests.advice.lamps import lamp, plan, planckian
from tests.web.page import plain

HANGS = ["CTB 1/4", "Minus green 1/8"]
CHANGES = [
    (
        ["CTB 1/8", "Minus green 1/8", "Minus green 1/8"],
        "Take off ¼ CTB, hang ⅛ CTB and a second ⅛ minus green",
        "swap ¼ CTB for ⅛ CTB + second ⅛ minus green",
        "⅛ minus green stays up",
    ),
    (
        [*HANGS, "Minus green 1/8"],
        "Add a second ⅛ minus green to ¼ CTB and ⅛ minus green",
        "add second ⅛ minus green",
        "",
    ),
    (["Minus green 1/8"], "Take off ¼ CTB", "take off ¼ CTB", "⅛ minus green stays up"),
    (["CTB 1/2"], "Take off ¼ CTB and ⅛ minus green, hang ½ CTB", "swap ¼ CTB + ⅛ minus green for ½ CTB", ""),
]


@pytest.mark.parametrize(("gels", "whole", "short", "stays"), CHANGES)
def test_it_says_which_of_its_name_goes_up(gels, whole, short, stays):
    result = by_hand(plan(lamp(planckian(4400))), 0, gels)
    change = Swap(*changed(HANGS, gels), result)
    assert (plain(swap(change)), plain(swapped(change)), plain(up_still(change))) == (whole, short, stays)
