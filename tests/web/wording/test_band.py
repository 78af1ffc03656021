"""The state of a head in a word or three, and the ways from a head to the next that needs hands."""

import re
from dataclasses import replace

import pytest

from advisor.advice.after_hanging.next_move import Swap
from advisor.advice.plan.needs import Needs, needs_of
from advisor.advice.wording.outlook import closest as closest_of
from advisor.advice.wording.outlook import outlook
from advisor.model import (
    LightSet,
    Limits,
    NoGel,
    Reach,
    Reading,
    Seen,
    Source,
    Stage,
    Target,
    WantedOffset,
    Work,
)
from advisor.web.views.sets.head_groups import band_of
from advisor.web.wording.board import band_said, brief, changed
from advisor.web.wording.stacks import head_outlook_each
from advisor.web.wording.work import left_up
from tests.advice.lamps import hung, lamp, plan, planckian, read
from tests.web.page import plain

WINDOW = lamp(planckian(7000), "daylight")
STACK = ["CTO 1/4", "Plus green 1/8"]


def said(source, **about):
    """Return what the band of a head says."""
    head = plan(source, **about).alone
    return band_said(head, needs_of(head))


def test_a_head_goes_from_hang_to_matched():
    assert said(WINDOW) == "Hang"
    assert said(hung(WINDOW, STACK)) == "Hung, meter it"
    band = band_of(plan(hung(WINDOW, STACK, read(planckian(7000), STACK))).alone)
    assert band.words in ("Matched", "Close match") and band.reached


def test_what_is_to_be_checked_is_said_and_not_the_swap():
    found = read(planckian(3200), ["CTB 1/4"])
    assert said(hung(lamp(planckian(3200)), ["CTB full"], found)) == "Check the gel"
    bare = read(planckian(3200)).model_copy(update={"gels": ["CTB full"]})
    band = band_of(plan(hung(lamp(planckian(3200)), ["CTB full"], bare)).alone)
    assert band.words == "Is the gel on?" and not band.reached


def test_what_leads_away_is_to_be_swapped():
    at_full = WINDOW.model_copy(update={"work": Work(stage=Stage.HUNG, gels=["CTB full"], steps_off=90.0)})
    assert said(at_full) == "Swap"


@pytest.mark.parametrize(
    ("off", "on", "words"),
    [(["CTB 1/2"], ["CTO 1/4"], "Swap"), (["CTB 1/2"], [], "Take off"), ([], ["Minus green 1/8"], "Add")],
)
def test_a_change_is_one_word(off, on, words):
    result = plan(WINDOW).alone.best
    assert changed(Swap(tuple(off), tuple(on), result)) == words


def test_a_sheet_that_stays_while_others_come_off_is_named():
    """Read as the whole stack, “hang ½ CTO and ⅛ minus green” took down, or doubled, what was to stay."""
    two = plan(WINDOW).alone.best.model_copy(update={"gels": ["CTO 1/2", "Minus green 1/8"]})
    assert plain(left_up(Swap(("CTO 1/4",), ("CTO 1/2",), two))) == ", leave ⅛ minus green up"
    assert left_up(Swap(("CTB 1/2",), tuple(two.gels), two)) == ""
    assert left_up(Swap((), ("CTO 1/2",), two)) == ""  # “add ½ CTO to ⅛ minus green”


def test_what_is_left_alone_is_no_success():
    left = band_of(plan(WINDOW.model_copy(update={"aim": WantedOffset(leave=True)})).alone)
    assert left.words == "Left alone" and not left.reached
    assert said(Source(name="Sky", kind="daylight", reading=Reading(cct=5600, duv=0.0032))).endswith(", bare")


def test_what_nobody_can_hang_yet_says_why():
    street = Source(name="Street", kind="sodium", reading=Reading(cct=2040, duv=-0.001))
    assert said(street) == "Gel can’t fix it"
    assert said(WINDOW.model_copy(update={"no_gel": NoGel.HEAT})) == "Takes no gel"
    panel = Source(
        name="Panel",
        kind="led-white",
        reading=Reading(cct=4300, duv=0.002),
        reach=Reach(cct_from=2700, cct_to=6500),
    )
    assert said(panel) == "Note the dials"


def neighbours(page):
    """Return where the page of a head leads on: before, after."""
    return [re.search(rf'href="([^"]+)" data-neighbour="{side}"', page.html) for side in ("before", "after")]


def test_beside_a_likely_stack_nothing_says_that_this_is_the_closest():
    """Bare is close in 4 of 10, and the list has two sheets that are so in 8: the page said both."""
    bare = plan(lamp(planckian(5200)), limits=Limits(max_layers=0)).alone
    [only] = bare.advice.stacks
    off = only.model_copy(update={"miss": only.miss.model_copy(update={"seen": Seen.SHOWS}), "within": 0.4})
    close, gels = only.miss.model_copy(update={"seen": Seen.CLOSE}), ["CTB 1/8", "Plus green 1/8"]
    near = only.model_copy(update={"miss": close, "within": 0.8, "gels": gels, "layers": 2})

    def told(*stacks, **more):
        head = replace(bare, beyond=None, advice=bare.advice.model_copy(update={"stacks": stacks}), **more)
        assert needs_of(head) is Needs.HANDS
        return band_said(head, Needs.HANDS), brief(head, Needs.HANDS)

    assert told(off) == ("Closest there is", "bare, closest there is")
    assert told(off, near) == ("Choose a stack", "bare, another gel is likelier")
    rare = off.model_copy(update={"within": 0.2})
    assert closest_of(rare, [rare, off.model_copy(update={"within": 0.1})]) == "Closest there is."
    some = [off.model_copy(update={"within": 0.17}), off.model_copy(update={"within": 0.26, "gels": gels})]
    assert closest_of(some[0], some) == "No stack here comes close."
    stays = Swap((), (), off)
    assert replace(bare, change=stays, beyond=None, advice=_with(bare, off)).closest_hangs
    assert not replace(bare, change=stays, beyond=None, advice=_with(bare, off, near)).closest_hangs


def _with(head, *stacks):
    return head.advice.model_copy(update={"stacks": stacks})


class TestNeighbours:
    def test_they_follow_the_board_and_go_around(self, sample, get):
        board = [int(n) for n in re.findall(r'id="head-(\d+)"', get("/sets/1").html)]
        assert sorted(board) == [1, 2, 3, 4, 5, 6]
        idle = [n for n in board if "data-neighbour" in get(f"/sources/{n}").html and _reached(get, n)]
        ring = [n for n in board if n not in idle]
        assert len(ring) >= 3
        for place, n in enumerate(ring):
            before, after = neighbours(get(f"/sources/{n}"))
            assert before and before[1] == f"/sources/{ring[place - 1]}"
            assert after and after[1] == f"/sources/{ring[(place + 1) % len(ring)]}"

    def test_a_head_alone_leads_nowhere(self, stores, get, post):
        stores.sets.create_set(_alone())
        assert neighbours(get("/sources/1")) == [None, None]

    def test_the_way_back_leads_to_its_row(self, sample, get):
        assert "/sets/1#head-3" in get("/sources/3").links
        assert 'id="head-3"' in get("/sets/1").html


def _reached(get, n):
    return re.search(r'class="state (nothing|leave)"', get(f"/sources/{n}").html) is not None


def _alone():
    return LightSet(name="Alone", target=Target(cct=5600), sources=[WINDOW])


def outlook_of(source):
    """Return a head, what its row tells to do, and the word beside that."""
    head = plan(source).alone
    [(seen, words)] = head_outlook_each([head])
    return head, brief(head, needs_of(head)), seen, words


def test_beside_a_swap_of_what_nobody_metered_stands_what_comes_of_it():
    """The target moved since it was hung: how far off that is now stands on the head's page."""
    at_full = WINDOW.model_copy(update={"work": Work(stage=Stage.HUNG, gels=["CTB full"], steps_off=90.0)})
    head, to_do, seen, words = outlook_of(at_full)
    assert head.check is None and to_do.startswith("swap ")
    assert head.seen is Seen.OBVIOUS, "as it hangs"
    assert (seen, words) == (head.due.result.miss.seen, outlook(head.due.result))
    assert seen is not Seen.OBVIOUS


def test_beside_what_is_to_be_checked_stands_what_was_metered():
    found = read(planckian(3200), ["CTB 1/4"])
    head, to_do, seen, words = outlook_of(hung(lamp(planckian(3200)), ["CTB full"], found))
    assert to_do.startswith("check: ") and (seen, words) == (head.seen, f"{head.seen}, metered")
