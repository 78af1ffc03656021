"""A tester's day: a head is tested over two phones, its sheet is printed, and it is used on a set."""

import re

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import LightSet, Target
from tests.browser.conftest import PHONE
from tests.browser.crew import Crew, read
from tests.browser.test_paper import pages

NINE = (
    *((5600, 0.0010, 2000), (5580, 0.0012, 1000), (5500, 0.0030, 200)),
    *((5500, 0.0020, 4000), (5480, 0.0022, 2000), (5400, 0.0040, 400)),
    *((5450, 0.0015, 900), (5430, 0.0017, 450), (5350, 0.0035, 90)),
)
"""CCT, Duv and lux at 100, 50 and 10 %: bare, with a dish, with a softbox. Invented."""


@pytest.fixture
def stage(here: Flask) -> int:
    return here.extensions["advisor"].sets.create_set(LightSet(name="Stage", target=Target(cct=5600)))


def take(page: Page, numbers: range) -> None:
    """Take readings one a screen, by their numbers from 0."""
    for number in numbers:
        expect(page.get_by_role("main")).to_contain_text(f"reading {number + 1} of 9")
        for label, value in zip(("CCT", "Duv", "Illuminance"), NINE[number], strict=True):
            page.get_by_label(label, exact=True).fill(str(value))
        page.get_by_role("button", name="Done" if number == 8 else "Next").click()
        page.wait_for_url("**/sheet" if number == 8 else f"**at={number + 1}&said={number}")


def added(page: Page) -> None:
    """Add a head, and choose what to read of it."""
    page.get_by_role("link", name="New head").click()
    page.get_by_label("Name", exact=True).fill("Panel 3")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("link", name="Test it").click()
    page.get_by_label("Modifiers").fill("dish, softbox")
    page.get_by_label("Distance", exact=True).fill("3")
    page.get_by_label("On for").fill("20")
    page.get_by_role("button", name="First reading").click()


def test_a_head_is_tested_once_and_known_on_a_set(crew: Crew, stage: int, here: Flask):
    stand = crew.phone("Mia", "/heads")
    added(stand)
    take(stand, range(4))
    expect(stand.get_by_role("heading", level=1)).to_have_text("50 %, dish")
    stand.goto("/sets")  # called away

    other = crew.phone("Bo", "/heads")
    other.get_by_role("link", name="Panel 3").click()
    other.get_by_role("link", name="Go on testing").click()
    take(other, range(4, 9))
    expect(other.get_by_role("main")).to_contain_text("Planckian locus")
    assert pages(other.pdf(format="A4")) == 1
    assert other.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]

    stand.goto(f"/sets/{stage}")
    stand.get_by_label("Add sources").click()
    stand.get_by_role("link", name="From heads").click()
    stand.get_by_role("checkbox", name="Panel 3").check()
    stand.get_by_role("button", name="Add what is ticked").click()
    stand.get_by_role("link", name="1 Panel 3").click()
    expect(stand.get_by_role("main")).to_contain_text("Not metered on this set.")
    expect(stand.get_by_role("main")).to_contain_text("About 5 600 K")

    read(stand, "5560", "0.0010")
    expect(stand.get_by_role("main")).to_contain_text("40 K lower than in its test of")
    stand.get_by_role("button", name="Keep 1 reading to Panel 3").click()
    expect(stand.get_by_role("status").filter(has_text="Kept 1 reading")).to_be_visible()

    sets, heads = (getattr(here.extensions["advisor"], name) for name in ("sets", "heads"))
    kept, test = heads.tests_of(1)
    assert (kept.test.on_set, kept.who, [t.reading.cct for t in kept.readings.values()]) == (
        "Stage", "Mia", [5560]
    )  # fmt: skip
    assert [test.readings[k].reading.cct for k in range(9)] == [cct for cct, _, _ in NINE]
    assert [test.readings[k].who for k in range(9)] == ["Mia"] * 4 + ["Bo"] * 5
    assert len(sets.get_set(stage).sources) == 1

    stand.get_by_role("button", name="Undo").click()
    expect(stand.get_by_role("button", name=re.compile("^Keep"))).to_be_visible()  # the page after it
    expect(stand.get_by_role("button", name="Undo")).to_have_count(0)
    assert stand.url.partition("?")[0].endswith("/sources/1")  # where it was kept
    assert len(heads.tests_of(1)) == 1


def test_without_a_link_a_head_is_added_and_its_readings_kept_once(crew: Crew, stage: int, here: Flask):
    phone = crew.phone("Mia", "/heads")
    added(phone)
    take(phone, range(1))
    phone.goto(f"/sets/{stage}/heads")
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Add Panel 3").click()
    expect(phone.locator("#status details")).to_be_visible()
    phone.context.set_offline(False)
    expect(phone.locator("#status details")).to_have_count(0)
    phone.wait_for_url("**/heads?added=1")  # where the answer leads
    sets, heads = (getattr(here.extensions["advisor"], name) for name in ("sets", "heads"))
    [source] = sets.get_set(stage).sources
    sets.by("Mia").add_reading(source.id, source.source.reading.model_copy(update={"tested_at": None}))
    phone.goto(f"/sets/{stage}/keep")
    phone.context.set_offline(True)
    phone.get_by_role("button", name=re.compile("^Keep")).click()
    expect(phone.locator("#status details")).to_be_visible()
    phone.context.set_offline(False)
    expect(phone.locator("#status details")).to_have_count(0)
    assert [len(test.readings) for test in heads.tests_of(1)] == [1, 1]


def test_two_phones_keep_the_same_readings_once(crew: Crew, stage: int, here: Flask):
    mia, bo = crew.phone("Mia", "/heads"), crew.phone("Bo", f"/sets/{stage}")
    added(mia)
    take(mia, range(1))
    mia.goto(f"/sets/{stage}/heads")
    mia.get_by_role("button", name="Add Panel 3").click()
    mia.get_by_role("link", name="1 Panel 3").click()
    read(mia, "5560", "0.0010")
    expect(mia.get_by_role("main")).to_contain_text("40 K lower")
    for phone in (mia, bo):
        phone.goto(f"/sets/{stage}/keep")
    for phone in (mia, bo):
        phone.get_by_role("button", name=re.compile("^Keep")).click()
        expect(phone.get_by_role("main")).to_contain_text("Nothing to keep")
    heads = here.extensions["advisor"].heads
    assert len(heads.tests_of(1)) == 2
