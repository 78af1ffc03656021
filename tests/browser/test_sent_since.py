"""What left the phone is told on pages that were made before it: nobody hangs or meters it again."""

from collections.abc import Callable, Iterable

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import LightSet, Reading, Source, Target
from tests.browser.crew import Crew, cut, heard, put_away, read, says, until
from tests.browser.test_seen import GIVEN, go

SENT = "JSON.parse(localStorage.getItem('advisor-outbox') ?? '[]').length === 0"


@pytest.fixture(autouse=True)
def ferry(here: Flask) -> int:
    """A ferry's deck: two heads, none gelled."""
    heads = [
        Source(name="Bridge wing", kind="tungsten", reading=Reading(cct=3150, duv=0, lux=900)),
        Source(name="Car deck", kind="tungsten", reading=Reading(cct=2900, duv=0.001, lux=220)),
    ]
    light_set = LightSet(name="Ferry", target=Target(cct=5600), sources=heads)
    return here.extensions["advisor"].sets.create_set(light_set)


class Away:
    """A laptop that takes what is sent, and gives no page for as long as it is `on`."""

    def __init__(self, app: Flask) -> None:
        self.on = False
        self._app, app.wsgi_app = app.wsgi_app, self

    def __call__(self, environ: dict, start: Callable) -> Iterable[bytes]:
        """Answer a request as a gateway does behind which nobody is."""
        if not self.on or environ["REQUEST_METHOD"] == "POST" or environ["PATH_INFO"].startswith("/static/"):
            return self._app(environ, start)
        start("503 Service Unavailable", [("Content-Type", "text/plain")])
        return [b"nobody"]


def _hung_and_read(page: Page) -> None:
    page.get_by_role("button", name="Hung", exact=True).tap()
    expect(page.locator(".band")).to_have_text("Hung, kept here")
    read(page, "5560")
    put_away(page)
    expect(page.locator(".band")).to_have_text("Read 5\u202f560 K, Duv 0.001: close, kept here")


def _sent(page: Page, here: Flask) -> None:
    until(page, SENT)
    work = here.extensions["advisor"].sets.get_source(2).source.work
    assert work.hangs
    assert work.read_behind.cct == 5560


def _told_as_sent(page: Page) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text("Car deck")
    expect(page.locator(".band")).to_have_text(
        "Read 5\u202f560 K, Duv 0.001: close, sent. This page is older"
    )
    expect(page.locator(".settled")).to_contain_text("Up now: full CTB")
    expect(page.locator(".far")).to_be_hidden()
    expect(page.get_by_role("button", name="Hung", exact=True)).to_be_hidden()
    page.locator("#new-reading > summary").tap()
    expect(page.get_by_label("With full CTB")).to_be_checked()
    page.get_by_role("button", name="Close").tap()


def test_what_the_browser_kept_of_before_tells_what_was_sent_since(crew: Crew, here: Flask):
    away = Away(here)
    page = crew.phone("Ada", "/sets/1", service_workers="allow")
    until(page, "navigator.serviceWorker.controller !== null")
    page.goto("/sources/2")
    page.goto("/sets/1")
    page.goto("/sources/2")
    cut(page)
    _hung_and_read(page)
    away.on = True
    page.context.set_offline(False)
    _sent(page, here)
    page.goto("/sources/2")
    _told_as_sent(page)
    page.goto("/sets/1")
    expect(page.locator("#head-2")).to_contain_text("close, sent. This page is older")
    expect(page.locator("#head-1")).not_to_contain_text("sent")
    away.on = False
    expect(page.locator("#head-2")).not_to_contain_text("sent")
    page.goto("/sources/2")
    heard(page)
    expect(page.locator(".settled")).to_have_count(0)
    expect(page.locator(".band")).not_to_contain_text("sent")


def test_what_this_tab_was_given_before_tells_it_too(crew: Crew, here: Flask):
    page = crew.phone("Ada", "/sources/2")
    until(page, f"{GIVEN} === 2")
    cut(page)
    _hung_and_read(page)
    gone = lambda route: route.fallback() if route.request.method == "POST" else route.abort("aborted")  # noqa: E731
    page.route("**/*", gone)
    page.context.set_offline(False)
    _sent(page, here)
    says(page, "OFFLINE.")
    page.locator("main .where a").first.tap()
    expect(page.locator("#head-2")).to_contain_text("close, sent. This page is older")
    go(page, "/sources/2")
    _told_as_sent(page)
    page.unroute("**/*", gone)
    expect(page.locator(".settled")).to_have_count(0)
