"""The wrong button in the dark: what was done is one tap from undone, and so is the undoing."""

import re

import pytest
from flask import Flask
from playwright.sync_api import expect

from tests.browser.crew import Crew, read, waiting

pytestmark = pytest.mark.usefixtures("plain")


@pytest.fixture
def work(here: Flask):
    return lambda: here.extensions["advisor"].sets.get_source(1).source.work


def test_hung_by_mistake_is_undone_beside_the_button_and_so_is_that(crew: Crew, work):
    mia = crew.phone("Mia", "/sources/1")
    mia.get_by_role("button", name="Hung", exact=True).tap()
    undo = mia.locator(".undo").get_by_role("button", name="Undo")
    undo.tap()
    expect(mia.get_by_role("button", name="Hung", exact=True)).to_be_visible()
    assert work() is None
    undo.tap()
    expect(mia.get_by_role("button", name="All taken off", exact=True)).to_be_visible()
    assert work().stage == "hung"


def test_a_reading_with_a_wrong_digit_is_struck_out_and_brought_back(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    mia = crew.phone("Mia", "/sources/1")
    first = sets.get_source(1).source.reading
    read(mia, "7394")
    readings = mia.locator("#readings")
    expect(readings).to_contain_text(re.compile(r"7\s394"))  # the page that has it: the one before is going
    readings.locator("summary").tap()
    readings.get_by_role("button", name="Strike out").first.tap()
    expect(readings.locator("summary")).to_contain_text("1 struck out")
    assert sets.get_source(1).source.reading == first
    if not readings.get_by_role("button", name="Bring back").is_visible():
        readings.locator("summary").tap()
    readings.get_by_role("button", name="Bring back").tap()
    expect(readings.locator("summary")).not_to_contain_text("struck out")
    assert sets.get_source(1).source.reading.cct == 7394


def test_somebody_came_later_and_is_named_and_nothing_waits_on_the_phone(crew: Crew, work):
    mia = crew.phone("Mia", "/sources/1")
    mia.get_by_role("button", name="Hung", exact=True).tap()
    expect(mia.get_by_role("button", name="All taken off", exact=True)).to_be_visible()
    mia.goto("/sets/1/record#done")
    bo = crew.phone("Bo", "/sources/1")
    bo.get_by_role("button", name="All taken off", exact=True).tap()
    expect(bo.get_by_role("button", name="Hung", exact=True)).to_be_visible()
    mia.get_by_role("button", name="Undo").first.tap()
    expect(mia.get_by_role("heading", level=1)).to_have_text("Not undone: Bo changed it later")
    assert work() is None
    expect(waiting(mia)).to_have_count(0)
    mia.get_by_role("button", name="Undo that first").tap()
    mia.wait_for_url("**/sets/1/record*")
    assert work().stage == "hung"
