"""A laptop that is slow is no lost link: a page that was kept says that it waits, and what waits with it."""

import threading
from collections.abc import Callable, Iterable

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import LightSet, Reading, Source, Target
from tests.browser.crew import Crew, heard, put_away, read, says, status, until, waiting

KEPT = """(async () => Boolean(await (await caches.open("advisor-pages")).match("/sources/1")))()"""


@pytest.fixture(autouse=True)
def pier(here: Flask) -> int:
    """One head on a pier, bare."""
    lamp = Source(name="Lantern", kind="tungsten", reading=Reading(cct=3150, duv=0, lux=900))
    light_set = LightSet(name="Pier", target=Target(cct=5600), sources=[lamp])
    return here.extensions["advisor"].sets.create_set(light_set)


class Slow:
    """A laptop that takes what is asked, and answers nothing but scripts for as long as it is `held`."""

    def __init__(self, app: Flask) -> None:
        self._going = threading.Event()
        self._going.set()
        self._app, app.wsgi_app = app.wsgi_app, self

    def hold(self) -> None:
        self._going.clear()

    def go(self) -> None:
        self._going.set()

    def __call__(self, environ: dict, start: Callable) -> Iterable[bytes]:
        if not environ["PATH_INFO"].startswith("/static/"):
            self._going.wait(60)
        return self._app(environ, start)


@pytest.fixture
def slow(here: Flask):
    laptop = Slow(here)
    yield laptop
    laptop.go()


def _kept(crew: Crew) -> Page:
    page = crew.phone("Ada", "/sets/1", service_workers="allow")
    until(page, "navigator.serviceWorker.controller !== null")
    page.goto("/sources/1")
    heard(page)
    until(page, KEPT)
    return page


def test_a_kept_page_says_that_it_waits_and_not_that_the_link_is_gone(crew: Crew, slow: Slow):
    page = _kept(crew)
    slow.hold()
    page.goto("/sources/1")
    expect(status(page)).to_contain_text("Waiting for the laptop. Page is")
    expect(page.get_by_text("OFFLINE")).to_have_count(0)
    slow.go()
    expect(page.locator("html")).not_to_have_attribute("data-kept", "")
    says(page, "Here:")
    expect(status(page)).not_to_contain_text("Waiting")


WAITS = "Read 3\u202f120 K, Duv 0.001: obvious, bare, kept here"


def test_a_reading_that_is_saved_meanwhile_is_said_to_wait(crew: Crew, slow: Slow, here: Flask):
    page = _kept(crew)
    slow.hold()
    page.goto("/sources/1")
    read(page, "3120")
    put_away(page)
    expect(page.locator(".band")).to_have_text(WAITS)
    expect(waiting(page)).to_contain_text("1 reading waits: New reading for Lantern")
    expect(status(page)).to_contain_text("1 reading kept here.")
    slow.go()
    expect(waiting(page)).to_have_count(0)
    assert [r.reading.cct for r in here.extensions["advisor"].sets.readings_of(1)] == [3150, 3120]


def test_a_reading_on_its_way_as_the_link_goes_is_said_to_wait(crew: Crew, slow: Slow):
    """It was in no list until the send gave up, and the head said “OFFLINE” alone."""
    page = crew.phone("Ada", "/sources/1")
    heard(page)
    slow.hold()
    read(page, "3120")
    expect(status(page)).to_contain_text("OFFLINE. 1 reading kept here.")
    expect(page.locator(".band")).to_have_text(WAITS)
    expect(waiting(page)).to_contain_text("1 reading waits: New reading for Lantern")
    put_away(page)
