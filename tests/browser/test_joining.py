"""A phone joins in a real browser; the pages for it are held to what every page is held to."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from flask import Flask
from playwright.sync_api import Browser, BrowserContext, Page, expect

from advisor.web.access.lan import Lan
from advisor.web.app import create_app
from tests.bakery import bakery
from tests.browser.conftest import PHONE, serving
from tests.browser.test_access import BEYOND, MEASURE, NARROW, TAGS
from tests.conftest import Closing

AWAY = "phone.localhost"
"""A name that browsers take to this machine, and that is no name of the host."""


class Place(Lan):
    """A network of this machine alone."""

    def hosts(self) -> frozenset[str]:
        return super().hosts() | {AWAY}


@pytest.fixture
def app(tmp_path: Path, closing: Closing) -> Flask:
    return closing(create_app(tmp_path / "data", lan=Place(8080, bind="127.0.0.1")))


@pytest.fixture
def address(app: Flask) -> Iterator[str]:
    with serving(app) as address:
        yield address


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport=PHONE, has_touch=True)
    yield context
    context.close()


@pytest.fixture
def laptop(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    page.goto(f"{address}/host")
    return page


@pytest.fixture
def phone(browser: Browser, address: str) -> Iterator[Page]:
    context = browser.new_context(viewport=PHONE, has_touch=True, base_url=address.replace("127.0.0.1", AWAY))
    yield context.new_page()
    context.close()


def held(page: Page) -> None:
    """Hold a page to the guidelines and to a thumb in a glove, by night and by day, also at 320 px."""
    for look in ("night", "day"):
        page.context.add_cookies([{"name": "look", "value": look, "url": page.url}])
        for size in (NARROW, PHONE):
            page.set_viewport_size(size)
            page.reload()
            assert page.evaluate(BEYOND) <= 0, (page.url, size)
            small = [a for a in page.evaluate(MEASURE) if min(a["width"], a["height"]) < 48]
            assert small == [], (page.url, look, size)
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": TAGS}})
        assert [(v["id"], v["nodes"][0]["html"]) for v in found.response["violations"]] == []


def test_a_phone_joins_by_the_code_that_the_laptop_shows(laptop: Page, phone: Page):
    code = laptop.locator(".code").inner_text()
    phone.goto("/gels")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Join Gel advisor")
    held(phone)
    phone.get_by_label("Your name").fill("Mia")
    phone.get_by_label("Code").fill("ABCD-EFGH")
    phone.get_by_role("button", name="Join").tap()
    expect(phone.get_by_role("alert")).to_contain_text("not the one that the laptop shows")
    phone.get_by_label("Code").fill(code.lower())
    phone.get_by_role("button", name="Join").tap()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("gels")
    laptop.reload()
    expect(laptop.get_by_role("heading", level=1)).to_have_text("1 phone has joined")
    held(laptop)
    laptop.get_by_role("button", name="Remove Mia’s phone").tap()
    expect(laptop.get_by_role("status").filter(has_text="The phone is removed")).to_be_visible()
    phone.goto("/sets")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Signed out")
    held(phone)


def test_a_phone_that_is_put_out_comes_to_a_page_that_says_so_and_back(app: Flask, phone: Page):
    set_id = app.extensions["advisor"].sets.create_set(bakery())
    people = app.extensions["people"]
    phone.goto(f"/join/{people.secrets.codes.scanned}")
    phone.get_by_label("Your name").fill("Mia")
    phone.get_by_role("button", name="Join").tap()
    phone.wait_for_url(f"**/sets/{set_id}")
    phone.goto("/sources/5")
    phone.get_by_text("New reading").tap()
    phone.get_by_label("CCT", exact=True).fill("3100")
    people.phones.revoke(people.phones.all()[0].id)
    expect(phone.get_by_role("heading", level=1)).to_have_text("Signed out")
    expect(phone.get_by_text("Enter the code to rejoin.")).to_be_visible()
    expect(phone.get_by_label("Your name")).to_have_value("Mia")
    phone.get_by_label("Code").fill(people.secrets.codes.typed)
    phone.get_by_role("button", name="Join").tap()
    phone.wait_for_url("**/sources/5")
    expect(phone.get_by_label("CCT", exact=True)).to_have_value("3100")


def test_the_scanned_code_asks_for_a_name_only(app: Flask, phone: Page):
    phone.goto(f"/join/{app.extensions['people'].secrets.codes.scanned}")
    held(phone)
    phone.get_by_label("Your name").fill("Tom")
    phone.get_by_role("button", name="Join").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("No set yet")
    phone.goto("/join")
    expect(phone.get_by_role("heading", level=1)).to_have_text("This phone has joined as Tom")
    held(phone)


def test_a_phone_that_joins_by_a_link_gives_roles(app: Flask, laptop: Page, phone: Page):
    invites = app.extensions["people"].invites
    code, _ = invites.make(), invites.make()
    laptop.reload()
    expect(laptop.get_by_text("A link is open until")).to_have_count(2)
    held(laptop)
    laptop.get_by_role("button", name="Withdraw the link").last.tap()
    expect(laptop.get_by_text("A link is open until")).to_have_count(1)
    phone.goto(f"/join/{code}")
    phone.get_by_label("Your name").fill("Ada")
    phone.get_by_role("button", name="Join").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("1 phone has joined")
    expect(phone.get_by_label("Ada may")).to_have_value("host")
    held(phone)
    phone.get_by_label("A phone that joins from now on").select_option("look")
    phone.get_by_role("button", name="Save").tap()
    expect(phone.get_by_label("A phone that joins from now on")).to_have_value("look")
