"""Times are in the zone of the phone that shows them, which may not be the laptop's."""

import re
from datetime import UTC, datetime, timedelta, timezone

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from tests.browser.crew import Crew

pytestmark = pytest.mark.usefixtures("plain")

THERE = timezone(timedelta(hours=5, minutes=30))


def there(time: str) -> re.Pattern[str]:
    at = datetime.fromisoformat(time).astimezone(THERE)
    return re.compile(f"^{at:%H:%M}, {at.day} ")


def check(page: Page, least: int) -> None:
    times = page.locator("time[datetime]")
    expect(times.nth(least - 1)).to_be_attached()
    for time in times.all():
        expect(time).to_have_text(there(time.get_attribute("datetime") or ""))


def test_a_time_is_the_phones_own_in_parts_that_come_later_too(crew: Crew, here: Flask):
    page = crew.phone("Jo", "/sources/5", timezone_id="Asia/Kolkata")
    sets = here.extensions["advisor"].sets.by("Mia")
    sets.add_reading(5, sets.get_source(5).source.reading)
    expect(page.get_by_text("2 readings")).to_be_visible()
    check(page, 2)


def test_the_sheet_names_the_zone_that_its_times_are_in(crew: Crew):
    page = crew.phone("Jo", "/sets/1/sheet", timezone_id="Asia/Kolkata")
    check(page, 7)
    expect(page.get_by_text("Times: UTC+5:30.")).to_be_visible()
    expect(page.locator("time").first).to_contain_text(str(datetime.now(UTC).astimezone(THERE).year))


def test_without_script_it_is_the_laptops(crew: Crew):
    page = crew.phone("Jo", "/sets/1/sheet", timezone_id="Asia/Kolkata", java_script_enabled=False)
    at = datetime.fromisoformat(page.locator("time").first.get_attribute("datetime") or "").astimezone()
    expect(page.locator("time").first).to_contain_text(f"{at:%H:%M}, {at.day} ")
