"""As long as a page is older than what the laptop has, it is asked for again: no failure takes that away."""

from collections.abc import Callable, Iterable

import pytest
from flask import Flask
from playwright.sync_api import Page, Route, expect

from advisor.model import LightSet, Reading, Source, Target
from tests.browser.crew import Crew, cut, heard, put_away, read, says, status, until
from tests.browser.test_seen import GIVEN, go

NONE_WAITS = "JSON.parse(localStorage.getItem('advisor-outbox') ?? '[]').every((one) => one.state === 'held')"


@pytest.fixture(autouse=True)
def orangery(here: Flask) -> int:
    """A glass house: two heads, none gelled."""
    heads = [
        Source(name="Palm stair", kind="tungsten", reading=Reading(cct=3180, duv=0.0005, lux=700)),
        Source(name="Fern table", kind="tungsten", reading=Reading(cct=2850, duv=0.001, lux=160)),
    ]
    light_set = LightSet(name="Orangery", target=Target(cct=5600), sources=heads)
    return here.extensions["advisor"].sets.create_set(light_set)


class Failing:
    """A laptop that fails to give the page at `path` so many `times` to a script."""

    def __init__(self, app: Flask, path: str) -> None:
        self.path = path
        self.times = 0
        self._app, app.wsgi_app = app.wsgi_app, self

    def __call__(self, environ: dict, start: Callable) -> Iterable[bytes]:
        """Answer a request as a gateway does behind which nobody is."""
        asked = environ["REQUEST_METHOD"] == "GET" and environ["PATH_INFO"] == self.path
        if asked and self.times and environ.get("HTTP_SEC_FETCH_MODE") != "navigate":
            self.times -= 1
            start("503 Service Unavailable", [("Content-Type", "text/plain")])
            return [b"nobody"]
        return self._app(environ, start)


def _aim_and_remove(here: Flask) -> None:
    sets = here.extensions["advisor"].sets.by("Bo")
    sets.update_set(1, target=Target(cct=4700))
    sets.delete_source(2)


def _is_new(page: Page) -> None:
    expect(page.get_by_role("main")).to_contain_text("4\u202f700 K")
    expect(page.get_by_role("list", name="Sources").locator("> li")).to_have_count(1)
    expect(status(page)).not_to_contain_text("being renewed")


def _worked_by(page: Page) -> None:
    until(page, "navigator.serviceWorker.controller !== null")


@pytest.mark.parametrize("times", [1, 3])
def test_what_the_browser_kept_is_no_renewal(crew: Crew, here: Flask, times: int):
    failing = Failing(here, "/sets/1")
    page = crew.phone("Ana", "/sets/1", service_workers="allow")
    _worked_by(page)
    page.goto("/sets/1")
    heard(page)
    failing.times = times
    _aim_and_remove(here)
    _is_new(page)


def test_a_set_that_was_opened_without_the_link_is_renewed_once_what_waited_is_sent(crew: Crew, here: Flask):
    failing = Failing(here, "/sets/1")
    page = crew.phone("Ana", "/sets/1", service_workers="allow")
    _worked_by(page)
    page.goto("/sets/1")
    page.goto("/sources/2")
    cut(page)
    page.reload()
    read(page, "2900")
    put_away(page)
    page.goto("/sets/1")
    says(page, "OFFLINE. 1 reading kept here.")
    failing.times = 1
    _aim_and_remove(here)
    page.context.set_offline(False)
    until(page, NONE_WAITS)
    _is_new(page)
    expect(page.locator("#status details")).to_contain_text("was removed")  # nothing typed is lost


def test_an_answer_that_set_out_before_the_last_change_is_none(crew: Crew, here: Flask):
    page = crew.phone("Ana", "/sets/1")
    heard(page)
    before = page.request.get("/sets/1").text()
    given = []

    def late(route: Route) -> None:
        if given:
            route.continue_()
        else:
            given.append(route)
            route.fulfill(body=before, content_type="text/html")

    page.route("**/sets/1", late)
    _aim_and_remove(here)
    _is_new(page)
    assert given


def test_an_older_page_put_in_place_without_the_link_is_renewed(crew: Crew, here: Flask):
    """What this tab was given before stands in its place only as long as nobody answers."""
    page = crew.phone("Ana", "/sets/1")
    until(page, f"{GIVEN} === 2")
    _aim_and_remove(here)
    _is_new(page)
    cut(page)
    go(page, "/sources/1")
    expect(page.get_by_role("heading", level=1)).to_have_text("Palm stair")
    page.locator("main .where a").first.tap()
    expect(page.get_by_role("list", name="Sources").locator("> li")).to_have_count(2)
    page.context.set_offline(False)
    _is_new(page)
