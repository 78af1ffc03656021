"""Pages that are made to be printed have a button for it, which a script shows and paper does not."""

import pytest
from playwright.sync_api import Browser, Page, expect

from advisor.store import SetStore
from tests.browser.conftest import PHONE
from tests.heads import keep_tested

PRINTED = ["/sets/1/pulls", "/sets/1/record", "/sets/1/tags", "/sets/1/sheet", "/tests/1/sheet"]


@pytest.fixture(autouse=True)
def stage(here, plain) -> SetStore:
    keep_tested(here.extensions["advisor"].heads)
    return here.extensions["advisor"].sets


@pytest.mark.parametrize("path", PRINTED)
def test_a_tap_prints(page: Page, path: str):
    page.add_init_script("window.printed = 0; window.print = () => { window.printed += 1; };")
    page.goto(path)
    button = page.get_by_role("button", name="Print", exact=True)
    expect(button).to_have_count(1)
    box = button.bounding_box()
    assert box["height"] >= 48 and box["width"] >= 48
    button.tap()
    assert page.evaluate("window.printed") == 1
    page.emulate_media(media="print")
    expect(button).to_be_hidden()


@pytest.mark.parametrize("path", PRINTED)
def test_without_scripts_there_is_none(browser: Browser, base: str, path: str):
    context = browser.new_context(viewport=PHONE, base_url=base, java_script_enabled=False)
    page = context.new_page()
    page.goto(path)
    expect(page.locator("[data-print]")).to_be_hidden()
    context.close()
