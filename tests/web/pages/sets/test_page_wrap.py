"""The end of a day: what comes down, head by head; what was said of the day stays, and nobody hangs anew."""

import pytest

from advisor.advice.plan.needs import Needs, needs_of
from advisor.model import LightSet, Limits, Opening, Reading, Source, Stage, Target, Work
from tests.advice.lamps import plan

GELS = ["CTO 1/4", "CTO 1/8", "Minus green 1/8"]


@pytest.fixture
def day(stores):
    """Keep a set: the Key hangs and is confirmed, the Panel hangs, the Practical was never gelled."""
    key = Reading(cct=6930, duv=0.0067)
    behind = Reading(cct=5020, duv=0.0042, gels=GELS)
    hung = Work(stage=Stage.CONFIRMED, gels=GELS, read_bare=key, read_behind=behind)
    sources = [
        Source(name="Key", kind="discharge", reading=key, readings=[behind], work=hung),
        Source(
            name="Panel",
            kind="led-white",
            reading=Reading(cct=4430, duv=0.0075),
            work=Work(stage=Stage.HUNG, gels=["CTB 1/8"]),
        ),
        Source(name="Practical", kind="tungsten", reading=Reading(cct=2770, duv=0.0001)),
    ]
    target = Target(cct=4800, locus="daylight")
    made = LightSet(name="Hall", target=target, limits=Limits(max_layers=3), sources=sources)
    return stores.sets.create_set(made)


@pytest.fixture
def wrapped(day, post):
    return post(f"/sets/{day}/order/wrap")


def test_it_lists_what_comes_down_and_sends_nobody_to_hang(day, get, wrapped):
    assert wrapped.heading == "Wrap: 2 heads to strip"
    assert "¼ CTO, ⅛ CTO and ⅛ minus green" in wrapped.text and "⅛ CTB" in wrapped.text
    assert "Still up: ¼ CTO, ⅛ CTO, ⅛ minus green and ⅛ CTB." in wrapped.text
    assert "Back to the truck" not in wrapped.text, "nothing is down yet"
    assert "Start: " not in wrapped.text and "Practical" not in wrapped.text
    head = get("/sources/3")
    assert ">Hung</button>" not in head.html


def test_what_is_down_goes_to_the_truck_piece_by_piece_what_hangs_does_not(stores, get, post):
    """A panel with one sheet, a window with two layers over two openings: five pieces of ¼ CTO."""
    read = Reading(cct=5600, duv=0.001)
    one, two = Work(stage=Stage.HUNG, gels=["CTO 1/4"]), Work(stage=Stage.HUNG, gels=["CTO 1/4"] * 2)
    doors = [Opening(width=0.9, height=2.0, count=2)]
    sources = [
        Source(name="Panel A", kind="led-white", reading=read, work=one),
        Source(name="Window", kind="daylight", reading=read, work=two, openings=doors),
    ]
    made = stores.sets.create_set(LightSet(name="Hall", target=Target(cct=3600), sources=sources))
    assert "2 openings: 4 pieces" not in get("/sources/2").text, "nothing goes up there now"
    page = post(f"/sets/{made}/order/wrap")
    assert "Still up: 5 × ¼ CTO." in page.text and "Two ¼ CTO 2 openings: 4 pieces" in page.text
    page = post("/sources/2/down")
    assert "Still up: ¼ CTO. Back to the truck: four ¼ CTO." in page.text
    page = post("/sources/1/down")
    assert "Still up" not in page.text and "Back to the truck: 5 × ¼ CTO." in page.text


def test_the_board_and_the_heads_of_a_wrapped_set_ask_for_no_hands(day, get, wrapped):
    board, head = get(f"/sets/{day}"), get("/sources/3")
    assert "Wrapped: nothing goes up." in board.text and 'href="#hang"' not in board.html
    for page in (board, head):
        assert f"/sets/{day}/order" in page.links and "What comes down" in page.text
    assert head.html.count('class="band') == 1 and "Wrapped: nothing goes up" in head.text


def test_what_is_down_is_ticked_and_the_day_stays_as_it_was(day, get, post, stores, wrapped):
    before = [one.source for one in stores.sets.get_set(day).sources]
    post("/sources/1/down")
    page = post("/sources/2/down")
    assert page.heading == "Wrapped: all is down"
    assert [one.source for one in stores.sets.get_set(day).sources] == before
    page = post("/sources/1/down", {"back": "yes"})
    assert page.heading == "Wrap: 1 head to strip"
    again = stores.sets.get_set(stores.sets.days.duplicate(day))
    assert (again.wrapped, again.down) == (False, ())


def test_who_begins_again_hangs_what_came_down(day, post, stores, wrapped):
    post("/sources/1/down")
    page = post(f"/sets/{day}/order/wrap", {"again": "yes"})
    assert page.heading == "Work order" and "Wrap: all comes down" in page.text
    works = [one.source.work for one in stores.sets.get_set(day).sources]
    assert (works[0].stage, works[0].gels) == (Stage.PLANNED, GELS)
    assert works[1].stage is Stage.HUNG, "it was never down"
    assert stores.sets.get_set(day).wrapped is False


def test_before_the_wrap_no_head_is_said_to_be_down(day, post, stores):
    post("/sources/1/down")
    assert stores.sets.get_set(day).down == ()


def test_what_was_metered_goes_before_a_first_choice_that_is_not_expected_as_near():
    """A stripped head got a stack 7 steps off for one layer less, over its own, metered 3.6 steps off."""
    bare, behind = Reading(cct=6930, duv=0.0067), Reading(cct=5020, duv=0.0042, gels=GELS)
    source = Source(name="Old", kind="discharge", reading=bare, readings=[bare, behind])
    head = plan(source, target=Target(cct=4800, locus="daylight")).alone
    assert sorted(head.first.gels) == sorted(GELS) and head.first.read is not None
    assert needs_of(head) is Needs.HANG


def test_the_board_of_a_wrapped_set_says_what_came_down_and_how_it_ended(day, get, post, wrapped):
    post("/sources/1/down")
    board = get(f"/sets/{day}")
    assert board.row(1).startswith("Down: 1 Key ¼ CTO, ⅛ CTO and ⅛ minus green came down")
    assert board.row(2).startswith("To strip: 2 Panel Take down ⅛ CTB")
    assert board.row(3) == "Bare: 3 Practical No gel hung "
    assert "a bit off metered" in board.row(1), "it was metered behind its gel"
    assert "in 10" not in board.text and "to hang" not in board.text


def test_the_record_of_a_wrap_says_what_was_done(day, get, post, stores, wrapped):
    post("/sources/1/down")
    post("/sources/1/down", {"back": "yes"})
    post(f"/sets/{day}/order/wrap", {"again": "yes"})
    done = [line.told.done for line in stores.sets.record.lines(day, 4)]
    assert done == [
        "Set changed: the wrap taken back, begun again",
        "Set changed: not down yet: No. 1",
        "Set changed: gel down off No. 1",
        "Set changed: wrapped, all comes down",
    ]


def test_a_large_wrapped_set_counts_what_is_to_strip(stores, get, post):
    """More than 40 heads stand in groups."""
    read, hung = Reading(cct=4430, duv=0.0075), Work(stage=Stage.HUNG, gels=["CTB 1/8"])
    sources = [
        Source(name=f"Tube {k}", kind="led-white", reading=read, work=hung if k < 2 else None)
        for k in range(41)
    ]
    large = stores.sets.create_set(LightSet(name="Hall", target=Target(cct=4800), sources=sources))
    post(f"/sets/{large}/order/wrap")
    post("/sources/1/down")
    assert "Tube 0 to Tube 24: 1 to strip, 1 down and 23 bare" in get(f"/sets/{large}").text


def test_a_head_says_what_came_down_and_how_it_ended(day, get, post, wrapped):
    key, panel, practical = (get(f"/sources/{k}").text for k in (1, 2, 3))
    assert "Take down ¼ CTO, ⅛ CTO and ⅛ minus green" in key and "metered" in key
    assert "Take down ⅛ CTB" in panel and "Meter it" not in panel
    assert "No gel hung" in practical and "Hang " not in practical
    post("/sources/2/down")
    assert "⅛ CTB came down" in get("/sources/2").text


def test_nothing_of_a_wrapped_set_is_checked_or_changed_any_more(day, get, stores, post):
    far = Reading(cct=6200, duv=0.004, gels=["CTB 1/8"])
    panel = stores.sets.get_source(2)
    work = panel.source.work.model_copy(update={"read_behind": far})
    stores.sets.add_reading(2, far, work, panel.source.work)
    told = "Meter it again?", "Swap", "Check ", "To do:"
    before = get(f"/sets/{day}/record").text + get(f"/sets/{day}/sheet").text
    assert any(word in before for word in told)
    post(f"/sets/{day}/order/wrap")
    record, sheet = get(f"/sets/{day}/record").text, get(f"/sets/{day}/sheet").text
    assert "What hung at the wrap" in record and "wrapped: nothing goes up" in sheet
    for page in (record.partition("History, to undo")[0], sheet):
        assert not any(word in page for word in told)


def test_no_tag_tells_what_to_hang_any_more(day, get, post):
    assert "3 heads to print" in get(f"/sets/{day}/tags").text
    post(f"/sets/{day}/order/wrap")
    page = get(f"/sets/{day}/tags")
    assert page.heading == "Wrapped: no tags to print"
    assert "¼ CTO" not in page.text and "data-print" not in page.html
    assert f"/sets/{day}/order" in page.links


class TestLoose:
    """Sheets that were taken off before the wrap, and lie somewhere."""

    @pytest.fixture
    def off(self, day, post, stores):
        """The gel of the Key came off, that of the Panel hangs."""
        post("/sources/1/work", {"action": "clear", "revision": stores.sets.get_source(1).revision})

    def test_they_go_back_to_the_truck_too(self, day, post, off):
        page = post(f"/sets/{day}/order/wrap")
        assert page.heading == "Wrap: 1 head to strip"
        assert "Still up: ⅛ CTB. Back to the truck: ¼ CTO, ⅛ CTO and ⅛ minus green." in page.text
        assert "Down before the wrap: ¼ CTO, ⅛ CTO and ⅛ minus green off Key." in page.text

    def test_they_are_told_where_nothing_hangs_any_more(self, day, post, off, stores):
        post("/sources/2/work", {"action": "clear", "revision": stores.sets.get_source(2).revision})
        page = post(f"/sets/{day}/order/wrap")
        assert page.heading == "Wrapped: all is down"
        assert "Back to the truck: ¼ CTO, ⅛ CTO, ⅛ minus green and ⅛ CTB." in page.text
        assert "off Key and ⅛ CTB off Panel." in page.text

    def test_what_hangs_again_is_told_once(self, day, post, off, stores):
        """A cut that was used again lies nowhere."""
        hang = {"action": "hung", "stack": '{"gels": ["CTO 1/8"]}'}
        post("/sources/1/work", {**hang, "revision": stores.sets.get_source(1).revision})
        page = post(f"/sets/{day}/order/wrap")
        assert "Still up: ⅛ CTO and ⅛ CTB. Back to the truck: ¼ CTO and ⅛ minus green." in page.text
        assert "Down before the wrap: ¼ CTO and ⅛ minus green off Key." in page.text

    def test_where_none_is_loose_nothing_is_said_of_it(self, wrapped):
        assert "Down before the wrap" not in wrapped.text


def test_of_a_wrapped_set_nothing_is_pulled(day, get, post, stores):
    """Nor where it is counted with another set, which pulls its own."""
    wall = Source(name="Wall wash", kind="tungsten", reading=Reading(cct=3150, duv=0.0004))
    other = stores.sets.create_set(LightSet(name="Loggia", target=Target(cct=5600), sources=[wall]))
    before = get(f"/sets/{day}/pulls").text
    assert "Practical" in before
    post(f"/sets/{day}/order/wrap")
    page = get(f"/sets/{day}/pulls")
    assert page.heading == "Wrapped: nothing goes up"
    for word in ("hang already", "hangs already", "Practical", "Nothing left to pull", "to pull yet"):
        assert word not in page.text
    both = get(f"/sets/{other}/pulls?also={day}")
    assert "Wall wash" in both.text and "Practical" not in both.text
    table = get(f"/sets/{day}/pulls.csv").text
    assert "Practical" not in table
