"""A phone whose Wi-Fi drops: it says so, keeps what was typed and done, and sends it once."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from flask import Flask
from playwright.sync_api import Page, Route, expect

from tests.browser.crew import Crew, cut, heard, put_away, read, says, status, waiting

pytestmark = pytest.mark.usefixtures("plain")


@pytest.fixture
def page(crew: Crew) -> Page:
    return crew.phone("Jo", "/sources/5")


def test_a_dropped_link_is_said_and_the_page_stays(page: Page):
    heard(page)
    shown = page.get_by_role("main").inner_text()
    cut(page)
    expect(status(page)).to_contain_text(re.compile(r"OFFLINE\. Page is \d+ s old\."))
    page.get_by_role("link", name="Change", exact=True).click()
    missed = page.locator("#status .missed")
    expect(missed).to_contain_text("Not kept here: Change.")
    assert page.get_by_role("main").inner_text() == shown
    page.context.set_offline(False)
    says(page, "Here:")
    expect(missed).to_have_count(0)
    page.get_by_role("link", name="Change", exact=True).click()
    expect(page.get_by_role("heading", name="Change Backlight")).to_be_visible()


def test_a_page_says_how_old_it_is_until_it_is_renewed_after_the_link_came_back(page: Page, here: Flask):
    heard(page)
    cut(page)
    here.extensions["advisor"].sets.by("Mia").change_source(5, {"note": "on a clamp"})
    held: list[Route] = []
    page.route("**/sources/5", lambda route: held.append(route))
    page.context.set_offline(False)
    expect(status(page)).to_contain_text(
        re.compile(r"^Page from (\d+ s ago|just now)\. It is being renewed\.")
    )
    expect(page.get_by_role("main")).not_to_contain_text("on a clamp")
    page.unroute("**/sources/5")
    says(page, "Here:")
    expect(page.get_by_role("main")).to_contain_text("on a clamp")


@pytest.mark.parametrize("look", ["night", "day"])
def test_a_dropped_link_and_what_is_kept_are_loud(page: Page, base: str, look: str):
    page.context.add_cookies([{"name": "look", "value": look, "url": base}])
    page.reload()
    cut(page)
    band = page.locator("#status")
    high = band.bounding_box()["height"]
    read(page, "3100")
    says(page, "OFFLINE. 1 reading kept here.")
    expect(band.locator("details")).to_be_visible()
    assert abs(band.bounding_box()["height"] - high) <= 2, "a save moves nothing"
    assert band.bounding_box()["width"] == 390
    assert status(page).bounding_box()["height"] >= 48
    colours = """(e) => [getComputedStyle(e), getComputedStyle(document.body)]
        .flatMap((style) => [style.backgroundColor, style.color])"""
    ground, text, around, beside = band.evaluate(colours)
    # By day it is a dark band; at night no band of light, but ruled off above and below.
    assert (ground, text) == ((around, beside) if look == "night" else (beside, around))
    rule = band.evaluate("(e) => getComputedStyle(e).borderTopWidth")
    assert rule == ("4px" if look == "night" else "0px")
    options = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag2aaa"]}}
    assert Axe().run(page, context="#status", options=options).response["violations"] == []
    read(page, "3200")
    says(page, "OFFLINE. 2 readings kept here.")
    put_away(page)
    waiting(page).locator("summary").click()
    for button in waiting(page).get_by_role("button", name="Discard").all():
        button.click(trial=True)  # nothing lies on top of it
    waiting(page).locator("summary").click()
    page.get_by_role("button", name="Hung", exact=True).click()
    says(page, "OFFLINE. 2 readings, 1 change kept here.")
    page.context.set_offline(False)
    expect(page.get_by_text("OFFLINE.")).to_have_count(0)


def test_the_button_itself_says_that_it_is_kept(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sources/5/edit")
    page.context.set_offline(True)
    page.get_by_label("Note").fill("on a stand")
    save = page.get_by_role("button", name="Save", exact=True)
    save.click()
    expect(page.get_by_role("button", name="Kept ✓")).to_be_visible()
    page.get_by_label("Note").fill("on a clamp")  # now it holds another one
    expect(save).to_be_visible()
    save.click()
    expect(page.get_by_role("button", name="Kept ✓")).to_be_visible()
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    expect(page.get_by_role("button", name="Kept ✓")).to_have_count(0)
    assert here.extensions["advisor"].sets.get_source(5).source.note == "on a clamp"


def test_a_reading_that_is_kept_puts_the_pad_away_and_the_next_begins_empty(page: Page, readings):
    band, cct = page.locator(".band"), page.get_by_label("CCT", exact=True)
    cut(page)
    read(page, "3100", "0.0085")
    put_away(page)
    expect(band).to_have_text("READ 3 100 K, DUV 0.0085: OBVIOUS, BARE, KEPT HERE", use_inner_text=True)
    page.locator("#new-reading > summary").click()
    expect(cct).to_have_value("")
    expect(page.get_by_label("Duv", exact=True)).to_have_value("")
    cct.fill("3150")
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    assert readings() == [3190, 3100]
    expect(cct).to_have_value("3150")
    page.reload()  # what was typed since is a draft, though what was sent was one of the same form
    expect(cct).to_have_value("3150")
    page.get_by_label("Duv", exact=True).fill("0.001")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s150\sK"))
    assert readings() == [3190, 3100, 3150]


def test_a_laptop_that_is_busy_is_no_lost_link(crew: Crew, readings):
    """It answers others at once, and the reading after a while: that is sent once, and nothing is lost."""
    page = crew.phone("Jo", "/sets")
    page.clock.install()
    page.goto("/sources/5")
    page.clock.pause_at(datetime.now(UTC) + timedelta(minutes=1))  # from here on no machine is too slow
    held: list[Route] = []
    page.route("**/sources/5/reading", lambda route: held.append(route))
    read(page, "3100")
    expect(page.get_by_role("button", name="Kept ✓")).to_be_visible()
    for _ in range(2):
        page.clock.fast_forward(10_000)
        put_away(page)
        says(page, "The laptop is busy. 1 reading kept here.")
        expect(page.get_by_text("OFFLINE")).to_have_count(0)
    [route] = held
    route.continue_()
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    assert readings() == [3190, 3100] and len(held) == 1


def test_what_is_done_without_a_link_is_sent_once_when_it_is_back(page: Page, readings, here: Flask):
    cut(page)
    read(page, "3100")
    expect(waiting(page).locator("summary")).to_have_text("1 reading waits: New reading for Backlight")
    put_away(page)
    page.get_by_role("button", name="Hung", exact=True).click()
    expect(waiting(page).locator("summary")).to_contain_text("1 reading, 1 change wait: ")
    assert readings() == [3190]
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    assert readings() == [3190, 3100]
    # Its own reading raised the revision that the second change saw: that is no conflict.
    assert here.extensions["advisor"].sets.get_source(5).source.work.stage == "hung"
    expect(page.get_by_role("region", name="What to hang")).to_contain_text("Hung")


def test_what_was_sent_late_does_not_stay_in_its_fields(page: Page, readings):
    cut(page)
    read(page, "3100")
    expect(waiting(page)).to_have_count(1)
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    expect(page.locator("#cct")).to_have_value("")
    assert readings() == [3190, 3100]


def test_what_waits_says_what_a_reading_is_behind(page: Page, here: Flask):
    """Hung without a link, and read: behind the gel. Taken off, and read: bare. The other is one tap away."""
    sets = here.extensions["advisor"].sets
    band, form = page.locator(".band"), page.locator("#new-reading form")
    words = page.locator(".thumb [data-hangs]").get_attribute("data-hangs")
    cut(page)
    page.get_by_role("button", name="Hung", exact=True).click()
    expect(band).to_have_text("HUNG, KEPT HERE", use_inner_text=True)
    expect(waiting(page).locator("summary")).to_have_text(f"1 change waits: Hung {words}: Backlight")
    read(page, "4100")
    put_away(page)
    page.locator("#new-reading > summary").click()
    expect(form.get_by_label(f"With {words}")).to_be_checked()
    expect(form.get_by_label("Bare", exact=True)).to_be_visible()
    form.get_by_role("button", name="Close").click()
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    hung = sets.get_source(5).source.work.gels
    assert [(r.reading.cct, r.reading.gels) for r in sets.readings_of(5)] == [(3190, []), (4100, hung)]
    page.goto("/sources/5")
    cut(page)
    page.get_by_role("button", name="All taken off", exact=True).click()
    expect(band).to_have_text("ALL TAKEN OFF, KEPT HERE", use_inner_text=True)
    read(page, "3210")
    put_away(page)
    page.locator("#new-reading > summary").click()
    expect(form.get_by_label("Bare", exact=True)).to_be_checked()
    expect(form.get_by_label(f"With {words}")).to_be_visible()
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    assert sets.get_source(5).source.work is None
    assert sets.readings_of(5)[-1].reading.gels == [] and sets.get_source(5).source.reading.cct == 3210


def test_it_survives_a_reload(crew: Crew, page: Page, readings):
    cut(page)
    read(page, "3100")
    expect(waiting(page)).to_have_count(1)
    page.goto("about:blank")  # the page is gone; what it kept is not
    page.context.set_offline(False)
    page.goto("/sets")
    expect(waiting(page)).to_have_count(0)
    page.goto("/sources/5")
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"3\s100\sK"))
    assert readings() == [3190, 3100]
    assert page.url.endswith("/sources/5")


@pytest.mark.parametrize("after", [False, True], ids=["before the server acts", "after it acted"])
def test_an_answer_that_is_lost_doubles_nothing(page: Page, readings, after: bool):
    lost = 0

    def drop(route: Route) -> None:
        nonlocal lost
        if lost == 2:
            route.continue_()
            return
        lost += 1
        if after:
            route.fetch(max_redirects=0)
        route.abort()

    page.route("**/reading", drop)
    with page.expect_response("**/reading"):  # the third: the page may show the reading before that
        read(page, "3100")
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    assert lost == 2
    assert readings() == [3190, 3100]


def test_an_answer_that_something_on_the_way_made_up_counts_for_nothing(page: Page, readings):
    made_up = lambda route: route.fulfill(status=200, body="<h1>Welcome to this network</h1>")  # noqa: E731
    page.route("**/reading", made_up)
    read(page, "3100")
    expect(waiting(page)).to_have_count(1)
    assert readings() == [3190]
    page.unroute("**/reading", made_up)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    assert readings() == [3190, 3100]


def test_two_taps_are_one_reading(page: Page, readings):
    page.locator("#new-reading > summary").click()
    page.get_by_label("CCT", exact=True).fill("3100")
    page.get_by_label("Duv", exact=True).fill("0.001")
    page.get_by_role("button", name="Save", exact=True).dblclick()
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    assert readings() == [3190, 3100]


def test_what_waits_can_be_seen_and_discarded_in_two_steps(page: Page, readings):
    cut(page)
    read(page, "3100")
    put_away(page)
    waiting(page).locator("summary").click()
    expect(waiting(page).get_by_role("listitem")).to_contain_text("CCT 3100, Duv 0.001")
    waiting(page).get_by_role("button", name="Discard").click()
    waiting(page).get_by_role("button", name="Keep it").click()
    expect(waiting(page).get_by_role("listitem")).to_have_count(1)
    waiting(page).get_by_role("button", name="Discard").click()
    waiting(page).get_by_role("button", name="Discard for good").click()
    expect(waiting(page)).to_have_count(0)
    page.context.set_offline(False)
    says(page, "Here:")
    page.wait_for_timeout(2500)
    assert readings() == [3190]


def test_a_refused_form_is_shown_by_the_server_with_what_was_typed(page: Page):
    read(page, "56000")
    expect(page.get_by_role("alert").first).to_contain_text("CCT 56000 is out of range")
    expect(page.get_by_label("CCT", exact=True)).to_have_value("56000")
    expect(waiting(page)).to_have_count(0)
    read(page, "5600")
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 5\s600\sK"))


def test_what_is_refused_later_is_kept_and_can_be_opened(page: Page, readings):
    cut(page)
    read(page, "56000")
    put_away(page)
    page.context.set_offline(False)
    summary = waiting(page).locator("summary")
    expect(summary).to_have_text("1 reading was not taken: New reading for Backlight (CCT 56000, Duv 0.001)")
    summary.click()
    expect(waiting(page)).to_contain_text("Not taken: something in it cannot be used.")
    waiting(page).get_by_role("button", name="Open it").click()
    expect(page.get_by_role("alert").first).to_contain_text("CCT 56000 is out of range")
    expect(page.get_by_label("CCT", exact=True)).to_have_value("56000")
    expect(waiting(page)).to_have_count(0)
    assert readings() == [3190]
    page.goto("/sources/5")  # from there on it is a draft
    expect(page.get_by_text("What you typed here before is back")).to_be_visible()
    expect(page.get_by_label("CCT", exact=True)).to_have_value("56000")


def test_who_was_second_without_a_link_sees_both(page: Page, here: Flask):
    sets = here.extensions["advisor"].sets.by("Mia")
    source = sets.get_source(5).source
    page.goto("/sources/5/edit")
    page.context.set_offline(True)
    page.get_by_label("Note").fill("mine")
    page.get_by_role("button", name="Save").click()
    expect(waiting(page)).to_have_count(1)
    sets.update_source(5, source.model_copy(update={"note": "theirs"}))
    page.context.set_offline(False)
    expect(waiting(page)).to_contain_text("not taken")
    waiting(page).locator("summary").click()
    expect(waiting(page)).to_contain_text("somebody changed it meanwhile")
    waiting(page).get_by_role("button", name="Open it").click()
    expect(page.get_by_role("alert")).to_contain_text("Mia changed “Note” too")
    expect(waiting(page)).to_have_count(0)
    page.get_by_role("button", name="Use mine: mine").click()
    page.wait_for_url("**/sources/5")
    assert sets.get_source(5).source.note == "mine"


def test_what_was_not_taken_is_not_said_to_wait_too(page: Page, readings):
    """Of the same readings it said that they were not taken, and that they are kept here."""
    cut(page)
    read(page, "56000")
    put_away(page)
    page.context.set_offline(False)
    expect(waiting(page).locator("summary")).to_contain_text("1 reading was not taken")
    page.route("**/reading", lambda route: route.abort())
    page.reload()
    expect(waiting(page).locator("summary")).to_have_text(
        "1 reading was not taken: New reading for Backlight (CCT 56000, Duv 0.001)"
    )
    says(page, "OFFLINE.")
    expect(waiting(page).locator("summary")).to_contain_text("1 reading was not taken")
    expect(page.locator("#status [role=status]")).not_to_contain_text("kept here")
    assert readings() == [3190]


def test_elsewhere_what_was_not_taken_is_one_line_with_a_fold(page: Page):
    cut(page)
    read(page, "56000")
    put_away(page)
    page.context.set_offline(False)
    expect(waiting(page).locator("summary")).to_contain_text(
        "not taken: New reading for Backlight (CCT 56000"
    )
    page.goto("/sets/1")
    expect(waiting(page).locator("summary")).to_have_text("1 reading was not taken")
    expect(waiting(page).get_by_role("button", name="Open it")).to_be_hidden()
    waiting(page).locator("summary").click()
    expect(waiting(page)).to_contain_text("New reading for Backlight: CCT 56000, Duv 0.001. Not taken:")
