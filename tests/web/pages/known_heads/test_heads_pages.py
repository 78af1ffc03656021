"""Heads on pages: added, tested over two phones, put on a set."""

import pytest

from advisor.model import HeadTest, Kind
from tests.heads import PANEL, READINGS
from tests.heads import TEST as TESTED
from tests.web.page import Page

TEST = {"levels": "100, 50 %, 10", "bare": "yes", "modifiers": "dish", "distance": "3", "minutes_on": "20"}


@pytest.fixture
def head(post):
    assert post("/heads/new", {"name": "Panel 3", "kind": "led-white", "group": "Panels"}).status == 200
    return 1


def test_a_head_is_added_and_listed(head, stores, get):
    kept = stores.heads.get_head(head).head
    assert (kept.name, kept.kind, kept.group) == ("Panel 3", Kind.LED_WHITE, "Panels")
    page = get("/heads").text
    assert "1 head" in page.replace("\xa0", " ")
    assert "White LED, not tested yet" in page


def test_a_name_that_is_missing_is_asked_for_and_what_was_typed_stays(post):
    page = post("/heads/new", {"name": " ", "note": "from the van"})
    assert page.status == 422
    assert "Name is empty" in page.text
    assert page.fields["note"] == "from the van"


def test_a_test_goes_modifier_by_modifier_and_can_be_left_and_resumed(head, stores, client, post, get):
    post(f"/heads/{head}/test", TEST)
    said = []
    for step in range(4):
        page = get("/tests/1")
        said.append(page.html.partition('<h1 class="answer">')[2].partition("<")[0].replace("\u202f", " "))
        lux = ("2000", "1000", "200", "4000")[step]
        answer = client.post(f"/tests/1?at={step}", data={"cct": "5 813", "duv": "-0.0014", "lux": lux})
        assert answer.location == f"/tests/1?at={step + 1}&said={step}"
    assert said == ["100 %, bare", "50 %, bare", "10 %, bare", "100 %, dish"]
    assert "half an eighth magenta" in get("/tests/1?at=4&said=3").text
    assert stores.heads.get_test(1).unread == [4, 5]
    assert "4 of 6 read" in get("/heads/1").text


def test_after_the_last_step_comes_the_sheet(head, client, post):
    post(f"/heads/{head}/test", {**TEST, "levels": "100", "modifiers": ""})
    answer = client.post("/tests/1?at=0", data={"cct": "5813", "duv": "-0.0014"})
    assert answer.location == "/tests/1/sheet"
    assert client.get("/tests/1").location == "/tests/1/sheet"


def test_going_back_and_on_takes_no_second_reading(head, stores, client, post, get):
    post(f"/heads/{head}/test", TEST)
    client.post("/tests/1?at=0", data={"cct": "5813", "duv": "-0.0014", "lux": "2000"})
    page = get("/tests/1?at=0")
    assert (page.fields["cct"], page.fields["duv"]) == ("5813", "-0.0014")
    client.post("/tests/1?at=0", data=page.fields)
    assert [c.what for c in stores.heads.changes(1)].count("reading.taken") == 1
    client.post("/tests/1?at=0", data={**page.fields, "cct": "5820"})
    assert stores.heads.get_test(1).readings[0].reading.cct == 5820


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"cct": "58130", "duv": "0"}, "CCT 58130 is out of range"),
        ({"cct": "5813", "duv": ""}, "Duv is empty"),
        ({"cct": "5813", "duv": "0", "watts": "many"}, "Power"),
    ],
)
def test_a_reading_that_is_wrong_is_said_and_kept_in_its_field(head, stores, post, typed, says):
    post(f"/heads/{head}/test", TEST)
    page = post("/tests/1?at=0", typed)
    assert page.status == 422
    assert says in page.text
    assert page.fields["cct"] == typed["cct"]
    assert stores.heads.get_test(1).readings == {}


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"levels": ""}, "no level is given"),
        ({"levels": "100, 200"}, "Dim level 200 is out of range"),
        ({"levels": "100, 100"}, "is given twice"),
        ({"bare": "", "modifiers": ""}, "there is nothing to read"),
        ({"distance": "far"}, "Distance"),
    ],
)
def test_what_no_test_can_be_is_refused(head, stores, post, typed, says):
    page = post(f"/heads/{head}/test", {**TEST, **typed})
    assert page.status == 422
    assert says in page.text
    assert stores.heads.tests_of(head) == []


def test_an_adjustable_head_says_how_its_dials_stood(post, stores):
    post("/heads/new", {"name": "Tube", "reach_cct_from": "2700", "reach_cct_to": "6500"})
    assert "CCT on its dial is empty" in post("/heads/1/test", TEST).text
    post("/heads/1/test", {**TEST, "dial_cct": "5600"})
    post("/tests/1?at=0", {"cct": "5500", "duv": "0"})
    assert stores.heads.get_test(1).readings[0].reading.dial.cct == 5600


def test_several_dial_settings_are_read_one_after_the_other_with_each_modifier(post, stores, get):
    post("/heads/new", {"name": "Tube", "reach_cct_from": "2700", "reach_cct_to": "6500"})
    post("/heads/1/test", {**TEST, "levels": "100, 10", "dial_cct": "3 200 K, 5600"})
    said = [
        step.words.replace("\u202f", " ").replace("\xa0", " ") for step in stores.heads.get_test(1).test.steps
    ]
    assert said[:4] == [
        "100 %, bare, dials at 3 200 K",
        "10 %, bare, dials at 3 200 K",
        "100 %, bare, dials at 5 600 K",
        "10 %, bare, dials at 5 600 K",
    ]
    assert said[4] == "100 %, dish, dials at 3 200 K"
    assert "Set its dials to 5 600 K." in get("/tests/1?at=2").text
    assert get("/heads/1/test").fields["dial_cct"] == "3200, 5600"


def test_a_setting_beyond_the_dials_is_refused(post, stores):
    post("/heads/new", {"name": "Tube", "reach_cct_from": "2700", "reach_cct_to": "6500"})
    page = post("/heads/1/test", {**TEST, "dial_cct": "3200, 9000"})
    assert page.status == 422
    assert "CCT on its dial 9 000 is beyond its dial range" in page.text
    assert page.fields["dial_cct"] == "3200, 9000"
    assert stores.heads.tests_of(1) == []


def test_a_test_of_too_many_readings_is_refused(head, stores, post):
    names = ", ".join(f"m{k}" for k in range(8))
    page = post(
        f"/heads/{head}/test",
        {
            **TEST,
            "levels": "100,90,80,70,60,50,40,30,20,15,10,5",
            "bare": "",
            "modifiers": names,
            "plan": "whole",
        },
    )
    assert stores.heads.tests_of(head)
    assert page.status == 200
    page = post(f"/heads/{head}/edit", {"name": "Panel 3", "reach_cct_from": "2700", "reach_cct_to": "6500"})
    more = {
        **TEST,
        "levels": "100,50,10",
        "modifiers": names,
        "bare": "",
        "dial_cct": "3000, 3200, 4000, 5000, 5600",
        "plan": "whole",
    }
    page = post(f"/heads/{head}/test", more)
    assert page.status == 422
    assert "the test asks for 120 readings" in page.text


def test_a_test_kept_with_a_single_setting_is_read_as_one_of_one(stores):
    kept = {"levels": [100], "dial": {"cct": 5600}}
    assert [d.cct for d in HeadTest.model_validate(kept).dials] == [5600]


def test_a_head_goes_on_a_set_with_one_tap(shipped, stores, post, get):
    page = post("/sets/1/heads", {"one": "1"})
    assert "as tested" in page.text
    added = stores.sets.get_set(1).sources[-1]
    assert added.source.name == "Panel 3"
    assert added.source.reading.level == 100
    assert sorted((r.level, r.modifier) for r in added.source.bare_readings) == [
        (10, ""),
        (50, ""),
        (100, ""),
        (100, "dish"),
    ]
    assert "Not metered on this set." in get(f"/sources/{added.id}").text
    assert "not metered here" in get("/sets/1").text
    post(f"/sources/{added.id}/reading", {"cct": "5700", "duv": "0.001"})
    assert "Not metered on this set." not in get(f"/sources/{added.id}").text


@pytest.mark.parametrize("typed", [{"head": ["1", "5"]}, {"group": "Panels"}])
def test_several_heads_go_on_a_set_at_once(shipped, stores, post, typed):
    second = stores.heads.add_head(PANEL.model_copy(update={"name": "Panel 4"}))
    stores.heads.take_reading(stores.heads.begin_test(second, TESTED), READINGS[0])
    page = post("/sets/1/heads", typed)
    assert "Added as tested." in page.text
    assert [s.source.name for s in stores.sets.get_set(1).sources[-2:]] == ["Panel 3", "Panel 4"]
    assert "On this set already" in page.text


def test_nothing_ticked_is_said(shipped, post):
    page = post("/sets/1/heads", {})
    assert page.status == 422
    assert "no head is ticked" in page.text


def test_a_head_that_was_not_tested_does_not_go_on_a_set(shipped, stores, post):
    page = post("/sets/1/heads", {"one": "99"})
    assert page.status in (404, 422)
    assert len(stores.sets.get_set(1).sources) == 6


def test_who_comes_second_is_told_who_came_first_and_keeps_what_was_typed(head, stores, post, get):
    shown = get(f"/heads/{head}/edit").fields
    stores.heads.by("Bo").change_head(head, stores.heads.get_head(head).head.model_copy(update={"note": "x"}))
    page = post(f"/heads/{head}/edit", {**shown, "note": "mine"})
    assert page.status == 409
    assert "Bo changed “Note” too" in page.text
    assert page.fields["note"] == "mine"
    post(f"/heads/{head}/edit", {**page.fields, "pick_note": "mine"})
    assert stores.heads.get_head(head).head.note == "mine"


def test_what_was_done_is_undone_from_the_page(head, stores, post, get):
    post(f"/heads/{head}/edit", {**get(f"/heads/{head}/edit").fields, "note": "x"})
    change = stores.heads.changes(head)[0]
    assert "Changed: note" in get(f"/heads/{head}").text
    post(f"/head-changes/{change.id}/undo")
    assert stores.heads.get_head(head).head.note == ""


def test_a_removed_head_is_offered_back(head, stores, post):
    page = post(f"/heads/{head}/delete")
    assert "The head is removed." in page.text
    post(f"/heads/{head}/restore")
    assert not stores.heads.get_head(head).deleted


def test_a_page_of_a_removed_head_offers_to_bring_it_back(head, post, client):
    post(f"/heads/{head}/delete")
    page = Page(client.get(f"/heads/{head}"))
    assert page.status == 404
    assert "The head is removed." in page.text


def test_a_green_dial_of_no_range_is_asked_about_and_a_range_is_shown(stores, post, get):
    typed = {"name": "Tube", "reach_cct_from": "2800", "reach_cct_to": "6500", "reach_green_to": "10"}
    page = post("/heads/new", {**typed, "reach_green_from": "10"})
    assert page.status == 422
    assert "the green dial goes from 10 to 10, so it has no range" in page.text.lower()
    assert page.fields["reach_green_from"] == "10"
    assert stores.heads.list_heads() == []
    page = post("/heads/new", {**typed, "reach_green_from": "-10"})
    assert "Dials 2 800 K to 6 500 K, green −10 to +10" in page.text


def test_a_head_that_reads_as_another_to_the_last_digit_is_asked_about(stores, get):
    """Two of two lamps may fall together once; twice somebody typed a test under two names."""
    for name, some in (("Panel 3", READINGS), ("Panel 4", READINGS[:2]), ("Panel 5", READINGS[:1])):
        test = stores.heads.begin_test(stores.heads.add_head(PANEL.model_copy(update={"name": name})), TESTED)
        for reading in some:
            stores.heads.take_reading(test, reading)
    said = "Panel 4 has 2 readings alike to the last digit. Is one a copy?"
    assert said in get("/heads/1").text.replace("\xa0", " ")
    assert "Panel 3 has 2 readings alike" in get("/heads/2").text.replace("\xa0", " ")
    assert "to the last digit" not in get("/heads/3").text
    stores.heads.undo(next(c.id for c in stores.heads.changes(2) if c.what == "test.begun"))
    assert "to the last digit" not in get("/heads/1").text


def test_the_next_head_alike_needs_a_name_alone_and_its_test_is_proposed(post, get, stores):
    reach = {"reach_cct_from": "2700", "reach_cct_to": "6500"}
    post("/heads/new", {"name": "Tube 1", "kind": "led-mix", "group": "Tubes", "note": "dented", **reach})
    post("/heads/1/test", {**TEST, "levels": "100", "dial_cct": "3200, 5600"})
    for step in range(4):
        page = post(f"/tests/1?at={step}", {"cct": "4000", "duv": "0", "sure": "yes"})
    assert "Next head like it" in page.text
    form = get("/heads/new?like=1").fields
    assert (form["kind"], form["group"], form["reach_cct_to"]) == ("led-mix", "Tubes", "6500")
    assert (form["name"], form["note"]) == ("", "")
    post("/heads/new", {**form, "name": "Tube 2"})
    proposed = get("/heads/2/test").fields
    assert (proposed["levels"], proposed["modifiers"], proposed["dial_cct"]) == ("100", "dish", "3200, 5600")
    post("/heads/new", {"name": "Fresnel", "kind": "tungsten"})
    assert get("/heads/3/test").fields["levels"] == "100, 50, 10"
    assert get("/heads/new?like=99").status == 404
