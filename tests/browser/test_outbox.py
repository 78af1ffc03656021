"""A phone whose Wi-Fi drops: it says so, keeps what was typed and done, and sends it once."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from axe_playwright_python.sync_playwright import Axe
from flask import Flask
from playwright.sync_api import Browser, Page, Route, expect

from advisor.model import Reading
from tests.browser.crew import Crew, put_away, read, says, status, waiting


@pytest.fixture
def crew(browser: Browser, base: str, plain: int) -> Iterator[Crew]:
    crew = Crew(browser, base)
    yield crew
    crew.close()


@pytest.fixture
def page(crew: Crew) -> Page:
    return crew.phone("Jo", "/sources/5")


@pytest.fixture
def readings(here: Flask):
    """The CCT of every reading of source 5."""
    return lambda: [r.reading.cct for r in here.extensions["advisor"].sets.readings_of(5)]


def cut(page: Page) -> None:
    page.context.set_offline(True)
    says(page, "OFFLINE.")


def mend(page: Page) -> None:
    page.context.set_offline(False)
    says(page, "Here:")


def test_a_dropped_link_is_said_and_the_page_stays(page: Page):
    shown = page.get_by_role("main").inner_text()
    cut(page)
    assert re.search(r"OFFLINE\. This page is as it was \d+ s ago\.", status(page).inner_text())
    page.get_by_role("link", name="Change", exact=True).click()
    page.wait_for_timeout(500)
    assert page.get_by_role("main").inner_text() == shown
    page.context.set_offline(False)
    says(page, "Here:")
    page.get_by_role("link", name="Change", exact=True).click()
    expect(page.get_by_role("heading", name="Change Backlight")).to_be_visible()


@pytest.mark.parametrize("look", ["night", "day"])
def test_a_dropped_link_and_what_is_kept_are_loud(page: Page, base: str, look: str):
    page.context.add_cookies([{"name": "look", "value": look, "url": base}])
    page.reload()
    cut(page)
    read(page, "3100")
    says(page, "OFFLINE. 1 reading kept here.")
    band = page.locator("#status")
    assert band.bounding_box()["width"] == 390
    assert status(page).bounding_box()["height"] >= 48
    colours = "(e) => [getComputedStyle(e).backgroundColor, getComputedStyle(document.body).color]"
    ground, text = band.evaluate(colours)
    assert ground == text
    options = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag2aaa"]}}
    assert Axe().run(page, context="#status", options=options).response["violations"] == []
    read(page, "3200")
    says(page, "OFFLINE. 2 readings kept here.")
    put_away(page)
    page.get_by_role("button", name="Hung", exact=True).click()
    says(page, "OFFLINE. 2 readings, 1 change kept here.")
    page.context.set_offline(False)
    expect(page.get_by_text("OFFLINE.")).to_have_count(0)


def test_the_button_itself_says_that_it_is_kept(page: Page, readings):
    cut(page)
    read(page, "3100")
    form = page.locator("#new-reading form")
    expect(form.get_by_role("button", name="Kept ✓")).to_be_visible()
    page.get_by_label("CCT", exact=True).fill("3150")  # now it holds another one
    expect(form.get_by_role("button", name="Save", exact=True)).to_be_visible()
    form.get_by_role("button", name="Save", exact=True).click()
    expect(form.get_by_role("button", name="Kept ✓")).to_be_visible()
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    expect(page.get_by_role("button", name="Kept ✓")).to_have_count(0)
    assert readings() == [3190, 3100, 3150]


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
    expect(form.get_by_label(f"With {words}")).to_be_checked()
    expect(form.get_by_label("Bare", exact=True)).to_be_visible()
    put_away(page)
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    hung = sets.get_source(5).source.work.gels
    assert [(r.reading.cct, r.reading.gels) for r in sets.readings_of(5)] == [(3190, []), (4100, hung)]
    page.goto("/sources/5")
    cut(page)
    page.get_by_role("button", name="All taken off", exact=True).click()
    expect(band).to_have_text("TAKEN OFF, KEPT HERE", use_inner_text=True)
    read(page, "3210")
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
    expect(summary).to_have_text("1 reading was not taken: New reading for Backlight")
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


def test_what_is_not_sent_is_there_again_after_a_reload(page: Page):
    page.goto("/sources/5/edit")
    page.get_by_label("Note").fill("on the left stand")
    page.reload()
    expect(page.get_by_label("Note")).to_have_value("on the left stand")
    expect(page.get_by_text("What you typed here before is back, and not sent yet.")).to_be_visible()
    page.get_by_role("button", name="Forget it").click()
    expect(page.get_by_label("Note")).to_have_value("At full; warms below 80 %")
    page.reload()
    expect(page.get_by_label("Note")).to_have_value("At full; warms below 80 %")


def test_a_draft_over_what_somebody_changed_since_does_not_overwrite_it(page: Page, here: Flask):
    sets = here.extensions["advisor"].sets
    page.goto("/sources/5/edit")
    page.get_by_label("Note").fill("mine")
    source = sets.get_source(5).source
    sets.update_source(5, source.model_copy(update={"note": "theirs"}))
    page.reload()
    expect(page.get_by_label("Note")).to_have_value("mine")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("alert")).to_contain_text("Somebody changed “Note” too")
    assert sets.get_source(5).source.note == "theirs"


def test_what_was_sent_leaves_no_draft(page: Page):
    read(page, "3100")
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    page.reload()
    assert page.get_by_text("What you typed here before").count() == 0


def test_a_long_text_is_not_sent_into_the_void(crew: Crew):
    page = crew.phone("Jo", "/sets/1/paste")
    page.get_by_label("Text with one or many").fill("name,CCT,Duv\nNeon,5600,0.001\n")
    page.context.set_offline(True)
    page.get_by_role("button", name="Read it").click()
    says(page, "OFFLINE.")
    expect(page.get_by_label("Text with one or many")).to_have_value("name,CCT,Duv\nNeon,5600,0.001\n")
    page.context.set_offline(False)
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_role("heading", name="1 of 1 row")).to_be_visible()


def test_two_taps_on_save_store_what_was_pasted_once(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sets/1/paste")
    page.get_by_label("Text with one or many").fill("name,CCT,Duv\nNeon,5600,0.001\n")
    page.get_by_role("button", name="Read it").click()
    save = page.get_by_role("button", name="Save it")
    save.wait_for()
    page.route("**/live", lambda route: (page.wait_for_timeout(300), route.continue_()))
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    save.evaluate("(button) => { button.click(); setTimeout(() => button.click(), 100); }")
    expect(page.get_by_text("1 source added.")).to_be_visible()
    assert len(sent) == 1
    assert len(here.extensions["advisor"].sets.get_set(1).sources) == 7


def test_who_is_at_something_else_by_then_is_not_taken_away(page: Page, readings):
    cut(page)
    read(page, "3100")
    page.get_by_text("Lux, level, modifier").click()
    field = page.get_by_label("Illuminance, if read")
    field.fill("12")
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    expect(page.get_by_role("region", name="What to hang")).to_be_visible()
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    expect(field).to_have_value("12")
    expect(field).to_be_focused()
    assert readings() == [3190, 3100]


def test_who_taps_a_link_before_the_answer_comes_gets_there(page: Page, readings):
    """Save, then at once the set: its page is on the way when the answer to the form arrives."""
    held: dict[str, Route] = {}
    page.route("**/sources/5/reading", lambda route: held.update(form=route))
    page.route("**/sets/1", lambda route: held.update(link=route))
    read(page, "3100")
    page.wait_for_timeout(100)
    page.evaluate("document.querySelector('a[href^=\"/sets/1\"]').click()")
    page.wait_for_timeout(100)
    with page.expect_response("**/sources/5/reading"):
        held["form"].continue_()
    page.wait_for_timeout(300)
    held["link"].continue_()
    expect(page).to_have_url(re.compile("/sets/1(#head-5)?$"))
    page.wait_for_timeout(300)
    expect(page).to_have_url(re.compile("/sets/1(#head-5)?$"))
    assert readings() == [3190, 3100]


def test_without_a_store_on_the_phone_it_says_so(crew: Crew):
    page = crew.phone("Jo", "/sets")
    page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('none'); } });"
    )
    page.goto("/sources/5")
    cut(page)
    read(page, "3100")
    put_away(page)
    waiting(page).locator("summary").click()
    expect(waiting(page)).to_contain_text("This browser keeps nothing through a reload")
    page.context.set_offline(False)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))


def test_without_script_the_form_works_as_before(crew: Crew, readings):
    page = crew.phone("Jo", "/sources/5", java_script_enabled=False)
    read(page, "3100")
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    assert readings() == [3190, 3100]


OFF = """(() => {
  const real = Date.now.bind(Date);
  Date.now = () => real() + Number(localStorage.getItem("set") ?? 0);
})()"""
"""A phone whose clock is set by a test, through reloads. [ms off]"""


def set_clock(page: Page, hours: float) -> None:
    page.evaluate("(off) => localStorage.setItem('set', off)", hours * 3_600_000)


@pytest.fixture
def wrong(crew: Crew, here: Flask) -> Page:
    """A phone whose clock is five hours ahead, on a set that is there since yesterday."""
    with here.extensions["advisor"].sets.db.write() as conn:
        conn.execute("UPDATE changes SET at = '2020-01-01T00:00:00.000000Z'")
    page = crew.phone("Jo", "/sets")
    page.add_init_script(OFF)
    page.goto("/sources/5")
    set_clock(page, 5)
    return page


def ages(here: Flask) -> list[float]:
    """How long ago each reading of source 5 was taken, in hours, as they came in after the first."""
    readings = sorted(here.extensions["advisor"].sets.readings_of(5), key=lambda r: r.id)
    now = datetime.now(UTC)
    return [round((now - datetime.fromisoformat(r.taken_at)).total_seconds() / 3600, 1) for r in readings[1:]]


def test_a_phone_with_a_wrong_clock_files_what_it_read_where_it_belongs(
    wrong: Page, here: Flask, readings: object
):
    """It reads without a link, and an hour and a half pass by its clock before it is back."""
    cut(wrong)
    read(wrong, "3100")
    expect(waiting(wrong)).to_have_count(1)
    here.extensions["advisor"].sets.by("Mia").add_reading(5, Reading(cct=3300, duv=0.001))
    set_clock(wrong, 6.5)
    wrong.context.set_offline(False)
    expect(waiting(wrong)).to_have_count(0)
    # The sample's own was taken when the test began.
    assert readings() == [3100, 3190, 3300]
    assert ages(here) == [0.0, 1.5]
    wrong.goto("/sources/5")
    expect(wrong.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s300\sK"))
    wrong.goto("/sets/1/record")
    line = wrong.get_by_role("listitem").filter(has_text=re.compile(r"3\s?100\sK"))
    expect(line).to_contain_text(re.compile(r"taken \d\d:\d\d(, \d+ \w+)?, sent \d\d:\d\d, "))


def test_a_reload_keeps_when_it_was_taken(wrong: Page, here: Flask):
    cut(wrong)
    read(wrong, "3100")
    expect(waiting(wrong)).to_have_count(1)
    set_clock(wrong, 6)
    wrong.goto("about:blank")
    wrong.context.set_offline(False)
    wrong.goto("/sets")
    expect(waiting(wrong)).to_have_count(0)
    assert ages(here) == [1.0]


@pytest.mark.parametrize(("again", "age"), [(False, 2.0), (True, 0.0)], ids=["as it was read", "read anew"])
def test_what_was_refused_is_sent_with_the_time_when_it_was_read(
    wrong: Page, here: Flask, again: bool, age: float
):
    cut(wrong)
    read(wrong, "31000")
    expect(waiting(wrong)).to_have_count(1)
    set_clock(wrong, 7)
    wrong.context.set_offline(False)
    expect(waiting(wrong)).to_contain_text("not taken")
    put_away(wrong)
    waiting(wrong).locator("summary").click()
    waiting(wrong).get_by_role("button", name="Open it").click()
    expect(wrong.get_by_role("alert").first).to_contain_text("CCT 31000 is out of range")
    expect(wrong.get_by_text("Read at")).to_be_visible()
    wrong.reload()  # from there on it is a draft
    expect(wrong.get_by_text("Read at")).to_be_visible()
    if again:
        wrong.get_by_role("button", name="Read just now").press("Enter")
    read(wrong, "3100")
    expect(wrong.get_by_role("main")).to_contain_text(re.compile(r"3\s100\sK"))
    assert ages(here) == [age]


def test_what_is_sent_at_once_was_taken_now(wrong: Page, here: Flask):
    read(wrong, "3100")
    expect(wrong.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
    assert ages(here) == [0.0]
    assert here.extensions["advisor"].sets.readings_of(5)[-1].sent_at == ""
