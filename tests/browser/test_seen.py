"""Pages that were opened, and those of a set's heads, can be read without the link; not after signing out."""

import re

import pytest
from flask import Flask
from playwright.sync_api import Browser, Page, expect

from tests.bakery import bakery
from tests.browser.conftest import PATIENCE, PHONE, serving
from tests.browser.crew import Crew, put_away, read, says, status, until
from tests.browser.test_joining import address, app, context, laptop, phone

SET = pytest.mark.usefixtures("plain")

__all__ = ["address", "app", "context", "laptop", "phone"]
GIVEN = "Object.keys(sessionStorage).filter((name) => /^advisor-seen .sources/.test(name)).length"
KEPT = """async (name) => Boolean(await (await caches.open("advisor-pages")).match(name))"""


def go(page: Page, path: str) -> None:
    """Follow a link that is no part of a picture."""
    page.locator(f'main a:is([href="{path}"], [href^="{path}#"]):not(svg a)').first.click()


@SET
class TestWithoutAWorker:
    """As over plain HTTP, where browsers offer none: what this tab was given."""

    @pytest.fixture
    def page(self, crew: Crew) -> Page:
        page = crew.phone("Jo", "/sets/1")
        until(page, f"{GIVEN} === 6")
        page.context.set_offline(True)
        says(page, "OFFLINE.")
        return page

    def test_a_set_keeps_the_pages_of_its_heads(self, page: Page):
        go(page, "/sources/5")
        expect(page.get_by_role("heading", level=1)).to_have_text("Backlight")
        expect(page).to_have_title("Backlight · Gel advisor")
        assert page.url.endswith("/sources/5")
        expect(status(page)).to_contain_text(re.compile(r"OFFLINE\. Page is \d+ s old\."))
        page.get_by_role("link", name="Change", exact=True).click()  # was never given
        missed = page.locator("#status .missed")
        expect(missed).to_contain_text("Not kept here: Change. Kept:")
        expect(page.get_by_role("heading", level=1)).to_have_text("Backlight")
        missed.get_by_role("link", name="Key through the door").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Key through the door")
        expect(page.get_by_role("heading", level=1)).to_be_focused()
        expect(missed).to_have_count(0)
        page.go_back()
        page.go_back()
        expect(page.get_by_role("heading", level=1)).to_have_text("Bakery before dawn (invented sample)")
        page.context.set_offline(False)
        says(page, "Here:")

    def test_what_is_not_kept_is_named_and_what_is_once(self, page: Page):
        page.evaluate("""() => {
            const kept = 'advisor-seen /sources/';
            sessionStorage.setItem(`${kept}5?from=order`, sessionStorage.getItem(`${kept}5`));
            sessionStorage.removeItem(`${kept}2`);
        }""")
        go(page, "/sources/2")
        missed = page.locator("#status .missed")
        expect(missed.locator("summary")).to_contain_text("Key through the door")
        expect(missed.get_by_role("link", name="Backlight", exact=True)).to_have_count(1)

    def test_a_reading_that_is_typed_on_such_a_page_is_kept_and_sent(self, page: Page, here: Flask):
        go(page, "/sources/5")
        read(page, "3100")
        says(page, "OFFLINE. 1 reading kept here.")
        go(page, "/sets/1")  # the board was made before it
        expect(page.locator("#head-5")).to_contain_text("Read 3 100 K, Duv 0.001: obvious, bare, kept here")
        expect(page.locator("#head-2")).not_to_contain_text("kept here")
        go(page, "/sources/5")
        page.context.set_offline(False)
        expect(page.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s100\sK"))
        sets = here.extensions["advisor"].sets
        assert [r.reading.cct for r in sets.readings_of(5)] == [3190, 3100]
        says(page, "Here:")


@SET
def test_a_head_keeps_the_set_and_its_other_heads(crew: Crew):
    page = crew.phone("Jo", "/sources/5")
    until(page, f"{GIVEN} === 6")
    page.context.set_offline(True)
    says(page, "OFFLINE.")
    go(page, "/sets/1")
    expect(page.get_by_role("heading", level=1)).to_have_text("Bakery before dawn (invented sample)")
    go(page, "/sources/2")
    expect(page.get_by_role("heading", level=1)).to_have_text("Key through the door")


@SET
def test_next_of_the_work_order_leads_on_without_the_link(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sets/1/order")
    page.get_by_role("button", name="Start: ").click()
    onward = page.get_by_role("button", name="Next: ")
    name = onward.inner_text().removeprefix("Next: ")
    until(page, f"{GIVEN} === 6")
    page.context.set_offline(True)
    says(page, "OFFLINE.")
    onward.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    expect(page.get_by_role("heading", level=1)).to_be_focused()
    says(page, "OFFLINE. 1 change kept here.")
    page.context.set_offline(False)
    expect(page.locator("#status details")).to_have_count(0)  # all that waited was sent
    says(page, "Here:")
    # It took nothing: by then Jo may be anywhere. And the one before is free.
    taken = here.extensions["advisor"].taken
    expect(page.get_by_role("link", name="Work order", exact=True)).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)
    assert taken.of_set(1) == {}


@SET
def test_start_without_the_link_opens_the_head_that_it_names_and_takes_none(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sets/1/order")
    until(page, f"{GIVEN} === 6")
    start = page.get_by_role("button", name="Start: ")
    first = start.inner_text().removeprefix("Start: ")
    page.context.set_offline(True)
    says(page, "OFFLINE.")
    start.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(first)
    expect(page.locator("#status details summary")).to_have_text(f"1 change waits: Start: {first}")
    page.get_by_role("button", name="Hung", exact=True).click()
    read(page, "4100", "0.0024")
    put_away(page)
    expect(page.locator(".band")).to_have_text(
        "READ 4 100 K, DUV 0.0024: OBVIOUS, KEPT HERE", use_inner_text=True
    )
    page.get_by_role("link", name="Work order", exact=True).click()  # was given with the heads
    sets = here.extensions["advisor"].sets
    number = next(one.id for one in sets.get_set(1).sources if one.source.name == first)
    expect(page.locator(f"[data-live='task-{number}']")).to_contain_text(
        "Read 4 100 K, Duv 0.0024: obvious, kept here"
    )
    expect(start).not_to_have_text(f"Start: {first}")
    second = start.inner_text().removeprefix("Start: ")
    start.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(second)
    page.context.set_offline(False)
    expect(page.locator("#status details")).to_have_count(0)  # all that waited was sent
    says(page, "Here:")
    expect(page.get_by_role("heading", level=1)).to_have_text(second)
    assert here.extensions["advisor"].taken.of_set(1) == {}
    assert sets.get_source(number).source.work.read_behind.cct == 4100


def test_over_https_and_at_the_laptop_a_page_opens_without_the_link(
    browser: Browser, here: Flask, plain: int
):
    with serving(here) as base:
        context = browser.new_context(viewport=PHONE, base_url=base)
        context.set_default_timeout(PATIENCE)
        page = context.new_page()
        page.goto(f"/sets/{plain}")
        until(page, "navigator.serviceWorker.controller !== null")
        page.goto("/sources/5")
        page.goto(f"/sets/{plain}")
        page.wait_for_timeout(100)
    page.goto("/sources/5")  # nobody is there any more
    expect(page.get_by_role("heading", level=1)).to_have_text("Backlight")
    expect(status(page)).to_contain_text(re.compile(r"OFFLINE\. Page is \d+ s old\."))
    assert page.evaluate("getComputedStyle(document.querySelector('main')).paddingLeft") == "16px"
    page.goto("/about")  # was never opened
    expect(page.get_by_role("heading", level=1)).to_have_text("Not kept here")
    expect(page).to_have_title("Not kept here · Gel advisor")
    page.get_by_role("link", name="Backlight", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Backlight")
    page.goto(f"/sets/{plain}")
    expect(page.get_by_role("heading", level=1)).to_have_text("Bakery before dawn (invented sample)")
    context.close()


def test_who_is_put_out_has_nothing_to_read_here_any_more(app: Flask, phone: Page):
    app.extensions["advisor"].sets.create_set(bakery())
    people = app.extensions["people"]
    phone.goto(f"/join/{people.secrets.codes.scanned}")
    phone.get_by_label("Your name").fill("Mia")
    phone.get_by_role("button", name="Join").tap()
    phone.wait_for_url("**/sets/1")
    until(phone, "navigator.serviceWorker.controller !== null")
    phone.goto("/sources/5")
    assert phone.evaluate(KEPT, "/sources/5")
    people.phones.revoke(people.phones.all()[0].id)
    expect(phone.get_by_role("heading", level=1)).to_have_text("Signed out")
    until(phone, "caches.has('advisor-pages').then((there) => !there)")
    assert phone.evaluate("Object.keys(sessionStorage)") == []
