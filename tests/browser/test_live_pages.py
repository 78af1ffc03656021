"""What one phone does is on the others soon, without a reload, and takes nothing away from who is typing."""

import re

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import Stage, Work
from tests.browser.crew import Crew, heard, read, says, status, waiting

pytestmark = pytest.mark.usefixtures("plain")


def main(page: Page):
    return page.get_by_role("main")


def stays(page: Page) -> None:
    """Mark a page, to see later that it was not loaded again."""
    page.evaluate("window.marked = true")


def stayed(page: Page) -> bool:
    return page.evaluate("window.marked === true")


@pytest.mark.parametrize(
    ("path", "shows"),
    [("/sets/1", r"5 Backlight\s+two\s½\sCTB"), ("/sources/5", r"Reads 3\s100\sK, Duv\s\+0\.0010")],
)
def test_a_reading_on_one_phone_is_on_the_other(crew: Crew, path: str, shows: str):
    mia, jo = crew.phone("Mia", "/sources/5"), crew.phone("Jo", path)
    stays(jo)
    read(mia, "3100")
    says(jo, "Mia read Backlight")
    expect(main(jo)).to_contain_text(re.compile(shows))
    assert stayed(jo)
    says(jo, "Here: Jo, Mia.")


def test_what_is_wanted_is_on_the_dps_page_and_on_the_light(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets.by("Mia")
    compare, light = crew.phone("Dee", "/sets/1/compare"), crew.phone("Dee", "/sets/1/light")
    source = sets.get_source(6).source
    sets.update_source(6, source.model_copy(update={"name": "Lamps on the shelf"}))
    for page in (compare, light):
        expect(main(page)).to_contain_text("Lamps on the shelf")


def test_sources_come_and_go_on_an_open_list(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    page = crew.phone("Jo", "/sets/1")
    heads = page.get_by_role("list", name="Sources").locator("> li")
    expect(heads).to_have_count(6)
    sets.delete_source(2)
    expect(heads).to_have_count(5)
    sets.restore_source(2)
    expect(heads).to_have_count(6)
    expect(heads.nth(1)).to_contain_text("2 Key through the door")
    expect(heads.nth(5)).to_contain_text("6 Shelf lamps")


def test_what_is_typed_stays_with_the_focus_and_the_place_on_the_screen(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sources/5")
    heard(page)
    page.locator("#new-reading > summary").click()
    field = page.get_by_label("CCT", exact=True)
    field.press_sequentially("31")
    page.evaluate("scrollTo(0, 400)")
    before = field.bounding_box()
    sets = here.extensions["advisor"].sets.by("Mia")
    longer = sets.get_source(5).source.reading.model_copy(update={"cct": 7000.0})
    sets.add_reading(5, longer)
    says(page, "Mia read Backlight")
    expect(page.get_by_role("region", name="What to hang")).to_contain_text("CTO")
    page.keyboard.type("50")
    expect(field).to_have_value("3150")
    expect(field).to_be_focused()
    assert field.bounding_box() == pytest.approx(before, abs=1.0)


def test_a_field_that_was_changed_waits_until_it_is_left_alone(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sets/1/light")
    page.get_by_text("Change", exact=True).click()
    iso = page.get_by_label("ISO", exact=True)
    iso.fill("3200")
    page.get_by_label("Frame rate").focus()
    sets = here.extensions["advisor"].sets.by("Mia")
    exposure = sets.get_set(1).exposure.model_copy(update={"iso": 1600.0})
    sets.update_set(1, exposure=exposure)
    says(page, "Mia changed the set")
    expect(iso).to_have_value("3200")
    page.get_by_role("button", name="Save").click()  # and then both are seen
    expect(page.get_by_role("alert")).to_contain_text("Mia changed “ISO” too")
    expect(page.get_by_role("button", name="Keep Mia’s: 1600")).to_be_visible()
    expect(page.get_by_label("ISO", exact=True)).to_have_value("3200")


def test_what_a_reading_was_taken_behind_is_not_exchanged_while_it_is_typed(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets.by("Mia")

    def hang(gel: str) -> None:
        work = Work(stage=Stage.HUNG, gels=[gel])
        sets.update_source(5, sets.get_source(5).source.model_copy(update={"work": work}))

    hang("CTB full")
    page = crew.phone("Jo", "/sources/5")
    page.locator("#new-reading > summary").click()
    page.get_by_label("CCT", exact=True).fill("5500")
    page.get_by_label("Duv", exact=True).fill("0.001")
    hang("CTB 1/2")
    says(page, "Mia hung Backlight")
    expect(page.get_by_role("region", name="What to hang")).to_contain_text(re.compile("½ CTB"))
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("alert").first).to_contain_text("½ CTB hangs on it now")
    expect(page.get_by_label("CCT", exact=True)).to_have_value("5500")


def test_what_a_person_unfolded_stays_unfolded(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    reading = sets.get_source(5).source.reading
    sets.add_reading(5, reading)
    page = crew.phone("Jo", "/sources/5")
    page.get_by_text("2 readings").click()
    sets.add_reading(5, reading)
    expect(page.get_by_text("3 readings")).to_be_visible()
    expect(page.get_by_role("columnheader", name="CCT")).to_be_visible()


def test_the_level_in_use_still_answers_at_once_after_it_was_replaced(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    source = sets.get_source(5).source
    level = source.reading.model_copy(update={"level": 100.0})
    sets.add_reading(5, level)
    sets.add_reading(5, level.model_copy(update={"level": 50.0, "cct": 3000.0}))
    page = crew.phone("Jo", "/sources/5")
    now = sets.get_source(5).source
    sets.update_source(5, now.model_copy(update={"level": 80.0}))
    field = page.get_by_label("Dim level", exact=True).last
    expect(field).to_have_value("80")
    field.fill("60")
    field.blur()
    expect(main(page)).to_contain_text("60 %")
    page.wait_for_load_state()
    assert sets.get_source(5).source.level == 60


def test_a_page_in_the_background_does_not_ask(crew: Crew):
    page = crew.phone("Jo", "/sets/1")
    says(page, "added Shelf lamps")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.evaluate("""() => {
      const get = () => window.seen ?? "hidden";
      Object.defineProperty(document, "visibilityState", { configurable: true, get });
    }""")
    page.wait_for_timeout(300)
    asked.clear()
    page.wait_for_timeout(3000)
    assert asked == []
    with page.expect_request("**/live/1"):
        page.evaluate('window.seen = "visible"; document.dispatchEvent(new Event("visibilitychange"))')
    page.wait_for_timeout(500)
    assert [url.rpartition("/live/")[2] for url in asked] == ["1"]


def test_a_phone_whose_clock_is_a_day_off_tells_the_right_age(crew: Crew, here: Flask):
    wrong = crew.phone("Jo", "/look")
    wrong.add_init_script("""
      const there = Date;
      const day = 24 * 3600 * 1000;
      globalThis.Date = class extends there {
        constructor(...given) { super(...(given.length ? given : [there.now() - day])); }
        static now() { return there.now() - day; }
      };
    """)
    here.extensions["advisor"].sets.by("Mia").delete_source(5)
    wrong.goto("/sets/1")
    expect(status(wrong)).to_contain_text(re.compile(r"Mia removed Backlight, (just now|\d\d? s ago)"))
    wrong.context.set_offline(True)
    expect(status(wrong)).to_contain_text(re.compile(r"OFFLINE\. Page is \d\d? s old"))


def test_a_set_that_was_removed_says_so(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sets/1")
    says(page, "added")
    here.extensions["advisor"].sets.delete_set(1)
    says(page, "This set was removed.")


@pytest.mark.parametrize("tap", ["Put Backlight back and save", "6 Shelf lamps"])
def test_a_reading_of_a_head_that_is_removed_meanwhile_is_saved_with_one_tap(
    crew: Crew, here: Flask, tap: str
):
    sets = here.extensions["advisor"].sets
    page = crew.phone("Jo", "/sources/5")
    page.locator("#new-reading > summary").click()
    page.get_by_label("CCT", exact=True).fill("3100")
    page.get_by_label("Duv", exact=True).fill("0.001")
    sets.by("Mia").delete_source(5)
    page.locator("#new-reading").get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("removed meanwhile")
    page.get_by_text("Give it to another source").click()
    page.get_by_role("button", name=tap).click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.sub("^(Put|6) | back.*", "", tap))
    expect(waiting(page)).to_have_count(0)
    expect(page.locator(".pad.over")).to_have_count(0)  # it is no draft any more
    to = 5 if "Backlight" in tap else 6
    assert [kept.reading.cct for kept in sets.readings_of(to)][1:] == [3100]
    assert sets.get_source(5).deleted is (to == 6)


def test_a_source_that_was_removed_says_so_and_leads_to_its_set(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sources/5")
    says(page, "added")
    here.extensions["advisor"].sets.delete_source(5)
    says(page, "This source was removed.")
    expect(page.get_by_role("heading", level=1)).to_have_text("Backlight")
    here.extensions["advisor"].sets.restore_source(5)
    expect(status(page)).not_to_contain_text("This source was removed.")
    here.extensions["advisor"].sets.delete_source(5)
    status(page).get_by_role("link", name="To the set").click()
    expect(page.get_by_text("The source is removed.")).to_be_visible()


def test_a_page_that_answers_a_form_does_not_grow_old_either(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets.by("Mia")
    page = crew.phone("Jo", "/sources/5")
    page.get_by_label("Dim level", exact=True).last.fill("900")
    page.get_by_role("button", name="Use", exact=True).click()
    expect(page.get_by_role("alert").first).to_contain_text("900")
    assert page.url.endswith("/sources/5/use")
    source = sets.get_source(5).source
    sets.update_source(5, source.model_copy(update={"name": "Rim"}))
    expect(page.get_by_role("heading", level=1)).to_have_text("Rim")
    expect(page.get_by_label("Dim level", exact=True).last).to_have_value("900")


def test_a_page_that_cannot_be_renewed_says_so_and_is_asked_for_again(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets.by("Mia")
    page = crew.phone("Jo", "/sets/1")
    says(page, "added")
    page.route("**/sets/1", lambda route: route.fulfill(status=503, body="no"))
    sets.delete_source(5)
    says(page, "This page cannot update. It is from")
    page.unroute("**/sets/1")
    says(page, "Mia removed Backlight")
    expect(page.get_by_role("list", name="Sources").locator("> li")).to_have_count(5)


def test_without_script_the_page_is_as_it_was(crew: Crew):
    page = crew.phone("Jo", "/sets/1", java_script_enabled=False)
    expect(page.get_by_role("heading", level=1)).to_contain_text("Bakery")
    assert status(page).inner_text() == ""
