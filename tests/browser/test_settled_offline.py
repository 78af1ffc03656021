"""What was done to a head without the link is done: its page asks for it no more, on any way to that page."""

import pytest
from flask import Flask
from playwright.sync_api import Locator, Page, expect

from advisor.model import LightSet, Reading, Source, Target
from tests.advice.lamps import planckian
from tests.advice.lamps import read as meter
from tests.browser.crew import Crew, cut, heard, put_away, read, until, waiting
from tests.browser.test_seen import go

pytestmark = pytest.mark.usefixtures("pier")

SIZES = """() => [...document.querySelectorAll("main *")]
  .filter((part) => part.checkVisibility() && [...part.childNodes].some((one) => /[a-z⅛¼½¾]/i.test(one.data)))
  .map((part) => [parseFloat(getComputedStyle(part).fontSize), part.textContent.trim()])"""
GIVEN = "Object.keys(sessionStorage).filter((name) => /^advisor-seen .sources/.test(name)).length === 3"


@pytest.fixture
def pier(here: Flask) -> int:
    """A pier at night: two tungsten heads and a window, none gelled."""
    heads = [
        Source(name="Mast", kind="tungsten", reading=Reading(cct=3150, duv=0, lux=900)),
        Source(name="Ticket booth", kind="tungsten", reading=Reading(cct=2900, duv=0.001, lux=220)),
        Source(name="Cabin window", kind="daylight", reading=Reading(cct=6900, duv=0.003)),
    ]
    light_set = LightSet(name="Pier", target=Target(cct=5600), sources=heads)
    return here.extensions["advisor"].sets.create_set(light_set)


def loudest(page: Page) -> str:
    """Return what is written largest on a head's page."""
    return max(page.evaluate(SIZES), key=lambda one: one[0])[1]


def asked(page: Page) -> Locator:
    """Return what the page asks for, in its largest words."""
    return page.locator(".far")


def hung(page: Page) -> None:
    page.get_by_role("button", name="Hung", exact=True).tap()
    expect(waiting(page)).to_be_visible()


def hung_with_the_link(page: Page) -> None:
    page.get_by_role("button", name="Hung", exact=True).tap()
    expect(page.get_by_role("button", name="All taken off", exact=True)).to_be_visible()
    heard(page)


def test_what_was_hung_is_the_loudest_and_the_order_is_gone(crew: Crew, here: Flask):
    page = crew.phone("Ada", "/sources/1")
    heard(page)
    assert loudest(page) in asked(page).inner_text()
    cut(page)
    hung(page)
    expect(asked(page)).to_be_hidden()
    assert loudest(page) == "Hung, kept here"
    expect(page.locator(".settled")).to_contain_text("Up now: full CTB")
    expect(page.locator(".settled")).to_contain_text("Meter it with the gel on.")
    expect(page.get_by_role("button", name="Lock this plan")).to_be_hidden()
    read(page, "5400", "0.001")
    put_away(page)
    expect(page.locator(".band")).to_contain_text("kept here")
    expect(page.locator(".settled")).to_contain_text("Up now: full CTB")
    expect(page.locator(".settled")).not_to_contain_text("Meter it")
    expect(asked(page)).to_be_hidden()
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    expect(page.locator(".settled")).to_have_count(0)
    expect(page.locator("[data-settled]")).to_have_count(0)
    work = here.extensions["advisor"].sets.get_source(1).source.work
    assert work.hangs and work.read_behind.cct == 5400


def test_who_discards_it_is_asked_for_it_again(crew: Crew):
    page = crew.phone("Ada", "/sources/1")
    heard(page)
    cut(page)
    hung(page)
    expect(asked(page)).to_be_hidden()
    waiting(page).locator("summary").tap()
    waiting(page).get_by_role("button", name="Discard").tap()
    waiting(page).get_by_role("button", name="Discard for good").tap()
    expect(asked(page)).to_be_visible()
    expect(page.locator(".settled")).to_have_count(0)


def test_the_page_that_was_given_beforehand_goes_by_it_too(crew: Crew):
    page = crew.phone("Ada", "/sources/2")
    until(page, GIVEN)
    cut(page)
    hung(page)
    page.locator("main .where a").first.tap()
    expect(page.locator("#head-2")).to_contain_text("Hung, kept here")
    go(page, "/sources/1")
    expect(page.get_by_role("heading", level=1)).to_have_text("Mast")
    expect(asked(page)).to_be_visible()  # nothing was done here
    page.go_back()
    go(page, "/sources/2")
    expect(page.get_by_role("heading", level=1)).to_have_text("Ticket booth")
    expect(asked(page)).to_be_hidden()
    assert loudest(page) == "Hung, kept here"
    expect(page.get_by_role("button", name="Hung", exact=True)).to_be_hidden()


def test_of_a_swap_what_is_up_now_is_told_not_what_was_up_before(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    page = crew.phone("Ada", "/sources/1")
    hung_with_the_link(page)
    before = sets.get_source(1).source.work.gels
    far_off = meter(planckian(3900), before, lux=900.0)
    read(page, f"{far_off.cct:.0f}", f"{far_off.duv:.4f}")
    expect(page.locator(".flow")).to_contain_text("Meter it again?")
    cut(page)
    page.get_by_role("button", name="All taken off", exact=True).tap()
    expect(page.locator(".settled")).to_have_text("Nothing hangs.")
    assert loudest(page) == "All taken off, kept here"
    expect(page.locator(".flow > .answer")).to_be_hidden()


def test_the_answer_to_a_doubt_is_taken_as_one(crew: Crew, here: Flask):
    sets = here.extensions["advisor"].sets
    page = crew.phone("Ada", "/sources/1")
    hung_with_the_link(page)
    gels = ["CTB 1/2" if gel == "CTB full" else gel for gel in sets.get_source(1).source.work.gels]
    wrong = meter(planckian(3180), gels, lux=900.0)
    read(page, f"{wrong.cct:.0f}", f"{wrong.duv:.4f}")
    right = page.get_by_role("button", name="It was ½ CTB")
    expect(right).to_be_visible()
    cut(page)
    right.tap()
    expect(page.locator(".flow > .answer")).to_be_hidden()
    assert loudest(page) == "It was ½\xa0CTB, kept here"
    page.context.set_offline(False)
    expect(page.get_by_role("main")).to_contain_text("as predicted, and")


def test_a_second_tap_on_save_opens_no_new_reading(crew: Crew):
    page = crew.phone("Ada", "/sources/2")
    heard(page)
    cut(page)
    page.locator("#new-reading > summary").tap()
    page.get_by_label("CCT", exact=True).fill("5560")
    page.get_by_label("Duv", exact=True).fill("0.001")
    page.get_by_role("button", name="Save", exact=True).dblclick()
    put_away(page)
    expect(page.locator(".band")).to_contain_text("Read 5\u202f560 K, Duv 0.001")
    assert page.locator("#new-reading").get_attribute("open") is None
    expect(waiting(page).locator("summary")).to_have_text("1 reading waits: New reading for Ticket booth")


@pytest.mark.parametrize(("cct", "duv", "said"), [("", "", "CCT"), ("", "0.001", "CCT"), ("5560", "", "Duv")])
def test_without_the_link_an_empty_reading_is_none_either(crew: Crew, cct: str, duv: str, said: str):
    page = crew.phone("Ada", "/sources/2")
    heard(page)
    cut(page)
    read(page, cct, duv)
    expect(page.locator(".pad-answer")).to_have_text(f"{said} is empty. Type what the meter reads.")
    expect(page.get_by_label(said, exact=True)).to_be_focused()
    expect(waiting(page)).to_have_count(0)
