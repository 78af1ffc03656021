"""How near a reading is to what is wanted, said on the phone while nobody answers."""

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.advice.readings.chromaticity import measure
from advisor.advice.wording.words import seen
from advisor.colour.observer.chromaticity import steps_apart
from advisor.model import Reading, Target
from tests.browser.crew import Crew, cut, put_away, read, says

pytestmark = pytest.mark.usefixtures("plain")


NEAR = """const pad = document.querySelector("script[src*='/pad.js']").src;
const { near } = await import(new URL("../link/near.js", pad));"""
"""Its place bears the version."""


@pytest.fixture
def page(crew: Crew) -> Page:
    return crew.phone("Jo", "/sources/5")


def test_the_phone_says_what_the_laptop_would(page: Page):
    """The phone has a formula of the locus and the laptop a table: they may part by 0.1 step at an edge."""
    kelvins = (2700, 3200, 4300, 5600, 6500, 9000, 12000)
    duvs = (-0.01, -0.002, 0.0, 0.004)
    asked = [
        (cct + off * cct**2 / 1e6, duv + 0.0006 * off, f"{cct} {duv} {tolerance}", cct, duv, tolerance)
        for cct in kelvins
        for duv in duvs
        for off in (0, 1, 3, 8, -5, 20)
        for tolerance in (0.5, 3)
    ]
    told = page.evaluate(
        f"async (asked) => {{ {NEAR} return asked.map((a) => near(...a)); }}", [one[:3] for one in asked]
    )
    wrong = []
    for said, (kelvin, off, _, cct, duv, tolerance) in zip(told, asked, strict=True):
        here, there = (measure(Reading(cct=k, duv=d)) for k, d in ((kelvin, off), (cct, duv)))
        steps = float(steps_apart(here.uv, there.uv))
        may = {str(seen(max(0.0, steps + by), tolerance)) for by in (-0.1, 0, 0.1)}
        if said not in may:
            wrong.append((said, kelvin, off, cct, duv, steps))
    assert wrong == []
    assert {"matches", "close", "a bit off", "obvious"} <= set(told)
    assert page.evaluate(f"async () => {{ {NEAR} return near(20000, 0, '5600 0 3'); }}") == ""


def test_a_reading_that_is_kept_says_how_near_it_is(page: Page, here: Flask):
    sets = here.extensions["advisor"].sets
    sets.update_set(sets.get_source(5).set_id, target=Target(cct=3200, locus="planckian"))
    page.reload()
    cut(page)
    read(page, "3200", "0")
    says(page, "OFFLINE. 1 reading kept here.")
    put_away(page)
    band = page.locator(".band")
    expect(band).to_contain_text("Read 3\u202f200 K, Duv 0: matches, bare, kept here")
    read(page, "3100", "30")  # a Duv by its places
    put_away(page)
    expect(band).to_contain_text("a bit off, bare, kept here")
    page.context.set_offline(False)
    expect(band).not_to_contain_text("kept here")


def test_what_is_left_as_it_is_has_no_word(page: Page, here: Flask):
    sets = here.extensions["advisor"].sets
    now = sets.get_source(5)
    sets.change_source(5, {"aim": now.source.aim.model_copy(update={"leave": True})})
    page.reload()
    cut(page)
    read(page, "3200", "0")
    put_away(page)
    expect(page.locator(".band")).to_contain_text("Read 3\u202f200 K, Duv 0, kept here")
