"""A wrong gel and a wrong digit put right on a phone, with and without a link; whose news it is."""

import re

import pytest
from flask import Flask
from playwright.sync_api import expect

from advisor.model import LightSet, Reading, Source, Target
from tests.advice.lamps import planckian
from tests.advice.lamps import read as meter
from tests.browser.crew import Crew, says, status, waiting

pytestmark = pytest.mark.usefixtures("stage")


@pytest.fixture
def stage(here: Flask) -> int:
    """A lamp that wants a full CTB, and a window."""
    lamp = Source(name="Backlight", kind="tungsten", reading=Reading(cct=3200, duv=0, lux=1000))
    window = Source(name="Window left", kind="daylight", reading=Reading(cct=6800, duv=0.003))
    light_set = LightSet(name="Stage 4", target=Target(cct=5600), sources=[lamp, window])
    return here.extensions["advisor"].sets.create_set(light_set)


def metered(page, cct: float, duv: float, lux: float) -> None:
    """Meter behind what hangs, from the head's page."""
    form = page.locator("#new-reading")
    form.locator("> summary").tap()
    page.get_by_label("CCT", exact=True).fill(f"{cct:.0f}")
    page.get_by_label("Duv", exact=True).fill(f"{duv:.4f}")
    page.get_by_text("Lux, level").tap()
    page.get_by_label("Illuminance, if read").fill(f"{lux:.0f}")
    form.get_by_role("button", name="Save", exact=True).tap()


def test_the_gel_that_really_hung_is_one_tap_without_a_link_too(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    mia = crew.phone("Mia", "/sources/1")
    mia.get_by_role("button", name="Hung", exact=True).tap()
    expect(mia.get_by_role("button", name="All taken off", exact=True)).to_be_visible()
    hung = sets.get_source(1).source.work.gels
    assert "CTB full" in hung
    wrong = meter(planckian(3230), ["CTB 1/2" if gel == "CTB full" else gel for gel in hung], lux=1000.0)
    metered(mia, wrong.cct, wrong.duv, wrong.lux)
    right = mia.get_by_role("button", name="It was ½ CTB")
    expect(right).to_be_visible()
    expect(mia.get_by_text("Left out until the gel is checked.").first).to_be_visible()
    mia.context.set_offline(True)
    right.tap()
    expect(waiting(mia)).to_be_visible()
    assert sets.get_source(1).source.work.gels == hung
    mia.context.set_offline(False)
    expect(mia.get_by_role("main")).to_contain_text("as predicted, and")
    work = sets.get_source(1).source.work
    assert "CTB 1/2" in work.gels and work.read_behind.gels == work.gels
    mia.locator(".undo", has_text="fixed").get_by_role("button", name="Undo").tap()
    expect(right).to_be_visible()
    assert sets.get_source(1).source.work.gels == hung


def test_a_reading_opens_filled_in_and_is_mended(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    sets.by("Al").add_reading(1, Reading(cct=7394, duv=0.001, lux=850))
    bo = crew.phone("Bo", "/sources/1")
    bo.locator("#readings > summary").tap()
    bo.locator("#readings").get_by_role("link", name="Fix").first.tap()
    expect(bo.get_by_label("CCT", exact=True)).to_have_value("7394")
    bo.get_by_label("CCT", exact=True).fill("3194")
    bo.get_by_role("button", name="Save", exact=True).tap()
    expect(bo.get_by_role("main")).to_contain_text(re.compile(r"Reads 3\s194\sK"))
    bo.goto("/sets/1/record#done")
    expect(bo.get_by_role("main")).to_contain_text(re.compile(r"read 3 194 K.*was 7 394 K"))
    assert [r.who for r in sets.readings_of(1)][-1] == "Al"


def test_news_of_another_head_names_it_with_the_way_there(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    jo, mia = crew.phone("Jo", "/sources/1"), crew.phone("Mia", "/sources/2")
    sets.by("Bo").add_reading(2, Reading(cct=6700, duv=0.003))
    says(jo, "Bo read Window left")
    says(mia, "Bo read Window left")
    expect(status(mia).get_by_role("link")).to_have_count(0)
    status(jo).get_by_role("link", name="Window left").tap()
    expect(jo.get_by_role("heading", level=1)).to_have_text("Window left")
    sets.add_reading(1, Reading(cct=3300, duv=0.0))
    says(jo, "Last change: read Backlight")
