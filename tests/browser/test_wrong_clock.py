"""A phone with a wrong clock: what it read is filed where it belongs, however late it is sent."""

import re
from datetime import UTC, datetime

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import Reading
from tests.browser.crew import Crew, cut, put_away, read, waiting

pytestmark = pytest.mark.usefixtures("plain")


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
