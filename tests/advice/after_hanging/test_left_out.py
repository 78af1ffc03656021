"""What reads as if another gel hung counts for nothing until somebody looked, and is no trouble after."""

import pytest

from advisor.model import Reading, Source
from tests.advice.lamps import hung, lamp, looked, plan, planckian, read

SEEMED, TRUE = planckian(3200), planckian(3230)
SAID, REALLY = ["CTB 3/4"], ["CTB 1/2"]


def behind(*gels):
    """Return what a meter reads of the true lamp behind gels."""
    return read(TRUE, list(gels), lux=1000.0)


def wrong():
    """Return a reading that was filed behind ¾ CTB, and taken behind ½."""
    return behind(*REALLY).model_copy(update={"gels": SAID})


def source(*readings):
    """Return a lamp that was read bare, and then behind gels."""
    return lamp(SEEMED, lux=1000.0).model_copy(update={"readings": list(readings)})


def costs(one):
    """Return what the stacks of a lamp cost, by their gels, as the list has them."""
    return [(stack.gels, round(stack.cost, 6)) for stack in plan(one).alone.advice.stacks]


def test_what_hangs_is_asked_about_and_the_advice_is_as_if_it_had_not_been_read():
    odd = hung(source(), SAID, wrong())
    head = plan(odd).alone
    assert (head.check.mistake.of, head.check.mistake.instead) == ("CTB 3/4", "CTB 1/2")
    assert head.swap is None and head.left_out == (wrong(),)
    assert costs(odd) == costs(hung(source(), SAID))


def test_once_somebody_looked_it_counts_and_says_what_to_change():
    head = plan(hung(source(), SAID, looked(wrong()))).alone
    assert head.left_out == () and head.check.mistake is None
    assert head.swap.some


def test_filed_behind_the_gel_that_hung_it_says_what_to_swap():
    head = plan(hung(source(), REALLY, looked(behind(*REALLY)))).alone
    assert head.left_out == () and head.check.as_predicted
    assert head.swap.some


def test_an_earlier_one_that_nobody_looked_at_spoils_nothing():
    later = behind(*SAID)
    assert costs(source(wrong(), later)) == costs(source(later))
    assert plan(hung(source(wrong()), SAID, later)).alone.left_out == (wrong(),)


def test_it_counts_where_those_that_count_explain_it():
    """A lamp that drifted: behind another stack somebody looked, so that the drift is known."""
    drifted = planckian(2800)
    first, second = (read(drifted, [gel]) for gel in ("CTB 3/4", "CTB full"))
    assert plan(source(first)).alone.left_out == (first,)
    assert plan(source(looked(first), second)).alone.left_out == ()


def test_like_bare_it_is_asked_about_too():
    bare = behind().model_copy(update={"gels": SAID})
    head = plan(hung(source(), SAID, bare)).alone
    assert head.check.gel_doubted and head.left_out == (bare,)
    assert not plan(hung(source(), SAID, looked(bare))).alone.left_out


def test_another_level_of_the_same_sheet_waits_with_it():
    full, half = (wrong().model_copy(update={"level": level}) for level in (100.0, 50.0))
    one = source(full, half)
    one = one.model_copy(update={"reading": one.reading.model_copy(update={"level": 100.0})})
    assert plan(one).alone.left_out == (full, half)


@pytest.mark.parametrize("gels", [SAID, ["CTB full"]])
def test_what_is_as_predicted_is_never_left_out(gels):
    assert plan(hung(source(), gels, behind(*gels))).alone.left_out == ()


def test_all_that_the_other_gel_explains_behind_a_doubted_stack_waits_with_the_newest():
    """The light reads ¼ CTB where ⅛ is said to hang; the earlier reading would be no trouble by itself."""
    led = Source(name="LED", kind="led-white", reading=Reading(cct=5200, duv=0.006))
    newest = Reading(cct=6225, duv=0.0052)
    odd, near = (Reading(cct=cct, duv=0.0052, gels=["CTB 1/8"]) for cct in (6200, 5960))
    right = Reading(cct=5690, duv=0.0056, gels=["CTB 1/8"])
    up = hung(led, ["CTB 1/8"], newest).model_copy(update={"readings": [odd, near, right]})
    head = plan(up).alone
    assert head.check.mistake.instead == "CTB 1/4"
    assert {one.cct for one in head.left_out} == {6225, 6200, 5960}
    assert plan(led.model_copy(update={"readings": [near]})).alone.left_out == ()
    bare = next(stack for stack in head.advice.stacks if not stack.gels)
    assert bare.miss.steps > 6.0, "as it reads bare, and not as a lamp that drifted"
