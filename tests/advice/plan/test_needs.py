"""What a head needs of the crew now, and the few words that its row on the board says."""

import pytest

from advisor.advice.after_hanging.next_move import Swap
from advisor.advice.plan.needs import Needs, needs_of
from advisor.model import NoGel, Reach, Reading, Setting, Source, Stage, Target, WantedOffset, Work
from advisor.web.wording.board import brief, counted_said, swapped, tally
from tests.advice.lamps import hung, lamp, plan, planckian, read
from tests.web.page import plain

WINDOW = lamp(planckian(7000), "daylight")
STACK = ["CTO 1/4", "Plus green 1/8"]


def row(source, **about):
    """Return what a head needs, and what its row says."""
    head = plan(source, **about).alone
    need = needs_of(head)
    return need, plain(brief(head, need))


def test_a_head_to_gel_names_its_gels_alone():
    assert row(WINDOW) == (Needs.HANG, "¼ CTO + ⅛ plus green")


def test_what_hangs_unread_asks_for_the_meter():
    assert row(hung(WINDOW, STACK)) == (Needs.METER, "¼ CTO + ⅛ plus green hung, meter it")


def test_what_read_right_is_done():
    found = read(planckian(7000), STACK)
    assert row(hung(WINDOW, STACK, found)) == (Needs.NOTHING, "¼ CTO + ⅛ plus green")


def test_what_leads_away_is_to_be_swapped():
    at_full = WINDOW.model_copy(update={"work": Work(stage=Stage.HUNG, gels=["CTB full"], steps_off=90.0)})
    need, said = row(at_full)
    assert need is Needs.HANDS and said.startswith("swap full CTB for ")


@pytest.mark.parametrize(
    ("off", "on", "says"),
    [
        (["CTB 1/2"], ["CTB full"], "swap ½ for full CTB"),
        (["CTB 1/2"], ["CTO 1/4"], "swap ½ CTB for ¼ CTO"),
        (["CTB 1/2"], ["CTB 1/4", "Minus green 1/8"], "swap ½ CTB for ¼ CTB + ⅛ minus green"),
        (["CTB 1/2"], [], "take off ½ CTB"),
    ],
)
def test_a_change_is_said_in_a_few_words(off, on, says):
    result = plan(WINDOW).alone.best
    assert plain(swapped(Swap(tuple(off), tuple(on), result))) == says


def test_what_is_only_added_is_said_to_be():
    result = plan(WINDOW).alone.best
    assert sorted(result.gels) == STACK
    assert plain(swapped(Swap((), ("Plus green 1/8",), result))) == "add ⅛ plus green"


def test_another_target_makes_a_row_say_what_to_change():
    warm = Target(cct=4300, locus="planckian")
    need, said = row(hung(WINDOW, STACK), target=warm)
    assert need is Needs.HANDS and "CTO" in said


def test_a_reading_like_another_gel_asks_to_check_it():
    found = read(planckian(3200), ["CTB 1/4"])
    need, said = row(hung(lamp(planckian(3200)), ["CTB full"], found))
    assert need is Needs.HANDS and said.startswith("check: ")


def test_a_reading_like_the_bare_head_asks_whether_the_gel_is_on():
    bare = read(planckian(3200)).model_copy(update={"gels": ["CTB full"]})
    need, said = row(hung(lamp(planckian(3200)), ["CTB full"], bare))
    assert (need, said) == (Needs.HANDS, "is the gel on? Reads bare")


@pytest.mark.parametrize(
    ("more", "need", "says"),
    [
        ({"aim": WantedOffset(leave=True)}, Needs.LEAVE, "stays bare"),
        ({"no_gel": NoGel.HEAT}, Needs.HANDS, "takes no gel (too hot)"),
    ],
)
def test_a_head_that_gets_no_gel(more, need, says):
    assert row(WINDOW.model_copy(update=more)) == (need, says)


def test_a_head_that_matches_bare_is_left_alone():
    assert row(Source(name="Sky", kind="daylight", reading=Reading(cct=5600, duv=0.0032))) == (
        Needs.LEAVE,
        "stays bare",
    )


def test_what_gel_cannot_do_needs_somebody():
    street = Source(name="Street", kind="sodium", reading=Reading(cct=2040, duv=-0.001))
    assert row(street) == (Needs.HANDS, "gel can’t fix this one")


def test_without_a_reading_nothing_is_said_and_somebody_has_to_look():
    need, said = row(Source(name="Lamp", kind="tungsten", reading=Reading(cct=3200, duv=0.04)))
    assert need is Needs.HANDS and said == ""


def test_unnoted_dials_are_asked_for():
    panel = Source(
        name="Panel",
        kind="led-white",
        reading=Reading(cct=4300, duv=0.002),
        reach=Reach(cct_from=2700, cct_to=6500),
    )
    assert row(panel) == (Needs.HANDS, "note the dials, meter it")
    noted = panel.model_copy(update={"reading": Reading(cct=4300, duv=0.002, dial=Setting(cct=4300))})
    need, said = row(noted)
    assert need is Needs.HANG and said.startswith("set ")


def test_counts_are_told_as_a_crew_would():
    assert [counted_said(Needs.HANDS, n) for n in (1, 2)] == ["1 needs you", "2 need you"]
    assert tally([Needs.HANG, Needs.HANDS, Needs.HANG]) == "1 needs you and 2 to hang"
