"""A stack that is planned while gels hang: what hangs stays so, until somebody says that it is changed."""

import json
import re

import pytest

from advisor.model import Stage, Target, Work
from tests.web.working import CTO, buttons, stacks_of

FULL, THREE = ["CTB full"], ["CTB 1/2", "CTB 1/2", "CTB 1/2"]
BY_HAND = "/sources/5?gel=CTB+1%2F2&gel=CTB+1%2F2&gel=CTB+1%2F2&gel="


@pytest.fixture
def backlight(act, stores):
    """The tungsten backlight with its full CTB up, and its buttons."""
    act("hung", FULL, number=5)
    return lambda action, gels=None: act(action, gels, number=5)


@pytest.fixture
def up(stores):
    return lambda: stores.sets.get_source(5).source.work


def test_a_stack_by_hand_is_a_change_of_what_hangs(backlight, get, up):
    page = get(BY_HAND)
    assert {"Hang this instead", "Hung instead", "All taken off"} <= buttons(page)
    assert "Plan this one" not in buttons(page)
    page = backlight("plan", THREE)
    head = page.text.split("New reading")[0]
    assert re.search(r"Take off full CTB Hang ½ CTB ½ CTB ½ CTB Hot: let it cool .* Hung full CTB", head)
    assert {"Swapped", "All taken off", "Keep what hangs"} <= buttons(page)
    assert (up().stage, up().gels, up().instead.gels) == (Stage.HUNG, FULL, THREE)
    assert get("/sets/1").row(5).startswith("To hang: 5 Backlight swap full CTB for three ½ CTB")
    assert stacks_of(page)[0]["gels"] == THREE, "the button says that it was done"


@pytest.mark.parametrize(
    ("hangs", "planned", "said"),
    [
        (FULL, THREE, "Swapped"),
        (FULL, [*FULL, "CTB 1/8"], "Added"),
        (THREE, THREE[:2], "Taken off"),
        (FULL, [], "Taken off, stays bare"),
        ([], FULL, "Hung"),
    ],
)
def test_the_button_says_what_was_done(backlight, hangs, planned, said):
    """Each with the word of its order: nothing is swapped where a gel is only added or taken off."""
    backlight("hung", hangs)
    page = backlight("plan", planned)
    words = {"Swapped", "Added", "Taken off", "Taken off, stays bare", "Hung"}
    assert words & buttons(page) == {said}
    assert stacks_of(page)[0]["gels"] == planned, "the button says that it was done"


def test_every_page_and_print_says_what_hangs(backlight, get):
    backlight("plan", THREE)
    assert "5 Backlight Hung full CTB" in get("/sets/1/record").text
    assert "Hung full CTB. Take off full CTB, hang three ½ CTB" in get("/sets/1/tags").text
    row = re.search(r"Backlight.*?</tr>", get("/sets/1/sheet").html, re.DOTALL)[0]
    assert "Take off full CTB, hang three ½ CTB" in row and "<strong>Hung full CTB" in row
    assert re.search(r"Comes off (5 )?Backlight: full CTB\.", get("/sets/1/pulls").text)


def test_a_reading_is_still_asked_about_and_stays_behind_what_hangs(backlight, get, post, stores, up):
    page = backlight("plan", THREE)
    assert page.choices["behind"] == ["hung", "bare"] and page.fields["hung"] == "CTB full"
    page = post("/sources/5/reading", {"behind": "hung", "hung": "CTB full", "cct": "5300", "duv": "0.002"})
    newest = stores.sets.get_source(5)
    assert newest.behind.reading.gels == FULL and newest.source.reading.cct != 5300
    assert up().stage is Stage.HUNG and up().instead.gels == THREE
    assert "changed: bare, it read" not in page.text
    assert "Take off full CTB" in page.text and "As it hangs: 5 300 K" in page.text


def test_what_was_read_as_right_is_not_confirmed_while_another_is_planned(backlight, post, up):
    backlight("plan", THREE)
    page = post("/sources/5/reading", {"behind": "hung", "hung": "CTB full", "cct": "5600", "duv": "0.0032"})
    assert up().stage is Stage.HUNG
    assert "Confirmed" not in page.text.split("New reading")[0]


def test_over_a_confirmed_stack_too(backlight, get, up):
    backlight("confirm")
    page = backlight("plan", THREE)
    assert up().stage is Stage.CONFIRMED and "Take off full CTB" in page.text
    assert get("/sets/1").row(5).startswith("To hang: 5 Backlight swap ")
    backlight("keep")
    assert (up().stage, up().instead) == (Stage.CONFIRMED, None)


def test_it_ends_as_hung_as_kept_or_as_taken_off(backlight, up):
    backlight("plan", THREE)
    backlight("hung", THREE)
    assert (up().stage, up().gels, up().instead) == (Stage.HUNG, THREE, None)
    backlight("plan", FULL)
    backlight("clear")
    assert (up().stage, up().gels) == (Stage.PLANNED, FULL), "what was planned instead is the plan"
    backlight("hung", FULL)
    backlight("plan", THREE)
    backlight("plan", FULL)
    assert up().instead is None, "what hangs is planned: there is nothing to change"
    backlight("plan", THREE)
    backlight("confirm")
    assert (up().stage, up().instead) == (Stage.CONFIRMED, None)


def test_each_step_is_said_on_the_record_and_undone(backlight, get, post, stores, up):
    backlight("plan", THREE)
    assert "Backlight: planned instead: three ½ CTB" in get("/sets/1/record").text
    line = stores.sets.history(1)[-1].id
    post(f"/changes/{line}/undo")
    assert (up().gels, up().instead) == (FULL, None)
    assert "Backlight: undone: full CTB stays" in get("/sets/1/record").text
    post(f"/changes/{stores.sets.history(1)[-1].id}/undo")
    assert up().instead.gels == THREE
    backlight("clear")
    assert "Backlight: taken off: full CTB, planned: three ½ CTB" in get("/sets/1/record").text
    post(f"/changes/{stores.sets.history(1)[-1].id}/undo")
    assert (up().stage, up().gels, up().instead.gels) == (Stage.HUNG, FULL, THREE)


def test_it_goes_out_of_date_with_the_target_and_what_hangs_is_judged_anew(backlight, get, stores):
    backlight("plan", THREE)
    stores.sets.update_set(1, target=Target(cct=3200, locus="planckian"))
    text = get("/sources/5").text
    assert "What was planned instead is out of date." in text
    assert re.search(r"Hung full CTB\. The target changed", text)
    assert not re.search(r"Hang ½ CTB ½ CTB", text)


def test_a_reading_struck_out_leaves_the_plan(backlight, post, stores, up):
    post("/sources/5/reading", {"behind": "hung", "hung": "CTB full", "cct": "5300", "duv": "0.002"})
    backlight("plan", THREE)
    post(f"/readings/{stores.sets.get_source(5).behind.id}/strike")
    assert (up().read_behind, up().gels, up().instead.gels) == (None, FULL, THREE)


def test_it_goes_with_the_file_of_the_set_and_is_the_plan_of_the_next_day(backlight, client, post, stores):
    backlight("plan", THREE)
    file = client.get("/sets/1/export.json").get_data(as_text=True)
    written = next(s for s in json.loads(file)["sources"] if s["source"]["name"] == "Backlight")
    assert written["source"]["work"]["instead"]["gels"] == THREE
    post("/sets/import", {"text": file, "copy": "yes"})
    copied = stores.sets.get_set(2).sources[4].source
    assert copied == stores.sets.get_source(5).source
    post("/sets/1/duplicate")
    planned = stores.sets.get_set(3).sources[4].source.work
    assert (planned.stage, planned.gels, planned.instead) == (Stage.PLANNED, THREE, None)


def test_who_planned_first_is_told_to_the_second_phone(backlight, act, stores, up):
    seen = stores.sets.get_source(5).revision
    backlight("plan", THREE)
    page = act("plan", ["CTB 1/2"], number=5, revision=seen)
    assert page.status == 409
    assert "hung: full CTB, planned: three ½ CTB" in page.alerts[0]
    assert up().instead.gels == THREE


def test_what_stays_bare_is_told_what_to_hang(act):
    act("hung", [], number=5)
    page = act("plan", ["CTB 1/2"], number=5)
    assert re.search(r"Hang ½ CTB Hot: let it cool before you touch it\. Stays bare", page.text)


def test_a_plan_for_what_does_not_hang_is_no_record(sample):
    with pytest.raises(ValueError, match="instead has to be a plan"):
        Work.model_validate({"stage": "planned", "gels": CTO, "instead": {"gels": FULL}})


def test_the_set_page_says_what_hangs_wherever_it_is_to_be_changed(backlight, get, post):
    """After a plan of one's own, and after a reading: in the same place as after a changed target."""
    backlight("plan", THREE)
    assert "swap full CTB for three ½ CTB" in get("/sets/1").row(5)
    backlight("keep")
    for cct in ("5000", "5010"):  # one that is far off is asked about, until it was read twice
        read = {"behind": "hung", "hung": "CTB full", "cct": cct, "duv": "0.003"}
        page = post("/sources/5/reading", read)
    assert "Added" in buttons(page)
    assert re.search(r"5 Backlight (swap full CTB for|add) ", get("/sets/1").row(5))
