"""What a head's page told before is on it, where that changed by something else than this head."""

import re

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import Target
from tests.browser.crew import Crew

pytestmark = pytest.mark.usefixtures("plain")


def changed(page: Page):
    return page.locator("[data-told]")


def test_it_says_what_it_told_before_until_it_tells_that_again(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    target, page = sets.get_set(1).target, crew.phone("Mia", "/sources/5")
    told = changed(page).get_attribute("data-told")
    expect(changed(page)).to_be_hidden()
    sets.update_set(1, target=Target(cct=3800))
    expect(changed(page)).to_be_visible()
    expect(changed(page)).to_have_text(re.compile(f"^Changed since: here it said “{re.escape(told)}”.$"))
    page.reload()
    expect(changed(page)).to_be_visible()
    sets.update_set(1, target=target)
    expect(changed(page)).to_be_hidden()


def test_once_it_hangs_it_is_told_no_more(crew: Crew, here: Flask):
    sets, page = here.extensions["advisor"].sets, crew.phone("Mia", "/sources/5")
    expect(changed(page)).to_be_hidden()
    sets.update_set(1, target=Target(cct=3800))
    expect(changed(page)).to_be_visible()
    page.get_by_role("button", name="Hung", exact=True).first.click()
    expect(page.get_by_role("button", name="All taken off")).to_be_visible()
    expect(changed(page)).to_be_hidden()
