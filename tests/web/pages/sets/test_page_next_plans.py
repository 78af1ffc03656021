"""The ways on for a set that no longer fits: shown, adopted at one tap, taken back; the target frozen."""

import json
import re
from dataclasses import replace

import pytest

from advisor.advice.next_plans.way import NextPlan, NextPlans, PlanWay, Turn
from advisor.advice.readings.target import white_of
from advisor.model import Kind, LightSet, Limits, NoGel, Reading, Role, Seen, Setting, Source, Stage, Target
from advisor.web.plans.ways_said import camera_said, light_said, moved_said, moves_said, off_said
from tests.advice.decided import all_hung
from tests.advice.rows import nominal
from tests.web.page import plain

MORNING, NOON = Reading(cct=7143, duv=0.003, lux=500), Reading(cct=7850, duv=0.003, lux=500)
LIGHT = "Light at the subject"


def lamp(number):
    return Source(
        name=f"Lamp {number}", kind=Kind.TUNGSTEN, reading=Reading(cct=2980 + 20 * number, duv=0, lux=300)
    )


@pytest.fixture
def drifted(stores):
    """Keep a set whose lamps were matched to a window in the morning; the window was read again at noon."""
    target = Target(source="Window")
    window = Source(name="Window", kind=Kind.DAYLIGHT, reading=MORNING)
    sources = all_hung([window, *(lamp(k) for k in range(1, 5))], target, Limits(), nominal())
    set_id = stores.sets.create_set(LightSet(name="Kitchen", target=target, sources=sources))
    first = stores.sets.get_set(set_id).sources[0].id
    stores.sets.by("Mia").add_reading(first, NOON)
    return set_id


@pytest.fixture
def ways(drifted, get):
    return lambda: get(f"/sets/{drifted}/plans")


def mark_of(page, name):
    """The mark in the form of the way that has a name."""
    item = next(part for part in page.html.split("<li>") if f": {name}" in part and 'name="plan"' in part)
    return re.search(r'name="plan" value="(\w+)"', item)[1]


def adopt(post, page, set_id, name, **extra):
    return post(f"/sets/{set_id}/plans", {"plan": mark_of(page, name), **extra})


class TestTheBoard:
    def test_it_says_that_the_window_moved_and_leads_to_the_ways(self, drifted, get):
        page = get(f"/sets/{drifted}")
        assert re.search(r"Window moved: \d plans to choose from", page.text)
        assert f"/sets/{drifted}/plans" in page.html

    def test_it_is_silent_while_what_hangs_fits(self, stores, drifted, get, stage):
        assert "moved:" not in get(f"/sets/{stage}").text

    def test_it_asks_no_more_once_the_crew_leaves_it_as_it_is(self, stores, drifted, get, ways, post):
        assert "Leave it as it is" in ways().text
        board = post(f"/sets/{drifted}/plans", {"plan": "stay"})
        assert board.heading == "Kitchen" and "moved:" not in board.text
        assert "Left as it is, until the next reading." in ways().text
        done = stores.sets.record.lines(drifted, 1)[0].told.done
        assert done == "Set changed: what moved is left as it is"
        first = stores.sets.get_set(drifted).sources[0].id
        stores.sets.add_reading(first, Reading(cct=8100, duv=0.003, lux=500))
        assert "Window moved:" in get(f"/sets/{drifted}").text, "this is another light"
        stores.sets.undo(stores.sets.history(drifted)[-2].id)
        assert stores.sets.get_set(drifted).stays_as == ""


class TestAWindowWithoutGel:
    def test_its_page_says_that_it_moved_and_leads_to_the_plans(self, stores, get):
        target = Target(cct=5600)
        rest = all_hung([lamp(1), lamp(2)], target, Limits(), nominal())
        then = Reading(cct=5580, duv=0.003, lux=500)
        window = Source(name="Window", kind=Kind.DAYLIGHT, reading=then, no_gel=NoGel.OTHER)
        window_set = LightSet(name="Hall", target=target, sources=[window, *rest])
        set_id = stores.sets.create_set(window_set)
        first = stores.sets.get_set(set_id).sources[0].id
        assert "It moved" not in get(f"/sources/{first}").text
        stores.sets.add_reading(first, Reading(cct=6190, duv=0.003, lux=500))
        page = get(f"/sources/{first}")
        assert re.search(r"It moved: it fitted with 5\s580\sK at \d\d:\d\d\.", page.text)
        assert f'href="/sets/{set_id}/plans">Hold or follow' in page.html
        assert "Window moved" in get(f"/sets/{set_id}").text
        plans = get(f"/sets/{set_id}/plans")
        assert re.search(r"Hold 5\s600\sK", plans.text)
        assert re.search(r"Follow Window to 6\s190\sK", plans.text)


class TestNothingMoved:
    def test_a_head_that_is_not_done_is_named_and_leads_to_its_page(self, stores, get):
        lamps = [lamp(1), Source(name="Sign", kind=Kind.SODIUM, reading=Reading(cct=2000, duv=0.001))]
        set_id = stores.sets.create_set(LightSet(name="Bar", target=Target(cct=5600), sources=lamps))
        page = get(f"/sets/{set_id}/plans")
        assert page.heading == "No plan to choose. 1 needs you and 1 to hang"
        assert "What hangs fits" not in page.text and "Nothing to decide" not in page.text
        ids = [one.id for one in stores.sets.get_set(set_id).sources]
        assert page.html.index(f"/sources/{ids[1]}") < page.html.index(f"/sources/{ids[0]}")
        assert re.search(r"Lamp 1 \S+ CTB", page.text)

    def test_where_all_is_done_it_says_that_what_hangs_fits(self, stores, get):
        window = Source(name="Window", kind=Kind.DAYLIGHT, reading=MORNING)
        held = LightSet(name="Hall", target=Target(source="Window"), sources=[window])
        page = get(f"/sets/{stores.sets.create_set(held)}/plans")
        assert page.heading == "What hangs fits" and "Nothing to decide" in page.text


class TestThePage:
    def test_hold_is_an_eighth_on_the_window_and_nothing_else(self, ways):
        page = ways()
        assert page.status == 200
        assert page.heading == "Window moved"
        first = page.html.split("<li>")[1:]
        hold = next(part for part in page.html.split("<h2>") if ": Hold 7" in part)
        assert "1 move on 1 head." in hold
        assert "hang ⅛ CTO" in hold
        assert "From the truck: ⅛ CTO." in hold
        assert first

    def test_the_fewest_moves_come_first(self, ways):
        moves = [int(n) for n in re.findall(r"(\d+) moves? on", ways().text)]
        assert moves == sorted(moves)
        assert len(moves) >= 2

    def test_a_set_on_which_nothing_moved_has_no_plans(self, stage, get):
        page = get(f"/sets/{stage}/plans")
        assert page.heading == "No plan to choose. 2 to hang"
        assert "Adopt" not in page.text


class TestWords:
    """A plan is named by the white that was typed, and counts every head of its list."""

    def test_a_white_is_named_as_its_target_says_it(self, stores, get):
        target = Target(cct=5600)
        sources = all_hung([lamp(k) for k in range(1, 4)], target, Limits(), nominal())
        set_id = stores.sets.create_set(LightSet(name="Kitchen", target=target, sources=sources))
        first = stores.sets.get_set(set_id).sources[0]
        stores.sets.add_reading(first.id, Reading(cct=3900, duv=0, lux=300))
        page = get(f"/sets/{set_id}/plans")
        assert re.search(r"\d: Hold 5\s600\sK", page.text) and "5 599" not in page.text
        assert re.search(r"Follow Lamp 1 to \d\s\d{3}\sK", page.text)

    @pytest.mark.parametrize(
        ("sources", "said"),
        [
            ([("Key", Role.KEY, None), ("Rim", Role.BACK, 90)], f"{LIGHT}: not known, Key has no lux."),
            ([("A", Role.KEY, None), ("B", Role.FILL, None)], f"{LIGHT}: not known, 2 sources have no lux."),
            ([("Rim", Role.BACK, 90), ("Lamp", Role.PRACTICAL, 40)], "Nothing here lights the subject."),
        ],
    )
    def test_where_the_light_at_the_subject_is_not_known_it_says_why(self, sources, said):
        heads = [Source(name=n, reading=Reading(cct=3200, duv=0, lux=lux), role=r) for n, r, lux in sources]
        turns = tuple(
            Turn(place, one.name, (), (), (), None, 0.0, 0.0, 0.0, Seen.CLOSE, 1.0)
            for place, one in enumerate(heads)
        )
        white = white_of(Target(cct=3200), [])
        plan = NextPlan(PlanWay.HOLD, Target(cct=3200), white, turns, None, (), ())
        assert light_said(plan, heads).replace("\N{NO-BREAK SPACE}", " ") == said

    @pytest.mark.parametrize(
        ("turns", "said"),
        [
            ([(2, False), (1, True)], "3 moves on 2 heads."),
            ([(2, False), (0, True)], "2 moves on 1 head. Turn the dials of 1 more."),
            ([(0, True), (0, True)], "Nobody climbs. Turn the dials of 2 heads."),
            ([(0, False)], "Nobody climbs."),
        ],
    )
    def test_moves_and_dials_add_up_to_the_list(self, turns, said):
        dial = Setting(cct=5600)
        one = Turn(0, "Lamp", (), (), (), None, 0.0, 0.0, 0.0, Seen.MATCHES, 1.0)
        made = [replace(one, on=("CTO 1/8",) * n, dial=dial if turned else None) for n, turned in turns]
        white = white_of(Target(cct=5600), [])
        plan = NextPlan(PlanWay.HOLD, Target(cct=5600), white, tuple(made), None, (), ())
        assert moves_said(plan).replace("\N{NO-BREAK SPACE}", " ") == said


@pytest.mark.parametrize(
    ("moved", "levels", "said"),
    [
        (("Key",), (), "Key moved"),
        (("Key",), ("Key",), "Key at another level"),
        (("Key", "Window"), ("Key",), "Key and Window moved"),
        ((), (), "The target moved"),
    ],
)
def test_what_moved_is_told_from_what_was_dimmed(moved, levels, said):
    assert moved_said(NextPlans((), moved, white_moved=False, left_out=(), levels=levels)) == said


def test_all_who_may_be_off_are_named():
    def turn(name, beyond=0.0, *, unsure=False):
        return Turn(0, name, (), (), (), None, 2.0, 0.0, beyond, Seen.SHOWS, 1.0, unsure=unsure)

    white = white_of(Target(cct=5600), [])
    plan = NextPlan(PlanWay.HOLD, Target(cct=5600), white, (), None, (), ())
    both = replace(plan, turns=(turn("Tube", 1.0), turn("Sign", unsure=True), turn("Bar", unsure=True)))
    assert off_said(both) == "Won’t match: Tube a bit off. May be a bit off: Sign and Bar."
    far = replace(turn("Neon", 9.0), seen=Seen.OBVIOUS)
    several = replace(plan, turns=(turn("Tube", 1.0), far, turn("Sign", 1.0)))
    assert off_said(several) == "Won’t match: Neon obvious, Tube and Sign a bit off."
    assert off_said(replace(plan, turns=(turn("Key"),))) == "All match or come close."


@pytest.mark.parametrize(
    ("way", "duv", "moved", "said"),
    [
        (PlanWay.HOLD, 0.003, False, ""),
        (PlanWay.WHITE, 0.003, False, "Set the camera to 4 100 K."),
        (PlanWay.FOLLOW, 0.003, False, "Set the camera to 4 100 K."),
        (PlanWay.FOLLOW, 0.003, True, ""),
        (PlanWay.FOLLOW, 0.009, False, "Set the camera to 4 100 K, taking out 9 CC of green."),
        (PlanWay.FOLLOW, -0.004, False, "Set the camera to 4 100 K, taking out 4 CC of magenta."),
    ],
)
def test_the_camera_goes_along_and_takes_out_what_no_white_of_its_own_has(way, duv, moved, said):
    """CC are 1 000 × Duv; of tubes that are followed the green is taken out (common practice, no source)."""
    target = Target(cct=4100, locus="planckian", duv_offset=duv)
    plan = NextPlan(way, target, white_of(target, []), (), None, (), ())
    found = NextPlans((plan,), (), white_moved=moved, left_out=())
    assert plain(camera_said(plan, found)).replace("\N{NARROW NO-BREAK SPACE}", " ") == said


def test_a_source_that_no_plan_is_about_is_named(stores, drifted, ways):
    stores.sets.add_source(drifted, Source(name="Neon", reading=Reading(xy=(0.7, 0.29))))
    assert "Not in these plans: Neon." in ways().text


class TestAdopting:
    def test_hold_fixes_the_target_and_plans_the_eighth(self, ways, drifted, post, stores):
        page = adopt(post, ways(), drifted, "Hold")
        assert "Planned. Each head’s page says what to do." in page.text
        assert f'<a class="button" href="/sets/{drifted}/order">Work order</a>' in page.html
        now = stores.sets.get_set(drifted)
        assert now.target.source is None
        assert now.target.cct == pytest.approx(7143, abs=1)
        works = [one.source.work for one in now.sources]
        assert (works[0].stage, works[0].gels) == (Stage.PLANNED, ["CTO 1/8"])
        assert all(work.instead is None for work in works[1:])

    def test_follow_plans_in_the_place_of_what_hangs(self, ways, drifted, post, stores):
        adopt(post, ways(), drifted, "Follow Window")
        now = stores.sets.get_set(drifted)
        assert now.target.source == "Window"
        assert now.sources[0].source.work is None
        assert sum(one.source.work.instead is not None for one in now.sources[1:]) >= 3
        assert all(one.source.work.stage is Stage.HUNG for one in now.sources[1:])

    def test_a_head_to_change_says_what_it_reads_now_and_what_then(self, ways, drifted, post, get):
        """Whoever swaps it meters it then: what hangs now was matched to 7 143 K, and goes to 7 850 K."""
        adopt(post, ways(), drifted, "Follow Window")
        text = plain(get("/sources/2").text)
        found = re.search(r"Now: (\d \d{3}) K, Duv.* Then: (\d \d{3}) K, Duv", text.replace("\u202f", " "))
        now, then = (1e6 / float(kelvins.replace(" ", "")) for kelvins in found.groups())
        # As told, in MK⁻¹: 7 143 K are 140 and 7 850 K are 127; nothing on this truck hits either to a digit.
        assert abs(now - 140) < 10 and abs(then - 127) < 5
        assert "After:" not in text

    def test_what_was_adopted_has_no_button_any_more_and_the_board_says_so(self, ways, drifted, post, get):
        before = ways()
        page = adopt(post, before, drifted, "Follow Window")
        follow = next(part for part in page.html.split("<h2>") if ": Follow Window to 7" in part)
        assert "This is the plan now." in follow and 'name="plan"' not in follow
        others = [part for part in page.html.split("<h2>")[1:] if part != follow]
        assert others and all('name="plan"' in part for part in others)
        assert "Window moved: plan adopted" in get(f"/sets/{drifted}").text

    def test_it_is_adopted_still_while_one_head_of_it_asks_for_another_move(
        self, ways, drifted, post, get, stores
    ):
        adopt(post, ways(), drifted, "Follow")
        one = next(s for s in stores.sets.get_set(drifted).sources if s.source.work and s.source.work.instead)
        there = one.source.work.instead
        post(f"/sources/{one.id}/work", {"action": "hung", "stack": json.dumps({"gels": there.gels})})
        read = {"cct": f"{there.predicted.cct - 700:.0f}", "duv": f"{there.predicted.duv:.4f}"}
        post(f"/sources/{one.id}/reading", {"behind": "hung", "hung": "; ".join(there.gels), **read})
        board = get(f"/sets/{drifted}")
        assert board.row(one.number).startswith("Needs you: ")
        assert "Window moved: plan adopted" in board.text

    @pytest.mark.parametrize("name", ["Hold", "Follow Window"])
    def test_one_tap_takes_all_of_it_back(self, name, ways, drifted, post, stores):
        before = stores.sets.get_set(drifted).light_set
        page = adopt(post, ways(), drifted, name)
        back = post(f"/sets/{drifted}/plans/back", {"done": page.fields["done"]})
        assert back.status == 200
        assert stores.sets.get_set(drifted).light_set == before
        post(f"/sets/{drifted}/plans/back", {"done": page.fields["done"]})
        assert stores.sets.get_set(drifted).light_set == before

    @pytest.mark.parametrize("name", ["Follow Window", "Hold"])
    def test_what_went_out_late_can_be_taken_back_from_the_page_itself(
        self, name, ways, drifted, post, stores
    ):
        """The page that the phone opens then has no word of what it sent."""
        before = stores.sets.get_set(drifted).light_set
        assert "done" not in ways().fields
        adopt(post, ways(), drifted, name)
        other = stores.sets.get_set(drifted).sources[1].id
        stores.sets.by("Bo").change_source(other, {"note": "by the door"})
        page = ways()
        assert "Planned. Each head’s page says what to do." in page.text
        post(f"/sets/{drifted}/plans/back", {"done": page.fields["done"]})
        stores.sets.change_source(other, {"note": ""})
        assert stores.sets.get_set(drifted).light_set == before
        assert "done" not in ways().fields

    def test_once_something_of_it_hangs_there_is_no_undo_of_all_any_more(self, ways, drifted, post, stores):
        adopt(post, ways(), drifted, "Hold")
        assert "done" in ways().fields
        window = stores.sets.get_set(drifted).sources[0]
        stack = '{"gels": ["CTO 1/8"]}'
        post(f"/sources/{window.id}/work", {"action": "hung", "stack": stack, "revision": window.revision})
        assert stores.sets.get_source(window.id).source.work.stage is Stage.HUNG
        assert "done" not in ways().fields

    def test_a_head_that_was_planned_alone_is_no_plan_that_was_adopted(self, stage, get, post, stores):
        stack, seen = '{"gels": ["CTB full"]}', stores.sets.get_source(1).revision
        post("/sources/1/work", {"action": "plan", "stack": stack, "revision": seen})
        assert stores.sets.get_source(1).source.work.stage is Stage.PLANNED
        assert "done" not in get(f"/sets/{stage}/plans").fields

    def test_a_double_tap_is_one_write(self, ways, drifted, post, stores):
        page = ways()
        for _ in range(2):
            adopt(post, page, drifted, "Hold", tap="one-tap")
        assert len([c for c in stores.sets.history(drifted) if c.what == "set.changed"]) == 1

    def test_whoever_comes_second_is_told_and_nothing_is_adopted(self, ways, drifted, post, stores, change):
        page = ways()
        second = stores.sets.get_set(drifted).sources[1]
        reading = second.source.reading.model_copy(update={"cct": 3400.0})
        stores.sets.by("Bo").update_source(second.id, second.source.model_copy(update={"reading": reading}))
        before = stores.sets.get_set(drifted)
        late = adopt(post, page, drifted, "Follow Window", revision=str(before.revision - 1))
        assert late.status == 409
        assert "changed this set meanwhile. Nothing was adopted." in late.alerts[0]
        assert stores.sets.get_set(drifted) == before

    def test_what_was_changed_since_is_not_taken_back(self, ways, drifted, post, stores):
        page = adopt(post, ways(), drifted, "Hold")
        stores.sets.by("Bo").update_set(drifted, target=Target(cct=5600))
        before = stores.sets.get_set(drifted)
        back = post(f"/sets/{drifted}/plans/back", {"done": page.fields["done"]})
        assert back.status == 409
        assert "Bo changed this set meanwhile. Nothing was taken back." in back.alerts[0]
        assert stores.sets.get_set(drifted) == before

    @pytest.mark.parametrize("done", ["", "x", "999999", "1-2-x", "٣"])
    def test_what_is_no_change_takes_nothing_back(self, done, drifted, post, stores):
        before = stores.sets.get_set(drifted)
        assert post(f"/sets/{drifted}/plans/back", {"done": done}).status in (404, 422)
        assert stores.sets.get_set(drifted) == before


class TestFreeze:
    def test_it_fixes_the_target_at_what_the_source_reads_now(self, ways, drifted, post, stores):
        assert "Freeze at 7\N{NARROW NO-BREAK SPACE}850" in ways().html or "Freeze at 7" in ways().text
        page = post(f"/sets/{drifted}/freeze")
        now = stores.sets.get_set(drifted)
        assert (now.target.source, now.target.cct) == (None, 7850.0)
        assert now.target.duv_offset == pytest.approx(0.003)
        assert "Undo" in page.text

    def test_a_second_tap_changes_nothing(self, drifted, post, stores):
        post(f"/sets/{drifted}/freeze")
        now = stores.sets.get_set(drifted)
        assert post(f"/sets/{drifted}/freeze").status == 200
        assert stores.sets.get_set(drifted) == now

    def test_it_can_be_taken_back(self, drifted, post, stores):
        post(f"/sets/{drifted}/freeze")
        post(f"/sets/{drifted}/whites/back")
        assert stores.sets.get_set(drifted).target.source == "Window"
