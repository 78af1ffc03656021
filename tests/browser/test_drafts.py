"""What is typed and not sent yet: drafts through a reload, slow answers, phones that keep nothing."""

import re

import pytest
from flask import Flask
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import PATIENCE
from tests.browser.crew import Crew, cut, heard, put_away, read, says, waiting

pytestmark = pytest.mark.usefixtures("plain")


@pytest.fixture
def page(crew: Crew) -> Page:
    return crew.phone("Jo", "/sources/5")


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


def test_what_is_typed_before_a_page_goes_is_kept_though_nothing_is_painted_any_more(page: Page):
    kept = "localStorage.getItem('advisor-drafts')"
    page.goto("/sources/5/edit")
    page.evaluate("window.requestAnimationFrame = () => 0")
    page.get_by_label("Note").fill("on the left")
    assert page.evaluate(kept) == "{}"  # it is not looked through while a key waits for its paint
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert "on the left" in page.evaluate(kept)
    page.get_by_label("Note").fill("on the left stand")
    page.reload()
    expect(page.get_by_label("Note")).to_have_value("on the left stand")


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
    heard(page)
    expect(page.get_by_text("What you typed here before")).to_have_count(0)


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
    put_away(page)
    page.locator("#new-reading > summary").click()
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


def wait_for(page: Page, held: dict[str, Route], name: str) -> None:
    """Let the browser work until a request is held."""
    for _ in range(PATIENCE // 50):
        if name in held:
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"no {name} was asked for")


def test_who_taps_a_link_before_the_answer_comes_gets_there(page: Page, readings):
    """Save, then at once the set: its page is on the way when the answer to the form arrives."""
    held: dict[str, Route] = {}
    page.route("**/sources/5/reading", lambda route: held.update(form=route))
    page.route("**/sets/1", lambda route: held.update(link=route))
    read(page, "3100")
    wait_for(page, held, "form")
    page.evaluate("document.querySelector('a[href^=\"/sets/1\"]').click()")
    wait_for(page, held, "link")
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
