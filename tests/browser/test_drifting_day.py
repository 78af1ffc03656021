"""A day of a drifting window, as gaffer and as electric: survey, work order, plan adopted and taken back."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import Kind, LightSet, Opening, Reading, Source, Stage, Target
from advisor.web.plans.onward import drifting as worked_out
from tests.browser.crew import Crew, cut, heard, read
from tests.drifting import kept

PANEL = Opening(width=0.5, height=0.6)
MORNING, NOON = "7143", "7850"


@pytest.fixture
def kitchen(here: Flask) -> int:
    """A set that goes to its window, whose two lamps are bare."""
    sources = [Source(name="Window", kind=Kind.DAYLIGHT, reading=Reading(cct=6900, duv=0.003))]
    for name, cct in (("Stove", 3000), ("Table", 3020)):
        reading = Reading(cct=cct, duv=0)
        sources.append(Source(name=name, kind=Kind.TUNGSTEN, reading=reading, openings=[PANEL]))
    made = LightSet(name="Kitchen", target=Target(source="Window"), sources=sources)
    return here.extensions["advisor"].sets.create_set(made)


def heading(page: Page, words: str | re.Pattern[str]) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(words)


def test_the_window_is_surveyed_hung_to_and_drifts(crew: Crew, kitchen: int, here: Flask):
    sets, taken = here.extensions["advisor"].sets, here.extensions["advisor"].taken

    def works() -> list[Stage | None]:
        return [one.source.work and one.source.work.stage for one in sets.get_set(kitchen).sources]

    gaffer = crew.phone("Mia", "/sources/1")
    read(gaffer, MORNING, "0.003")
    expect(gaffer.locator(".pad.over")).to_have_count(0)

    electric = crew.phone("Bo", f"/sets/{kitchen}/order")
    heading(electric, "Work order")
    electric.get_by_role("button", name="Start: Stove").tap()
    heading(electric, "Stove")
    expect(electric.get_by_role("main")).to_contain_text("Hot: let it cool before you touch it.")
    gaffer.goto(f"/sets/{kitchen}/order")
    expect(gaffer.get_by_role("main")).to_contain_text("Bo has been here since")
    other = crew.phone("Al", f"/sets/{kitchen}/order")
    other.get_by_role("button", name="Start: Table").tap()
    heading(other, "Table")
    expect(electric.get_by_role("button", name="Finish the work order")).to_be_visible()
    other.close()  # called away: whoever sees it frees the head for others
    gaffer.get_by_role("button", name=re.compile("Free ?: Table")).tap()
    expect(gaffer.get_by_role("button", name=re.compile("Take ?: Table"))).to_be_visible()
    electric.locator(".thumb").get_by_role("button", name="Hung").tap()
    electric.locator(".thumb").get_by_role("button", name="Next: Table").tap()
    heading(electric, "Table")
    expect(gaffer.locator("[data-live=task-3]")).to_contain_text("Bo has been here since")
    electric.locator(".thumb").get_by_role("button", name="Hung").tap()
    expect(electric.locator(".band")).to_contain_text("meter it")
    assert works() == [None, Stage.HUNG, Stage.HUNG]
    assert [one.who for one in taken.of_set(kitchen).values()] == ["Bo"]

    gaffer.goto("/sources/1")
    read(gaffer, NOON, "0.003")
    expect(gaffer.locator(".pad.over")).to_have_count(0)
    gaffer.goto(f"/sets/{kitchen}")
    gaffer.get_by_role("link", name=re.compile("Window moved: ")).tap()
    heading(gaffer, "Window moved")
    adopt = gaffer.get_by_role("button", name=re.compile("Adopt.*Hold")).first
    cut(gaffer)
    expect(adopt).to_be_disabled()  # by now it may be another plan
    gaffer.context.set_offline(False)
    expect(adopt).to_be_enabled()
    adopt.tap()
    gaffer.wait_for_url("**done=*")
    assert Stage.PLANNED in works(), "the window is to be hung now"

    electric.goto(f"/sets/{kitchen}/order")
    expect(electric.locator("[data-live=task-1]")).to_contain_text("⅛ CTO")
    gaffer.get_by_role("button", name="Undo", exact=True).tap()
    gaffer.wait_for_url(f"**/sets/{kitchen}/plans")
    assert works() == [None, Stage.HUNG, Stage.HUNG]
    expect(electric.locator("[data-live=task-1]")).to_have_count(0)


def test_a_board_that_is_left_open_says_when_it_is_time_to_meter(crew: Crew, here: Flask, monkeypatch):
    """As time goes by nothing is written: the page asks again when what it says of a time is over."""
    drifting, _ = kept(here.extensions["advisor"], [190.0, 187.0, 184.0], [60, 30, 0])
    board = crew.phone("Mia", f"/sets/{drifting}")
    expect(board.get_by_role("link", name="Meter Window by")).to_be_visible()
    heard(board)
    monkeypatch.setattr(worked_out, "clock", lambda: datetime.now(UTC) + timedelta(hours=3))
    board.evaluate("document.querySelector('[data-due]').dataset.due = '2026-01-01T06:00:00Z'")
    expect(board.get_by_role("link", name="Meter Window now")).to_be_visible()
    expect(board.get_by_role("main")).to_contain_text("Key may show beside it.")
