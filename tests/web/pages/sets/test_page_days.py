"""A copy of a set for the next day, planned as it hung, and two days compared."""

import html
import json
import re

import pytest

from advisor.advice.readings.chromaticity import measure
from advisor.model import Kind, LightSet, Reading, Source, Stage, StandMove, Target, Work
from advisor.web.plans.kept import plan_for
from advisor.web.wording.values import at_present, day_said
from tests.imports.spectral_writers import LIGHT
from tests.web.page import plain

NAME = "Bakery before dawn (invented sample)"


class TestNextDay:
    def test_it_leads_to_the_new_set(self, sample, post, get):
        page = post("/sets/1/duplicate")
        assert page.heading == f"{NAME}, next day"
        assert [link for link in get("/sets/2/record").links if link == "/sets/1"]
        assert f"A copy of {NAME}" in get("/sets/2/record").text


class TestAnotherLamp:
    """Somebody changed the lamp of a head that was read behind gels: the next day knows that too."""

    READ = (
        Reading(cct=3250, duv=0.0045, lux=240),
        Reading(cct=3960, duv=0.0012, lux=105, gels=["CTB 1/2"]),
        Reading(cct=4320, duv=0.0018, lux=80, gels=["CTB 1/2", "CTB 1/8"]),
        Reading(cct=3850, duv=0.0024, lux=235),
    )

    @pytest.fixture
    def days(self, app, stores):
        practical = Source(name="Practical", kind=Kind.LED_WHITE, reading=self.READ[0])
        light_set = LightSet(name="Attic (invented)", target=Target(cct=4300), sources=[practical])
        number = stores.sets.create_set(light_set)
        [stored] = stores.sets.get_set(number).sources
        for reading in self.READ[1:]:
            stores.sets.add_reading(stored.id, reading)
        return number, stores.sets.days.duplicate(number)

    def test_what_was_read_behind_the_old_one_tells_nothing_of_the_new(self, app, stores, days):
        with app.test_request_context():
            then, now = (plan_for(stores.sets.get_set(day)).heads[0] for day in days)
        assert now.advice.stacks == then.advice.stacks
        assert not any(stack.read for stack in now.advice.stacks)

    def test_that_it_changed_is_said_on_both_days(self, stores, days, get):
        for day in days:
            [practical] = stores.sets.get_set(day).sources
            assert "The lamp changed: bare, it read 3 250 K before." in get(f"/sources/{practical.id}").text


class TestPlannedAsItHung:
    """Yesterday the stack that is advised came out beyond the tolerance, and nobody found a better one."""

    @pytest.fixture
    def practical(self, stores, post):
        lamp = Source(name="Desk lamp", kind=Kind.LED_WHITE, reading=Reading(cct=3150, duv=0.0042, lux=240))
        light_set = LightSet(name="Study (invented)", target=Target(cct=4300), sources=[lamp])
        number = stores.sets.create_set(light_set)
        [stored] = stores.sets.get_set(number).sources
        hung = json.dumps({"gels": ["CTB 1/2", "CTB 1/8"], "dial": None})
        post(f"/sources/{stored.id}/work", {"revision": stored.revision, "action": "hung", "stack": hung})
        post(f"/sources/{stored.id}/reading", {"cct": 4080, "duv": 0.0031, "lux": 92, "behind": "hung"})
        kept = stores.sets.get_source(stored.id)
        post(f"/sources/{stored.id}/work", {"revision": kept.revision, "action": "confirm"})
        [again] = stores.sets.get_set(stores.sets.days.duplicate(number)).sources
        return again.id

    def test_a_stack_has_one_chance(self, app, stores, practical):
        with app.test_request_context():
            [head] = plan_for(stores.sets.get_set(2)).heads
        assert head.before is not None
        same = [s for s in head.advice.stacks if sorted(s.gels) == sorted(head.chosen.gels)]
        assert [(s.within, s.miss, s.after) for s in same] == [
            (head.chosen.within, head.chosen.miss, head.chosen.after)
        ]

    def test_nobody_goes_back_to_the_same_stack_without_what_was_read(self, app, stores, practical, get):
        with app.test_request_context():
            [head] = plan_for(stores.sets.get_set(2)).heads
        assert sorted(head.first.gels) == sorted(head.chosen.gels)
        page = get(f"/sources/{practical}").text
        assert "Back to what is advised" not in page


class TestDays:
    @pytest.fixture
    def day_two(self, sample, stores) -> list[int]:
        return [s.id for s in stores.sets.get_set(stores.sets.days.duplicate(1)).sources]

    def test_there_has_to_be_another_day(self, sample, get):
        page = get("/sets/1/days")
        assert page.heading == "No other day to compare with"
        assert "/sets/1/duplicate" in page.posts

    def test_what_was_not_read_again_is_not_told(self, day_two, get):
        page = get("/sets/2/days")
        assert page.heading == "Nothing has been read again yet"
        assert page.text.count("not read again yet") == 6

    def test_what_drifted_most_is_the_answer(self, day_two, get, stores):
        stores.sets.add_reading(day_two[1], Reading(cct=5300, duv=0.0101, lux=1100))
        stores.sets.add_reading(day_two[0], Reading(cct=7150, duv=0.0041, lux=810))
        page = get("/sets/2/days")
        assert page.heading == "1 of 2 drifted: Key through the door"
        assert page.text.index("Key through the door: drifted") < page.text.index("Shop window: as it was")
        assert (
            "About an eighth CTO warmer, about an eighth greener, more than the meter may be off."
            in page.text
        )
        assert "0.4 stop darker." in page.text
        assert "Then 5 820 K, Duv +0.0068, 1 450 lx. Now 5 300 K, Duv +0.0101, 1 100 lx." in page.text
        assert "9.9 steps apart, the meter may be off by 2.9." in page.text
        assert "Hang ¼ CTO, on both days." in page.text

    def test_two_that_drifted(self, day_two, get, stores):
        stores.sets.add_reading(day_two[1], Reading(cct=5000, duv=0.0101, lux=1450))
        stores.sets.add_reading(day_two[4], Reading(cct=3190, duv=-0.0003, lux=320))
        assert get("/sets/2/days").heading == "2 of 2 drifted: Key through the door most"

    def test_nothing_drifted(self, day_two, get, stores):
        for number, stored in zip(day_two, stores.sets.get_set(1).sources, strict=True):
            stores.sets.add_reading(number, stored.source.reading)
        assert get("/sets/2/days").heading == "Nothing drifted"

    def test_behind_what_hung(self, day_two, get, stores):
        for number, cct in ((1, 5610), (day_two[0], 4700), (2, 5600), (day_two[1], 5590)):
            stores.sets.add_reading(number, Reading(cct=cct, duv=0.003, gels=["CTO 1/4"]))
        page = get("/sets/2/days")
        assert "Behind what hung, Shop window does not match." in page.text
        assert page.heading == "Bare, nothing has been read again yet"
        assert "Shop window: read again behind gel, not bare" in page.text
        assert "4 of 6 are not read again yet. 2 of 6 are read again behind gel, not bare." in page.text
        for number in day_two[:2]:  # bare they read as they did, and the headline says no more than that
            was = stores.sets.get_source(number).source.reading
            stores.sets.add_reading(number, was.model_copy(update={"gels": []}))
        page = get("/sets/2/days")
        assert page.heading == "Bare, nothing drifted in the 2 compared"
        assert "Shop window: as it was bare, not behind gel" in page.text
        assert "Key through the door: as it was" in page.text
        assert "Behind ¼ CTO then and now" in page.text
        stores.sets.add_reading(day_two[0], Reading(cct=5600, duv=0.003, gels=["CTO 1/8"]))
        page = get("/sets/2/days")
        assert "Behind what hung, all 2 match." in page.text
        assert "Behind ¼ CTO then, ⅛ CTO now" in page.text

    def test_what_the_headline_does_not_count_is_said_below_it(self, day_two, get, stores):
        for number, level in ((1, 100), (day_two[0], 50)):
            stores.sets.add_reading(number, Reading(cct=7200, duv=0.004, lux=800, level=level))
        stores.sets.add_reading(day_two[1], stores.sets.get_source(2).source.reading)
        page = get("/sets/2/days")
        assert "Shop window: used differently" in page.text
        assert page.heading == "Nothing drifted in the 1 compared"
        assert "4 of 6 are not read again yet. 1 of 6 is used differently." in page.text

    def test_sources_of_one_day_only(self, day_two, get, stores):
        stores.sets.delete_source(day_two[3])
        new = Source(name="Sky <b>panel</b>", reading=Reading(cct=5600, duv=0))
        stores.sets.add_source(2, new)
        page = get("/sets/2/days")
        assert "Only then: Oven room tubes." in page.text
        assert "Only now: Sky <b>panel</b>." in html.unescape(page.text)
        assert "<b>" not in page.html

    def test_days_are_named_date_first_and_by_the_hour_where_that_is_all_that_differs(
        self, day_two, get, stores
    ):
        today = day_said(at_present()).replace("\N{NO-BREAK SPACE}", " ")
        for name in ("Elsewhere", "Again", "Again"):
            stores.sets.create_set(LightSet(name=name, target=Target(cct=5600)))
        said = re.findall(r"<option[^>]*>(.*?)</option>", plain(get("/sets/2/days").html))
        assert f"{today}, Elsewhere" in said
        assert sum(bool(re.fullmatch(rf"\d\d:\d\d, {today}, Again", each)) for each in said) == 2

    def test_another_day_can_be_chosen(self, day_two, get, stores):
        other = Source(name="Lamp", reading=Reading(cct=5600, duv=0))
        stores.sets.create_set(LightSet(name="Elsewhere", target=Target(cct=5600), sources=[other]))
        assert get("/sets/2/days").fields["with"] == "1"
        page = get("/sets/2/days?with=3")
        assert (page.heading, page.fields["with"]) == ("No source was there on both days", "3")
        assert page.choices["with"] == ["1", "3"]
        assert "Only then: 1 source. Only now: 6 sources." in page.text and "Oven" not in page.text
        assert get("/sets/2/days?with=9").status == 404
        for odd in ("2", "x", ""):
            assert get(f"/sets/2/days?with={odd}").fields["with"] == "1"

    def test_a_target_that_is_gone_leaves_the_tolerance_of_the_set(self, day_two, get, stores):
        stores.sets.update_set(2, target=Target(source="Shelf lamps"))
        stores.sets.delete_source(day_two[5])
        stores.sets.add_reading(day_two[0], Reading(cct=7150, duv=0.0041, lux=810))
        assert get("/sets/2/days").heading == "Nothing drifted in the 1 compared"

    def test_a_set_without_sources(self, day_two, get, stores):
        stores.sets.create_set(LightSet(name="Nothing yet", target=Target(cct=5600)))
        assert get("/sets/3/days").heading == "No source was there on both days"


def test_a_next_day_is_planned_as_it_hung(sample, post, get, stores):
    now = stores.sets.get_source(1)
    hung = Work(stage=Stage.HUNG, gels=["CTO 1/2"])
    stores.sets.update_source(1, now.source.model_copy(update={"work": hung}))
    post("/sets/1/duplicate")
    work = stores.sets.get_set(2).sources[0].source.work
    assert (work.stage, work.gels) == (Stage.PLANNED, ["CTO 1/2"])


def test_a_next_day_offers_the_same_stack_with_what_was_read_behind_it(sample, post, get, stores):
    """The day before says more of the stack than the prediction, which was off by far."""
    post("/sources/1/work", {"revision": "1", "action": "hung", "stack": '{"gels": ["CTO 1/8", "CTO 1/8"]}'})
    post("/sources/1/reading", {"cct": "5610", "duv": "0.0031", "lux": "600", "behind": "hung"})
    post("/sets/1/duplicate")
    copied = stores.sets.get_set(2).sources[0]
    work = copied.source.work
    assert (work.stage, work.gels) == (Stage.PLANNED, ["CTO 1/8", "CTO 1/8"])
    assert (work.read_day_before.cct, work.read_behind, work.predicted) == (5610, None, None)
    page = get(f"/sources/{copied.id}")
    assert "With gel, it read 5 610 K, Duv +0.0031, 600 lx the day before" in page.text
    assert re.search(r"○ matches, (over )?\d in 10, metered the day before · −\d\.\d stop", page.text)
    assert "Advised now" not in page.text
    assert re.search(r"To hang: 1 Shop window two ⅛ CTO .* matches (over )?\d in 10\b", get("/sets/2").row(1))


def test_what_was_read_behind_another_stack_helps_the_next_day(app, act, read, post, get, stores):
    """Full CTB read too warm on the tungsten backlight: that counts the next day, and for no other lamp."""
    for gels, cct in ((["CTB full"], "5400"), (["CTB full", "CTB 1/8"], "5650")):
        act("hung", gels, number=5)
        read(cct, "0.003", number=5, behind="hung", hung="; ".join(gels))
    post("/sets/1/duplicate")
    copied = stores.sets.get_set(2).sources[4]
    assert [reading.gels for reading in copied.source.readings] == [["CTB full"]]

    def stacks():
        with app.app_context():
            return plan_for(stores.sets.get_set(2)).heads[4].advice.stacks

    full = next(stack for stack in stacks() if stack.gels == ["CTB full"])
    assert full.read is not None and full.read.cct == pytest.approx(5400, abs=1)
    row = get("/sets/2/days").text.split("Backlight: ")[1].split("Behind")[0]
    assert row.startswith("not read again yet")
    assert "Behind what hung" not in get("/sets/2/days").text  # nothing was read behind gel today
    read("3900", "-0.0003", number=copied.id)
    assert all(stack.read is None for stack in stacks())  # it is not the lamp of then


def test_a_lamp_that_drifted_over_night_takes_its_drift_along(sample, post, get, stores):
    post("/sources/1/work", {"revision": "1", "action": "hung", "stack": '{"gels": ["CTO 1/4"]}'})
    post("/sources/1/reading", {"cct": "5610", "duv": "0.0031", "lux": "600", "behind": "hung"})
    post("/sets/1/duplicate")
    copied = stores.sets.get_set(2).sources[0]
    post(f"/sources/{copied.id}/reading", {"cct": "7500", "duv": "0.0041", "lux": "820"})
    head = get(f"/sources/{copied.id}").text
    found = re.search(r"by the day before.*?(\d \d{3}) K, Duv [+−]\d\.\d{4} · 600 lx", head)
    assert "metered the day before" not in head
    assert found and 5750 < int(found[1].replace("\N{NARROW NO-BREAK SPACE}", "").replace(" ", "")) < 5950
    post(f"/sources/{copied.id}/work", {
        "revision": str(stores.sets.get_source(copied.id).revision), "action": "hung",
        "stack": '{"gels": ["CTO 1/4"]}',
    })  # fmt: skip
    predicted = stores.sets.get_source(copied.id).source.work.predicted
    assert predicted.cct == pytest.approx(5850, abs=100), "what it is checked against is what was shown"


def test_what_it_read_the_day_before_is_what_somebody_metered(sample, act, read, get, post, stores):
    """Moved after the reading: 600 lx at half as far are told as 2 400 lx, which nobody read."""
    act("hung", ["CTO 1/4"])
    read("5610", "0.0031", "600", behind="hung")
    stores.sets.change_source(1, {"stand": StandMove(times=0.5, done=True)})
    post("/sets/1/duplicate")
    copied = stores.sets.get_set(2).sources[0]
    page = get(f"/sources/{copied.id}").text
    assert "it read 5 610 K, Duv +0.0031, 600 lx the day before, where it stood then." in page
    there = Reading(cct=5610, duv=0.0031, lux=620, gels=["CTO 1/4"], as_far=0.5)
    stores.sets.add_reading(copied.id, there)
    days = get("/sets/2/days").text
    assert "600 lx. Now 5 610 K, Duv +0.0031, 620 lx." in days and "2 400" not in days
    assert "Its stand was moved between the two." in days


def test_what_is_as_white_and_not_as_bright_is_told_so(sample, act, read, get, post, stores):
    """1 000 lx and 500 lx of one white are one stop apart, and that is all that does not match."""
    act("hung", ["CTO 1/4"])
    read("5610", "0.0031", "1000", behind="hung")
    post("/sets/1/duplicate")
    copied = stores.sets.get_set(2).sources[0]
    stores.sets.add_reading(copied.id, Reading(cct=5610, duv=0.0031, lux=500, gels=["CTO 1/4"]))
    text = get("/sets/2/days").text
    assert "Behind what hung, Shop window matches in colour, not in light." in text
    at = text.index("The same white, as far as the meter can tell.")
    assert text[at + 45 :].strip().startswith("1.0 stop darker."), text[at : at + 80]
    assert "Shop window: read again behind gel, not bare Bare, not read again since." in text


def test_a_lamp_read_again_with_its_lux_keeps_what_was_metered_behind_it(app, stores, press, post):
    """Its spectrum was read, then its lux by hand: the light is the same one, and so is the stack."""
    lamp = Source(name="Tube", kind=Kind.FLUORESCENT_TRIBAND, reading=Reading(spectrum=LIGHT))
    number = stores.sets.create_set(
        LightSet(name="Corridor (invented)", target=Target(cct=6300), sources=[lamp])
    )
    [stored] = stores.sets.get_set(number).sources
    white = measure(lamp.reading)
    press("hung", ["CTB 1/2"], number=stored.id)
    post(f"/sources/{stored.id}/reading", {"cct": "5980", "duv": "0.0017", "behind": "hung"})
    post(
        f"/sources/{stored.id}/reading", {"cct": f"{white.cct:.0f}", "duv": f"{white.duv:.4f}", "lux": "418"}
    )
    with app.test_request_context():
        [head] = plan_for(stores.sets.get_set(stores.sets.days.duplicate(number))).heads
    assert head.chosen.after.cct == pytest.approx(5980, rel=0.002)
    assert head.chosen.after.duv == pytest.approx(0.0017, abs=1e-4)


class TestSeenFromTheDayBefore:
    """The page of the day before, opened once the next day is there: nothing was read on that one."""

    READ = ((["CTB 1/2", "CTB 1/8"], 4320, 0.0018), (["CTB 1/2"], 3960, 0.0012))

    @pytest.fixture
    def days(self, stores, press, post):
        bare = Reading(cct=3250, duv=0.0045, lux=240)
        lamp = Source(name="Practical", kind=Kind.LED_WHITE, reading=bare)
        number = stores.sets.create_set(
            LightSet(name="Loft (invented)", target=Target(cct=4300), sources=[lamp])
        )
        [stored] = stores.sets.get_set(number).sources
        for gels, cct, duv in self.READ:
            press("hung", gels, number=stored.id)
            post(f"/sources/{stored.id}/reading", {"cct": cct, "duv": duv, "behind": "hung"})
        return number, stores.sets.days.duplicate(number)

    def test_what_came_along_is_compared_with_nothing(self, days, get):
        first, second = days
        page = get(f"/sets/{first}/days?with={second}")
        assert page.heading == "Nothing has been read again yet"
        assert "Behind what hung" not in page.text and "not match" not in page.text

    def test_the_later_day_is_now(self, days, get, stores):
        first, second = days
        [lamp] = stores.sets.get_set(second).sources
        stores.sets.add_reading(lamp.id, Reading(cct=3650, duv=0.0045, lux=240))
        pages = [get(f"/sets/{first}/days?with={second}"), get(f"/sets/{second}/days?with={first}")]
        for page in pages:
            assert page.heading == "1 of 1 drifted: Practical"
            assert "Then 3 250 K, Duv +0.0045, 240 lx. Now 3 650 K, Duv +0.0045, 240 lx." in page.text
        assert "Now is Loft (invented), next day." in pages[0].text and "Now is" not in pages[1].text
