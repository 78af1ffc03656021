"""A long test of a head: a short one is offered, and the whole stays in reach."""

import pytest

from advisor.model import HeadTest

LONG = {
    "levels": "100, 50, 10",
    "bare": "yes",
    "modifiers": "softbox",
    "dial_cct": "2800, 3200, 4300, 4800, 5600, 6500",
    "dial_green": "0, 10",
}
ELEVEN = [
    "100 %, bare, dials at 2 800 K",
    "100 %, bare, dials at 4 300 K",
    "50 %, bare, dials at 4 300 K",
    "10 %, bare, dials at 4 300 K",
    "100 %, bare, dials at 4 300 K, green +10",
    "100 %, bare, dials at 6 500 K",
    "100 %, softbox, dials at 2 800 K",
    "100 %, softbox, dials at 4 300 K",
    "10 %, softbox, dials at 4 300 K",
    "100 %, softbox, dials at 4 300 K, green +10",
    "100 %, softbox, dials at 6 500 K",
]
"""3 × 2 × 12 readings are 72. The middle between 357 and 154 MK⁻¹ is 255: 4 300 K, at 233, is the nearest."""


def plain(text):
    return text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def panel(post):
    reach = {"reach_cct_from": "2800", "reach_cct_to": "6500"}
    post("/heads/new", {"name": "Panel 5", **reach, "reach_green_from": "-10", "reach_green_to": "10"})


@pytest.mark.usefixtures("panel")
class TestLong:
    def test_a_long_test_is_offered_a_short_one_with_what_it_reads_and_loses(self, post, stores):
        page = post("/heads/1/test", LONG)
        said = plain(page.text)
        assert page.status == 422
        assert "72 readings. 11 tell most of it." in said
        assert "Bare at 100, 50 and 10 %." in said
        assert "Softbox at 100 and 10 %." in said
        assert "Dials at 2 800 K · 4 300 K · 4 300 K, green +10 · 6 500 K, each at 100 %." in said
        assert "Not read: levels in between, dials in between and other dials lower down." in said
        assert "Read all 72" in said
        assert page.fields["dial_cct"] == LONG["dial_cct"]
        assert stores.heads.tests_of(1) == []

    def test_the_short_one_asks_for_what_it_said_and_leaves_the_rest_in_reach(
        self, post, stores, get, client
    ):
        assert post("/heads/1/test", {**LONG, "plan": "short"}).status == 200
        asked = [plain(step.words) for step in stores.heads.get_test(1).test.steps]
        assert (asked[:11], len(asked), len(set(asked))) == (ELEVEN, 72, 72)
        assert "reading 1 of 11" in plain(get("/tests/1").text)
        for step in range(11):
            answer = client.post(f"/tests/1?at={step}", data={"cct": "4300", "duv": "0", "sure": "yes"})
        assert answer.location == "/tests/1/sheet"
        assert "Short test: 61 readings left out. Read them too" in plain(get("/tests/1/sheet").text)
        assert "Short test, 11 of 11 read" in plain(get("/heads/1").text)
        assert "11 readings" in plain(get("/heads").text)
        assert "reading 12 of 72" in plain(get("/tests/1?at=11").text)
        answer = client.post("/tests/1?at=11", data={"cct": "2800", "duv": "0", "sure": "yes"})
        assert answer.location == "/tests/1?at=12&said=11"
        assert "Short test, 11 of 11 read, and 1 more" in plain(get("/heads/1").text)
        assert "Short test: 60 readings left out." in plain(get("/tests/1/sheet").text)

    def test_the_whole_is_begun_on_demand(self, post, stores, get):
        post("/heads/1/test", {**LONG, "plan": "whole"})
        assert stores.heads.get_test(1).test.needed == 72
        assert "reading 1 of 72" in plain(get("/tests/1").text)

    def test_one_that_is_too_long_as_a_whole_has_a_short_one_alone(self, post, stores):
        more = {**LONG, "levels": "100, 75, 50, 25, 10"}  # 120
        page = post("/heads/1/test", more)
        assert page.status == 422
        assert "the test asks for 120 readings" in page.text
        assert "Read 11" in plain(page.text) and "Read all" not in page.text
        post("/heads/1/test", {**more, "plan": "short"})
        assert len(stores.heads.get_test(1).test.steps) == 11


def test_a_test_of_some_readings_is_begun_at_once(post, stores):
    post("/heads/new", {"name": "Fresnel"})
    typed = {"levels": "100, 75, 50, 25", "bare": "yes", "modifiers": "dish, silk"}
    assert "reading 1 of 12" in plain(post("/heads/1/test", typed).text)


def test_a_short_test_has_the_ends_of_each_thing():
    test = HeadTest(levels=[10, 20, 30, 50, 100], modifiers=["", "dish", "silk"], short=True)
    # The middle of 10 and 100 on the scale of stops is 32.
    assert [plain(s.words) for s in test.short_steps] == [
        "10 %, bare", "30 %, bare", "100 %, bare", "10 %, dish", "100 %, dish", "10 %, silk", "100 %, silk"
    ]  # fmt: skip
    assert (test.needed, len(test.steps)) == (7, 15)


class TestSetOtherwise:
    @pytest.fixture(autouse=True)
    def begun(self, post):
        post("/heads/new", {"name": "Fresnel"})
        post("/heads/1/test", {"levels": "100, 60, 10", "bare": "yes", "modifiers": "dish"})
        post("/tests/1?at=0", {"cct": "3180", "duv": "0", "lux": "2000"})

    def test_what_was_read_at_another_level_is_kept_as_that(self, get, client, stores, post):
        page = get("/tests/1?at=1")
        assert (page.fields["level"], page.fields["modifier"]) == ("60", "")
        typed = {**page.fields, "cct": "3000", "duv": "0.0001", "lux": "500", "level": "50"}
        answer = client.post("/tests/1?at=1", data=typed)
        assert answer.location == "/tests/1?at=2&said=6"
        assert "50 %, bare: " in plain(get(answer.location).text)
        test = stores.heads.get_test(1)
        assert (test.readings[6].reading.level, sorted(test.readings), test.unread[0]) == (50, [0, 6], 1)
        assert "50 %" in plain(get("/tests/1/sheet").text)
        assert "1 of 6 read, and 1 more" in plain(get("/heads/1").text)

    def test_at_the_question_all_that_was_typed_stays(self, post, stores):
        """100 lx of 2 000 at 60 % are 4.3 stops where the dimmer says 0.7; at 10 % it says 3.3."""
        typed = {"cct": "2600", "duv": "0.0001", "lux": "100", "watts": "12", "level": "60", "modifier": ""}
        page = post("/tests/1?at=1", typed)
        assert page.status == 422
        assert "Was it set otherwise? Say so below." in page.text
        assert "<details open>" in page.html
        assert {k: page.fields[k] for k in typed} == typed
        post("/tests/1?at=1", {**page.fields, "level": "10", "modifier": "silk"})
        [reading] = [t.reading for t in stores.heads.get_test(1).readings.values() if t.reading.level == 10]
        assert (reading.modifier, reading.watts, reading.lux) == ("silk", 12, 100)

    def test_right_as_it_is_keeps_how_it_was_set(self, post, stores):
        typed = {"cct": "2600", "duv": "0.0001", "lux": "5", "level": "60", "modifier": "silk"}
        page = post("/tests/1?at=4", {**typed, "modifier": ""})  # the step is with the dish
        assert 'name="modifier" value=""' in page.html  # as Right as it is sends it
        post("/tests/1?at=4", {**typed, "modifier": "", "sure": "yes"})
        assert stores.heads.get_test(1).readings[1].reading.modifier == ""

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"level": "100"}, "100 %, bare is read already"),
            ({"level": "500"}, "Dim level 500 is out of range"),
        ],
    )
    def test_what_it_cannot_be_is_refused_at_its_field(self, post, typed, says):
        page = post("/tests/1?at=1", {"cct": "3000", "duv": "0", **typed})
        assert page.status == 422
        assert says in plain(page.text)
        assert (page.fields["level"], page.fields["cct"]) == (typed["level"], "3000")


def test_dials_that_stood_otherwise_are_kept_as_they_stood(post, stores, get):
    post("/heads/new", {"name": "Tube", "reach_cct_from": "2700", "reach_cct_to": "6500"})
    post("/heads/1/test", {"levels": "100", "bare": "yes", "dial_cct": "3200, 5600"})
    page = get("/tests/1?at=1")
    assert (page.fields["dial_cct"], page.fields["dial_green"]) == ("5600", "0")
    page = post("/tests/1?at=1", {**page.fields, "cct": "4500", "duv": "0", "dial_cct": "9000"})
    assert "is beyond its dial range" in page.text and page.fields["cct"] == "4500"
    post("/tests/1?at=1", {**page.fields, "dial_cct": "4500"})
    assert stores.heads.get_test(1).readings[2].reading.dial.cct == 4500
