"""Duv of opposite signs behind one stack that was left as it is: when that is a slip, and when it is not."""

from dataclasses import replace

import pytest

from advisor.advice.after_hanging.signs import other_sign
from advisor.advice.plan.needs import needs_of
from advisor.model import Limits, Reading, Seen
from advisor.web.views.standing import found_view
from advisor.web.wording.board import band_said
from advisor.web.wording.runners_up import runners_up
from tests.advice.lamps import hung, lamp, plan, planckian, read

GELS = ["CTO 1/2"]


def behind(*figures):
    return [Reading(cct=cct, duv=duv, gels=GELS) for cct, duv in figures]


def test_the_same_figure_with_the_other_sign_is_asked_about():
    first, last = both = behind((4230, 0.0017), (4200, -0.0018))
    assert other_sign(last, both) == first


@pytest.mark.parametrize(
    "figures",
    [
        [(4200, -0.0018)],
        [(4230, 0.0008), (4200, -0.0008)],  # within what a meter scatters about nothing
        [(4230, 0.0035), (4200, -0.0018)],  # another figure: the light may have changed
        [(4600, 0.0017), (4200, -0.0018)],
        [(4210, -0.0019), (4230, 0.0017), (4200, -0.0018)],  # a third one tells
        [(4230, 0.0017), (4200, -0.0018), (4200, -0.0018)],
    ],
    ids=str,
)
def test_what_says_nothing_of_a_sign(figures):
    read = behind(*figures)
    assert other_sign(read[-1], read) is None


def test_what_was_not_typed_has_no_sign_to_mistake():
    spot = Reading(xy=(0.37, 0.37), gels=GELS)
    assert other_sign(spot, [*behind((4230, 0.0017)), spot]) is None


def test_what_hangs_and_was_read_is_no_other_stack_to_choose():
    """Its ranking has it close, by earlier readings; it was metered off, and nothing else there is near."""
    gels = ["CTB 1/2"]
    head = plan(hung(lamp(planckian(3200)), gels, read(planckian(3250), gels))).alone
    assert head.check and not head.check.settled
    here, there = head.advice.stacks[:2]
    near = here.model_copy(update={"gels": gels, "miss": here.miss.model_copy(update={"seen": Seen.CLOSE})})
    far = {"seen": Seen.OBVIOUS, "expected_steps": 60.0}
    bare = there.model_copy(update={"gels": [], "same_as": None, "miss": there.miss.model_copy(update=far)})
    still = replace(head.check, swap=replace(head.check.swap, off=(), on=()))
    stuck = replace(
        head, check=still, advice=head.advice.model_copy(update={"stacks": [near, bare], "least_stops": 0.0})
    )
    assert stuck.listed_near == ()
    assert band_said(stuck, needs_of(stuck)) == "Closest there is"
    assert found_view(stuck, "", "", drifted=False).stuck.startswith("Closest there is.")
    assert [one.why for one in runners_up(stuck, Limits())] == [""], "what is predicted of it is no reason"
    assert replace(stuck, check=None).listed_near == (), "nor is it where it was not read"
    assert replace(stuck, check=None, chosen=None).listed_near == (near,)
