"""A phone-sized browser, and the advisor on a free port with a data folder of its own."""

import os
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from flask import Flask
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    Page,
    Playwright,
    expect,
    sync_playwright,
)
from waitress.server import create_server

from advisor.web.app import MOST_BODY, create_app
from tests.bakery import bakery
from tests.browser.crew import Crew
from tests.browser.start import ARGUMENTS, PATIENCE, PHONE, why_not
from tests.conftest import Closing, in_no_hurry_to_disk

expect.set_options(timeout=PATIENCE)


def chromium() -> str | None:
    """Return the Chromium that ADVISOR_CHROMIUM names, or one of the system's; None is Playwright's own."""
    named = os.environ.get("ADVISOR_CHROMIUM")
    return named or shutil.which("chromium-headless-shell") or shutil.which("chromium")


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    """What starts browsers: one for all tests of a worker, since there can be no second one beside it."""
    if words := why_not(chromium()):
        pytest.fail(words, pytrace=False)
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def browser(driver: Playwright) -> Iterator[Browser]:
    """One browser for all tests of a worker."""
    browser = driver.chromium.launch(executable_path=chromium(), args=ARGUMENTS)
    yield browser
    browser.close()


@contextmanager
def serving(app: Flask) -> Iterator[str]:
    """Serve an application as the command does, and return its address."""
    server = create_server(app, host="127.0.0.1", port=0, threads=4, max_request_body_size=MOST_BODY)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.effective_port}"
    finally:  # else a program that fails in here would never end: its server still runs
        # Closing is for the thread that waits on the sockets: it ends when none is left.
        server.trigger.pull_trigger(lambda: [s.close() for s in list(server._map.values())])
        thread.join(timeout=10)
        server.task_dispatcher.shutdown()
    assert not thread.is_alive()


@pytest.fixture(autouse=True)
def no_hurry() -> Iterator[None]:
    with in_no_hurry_to_disk():
        yield


@pytest.fixture
def here(tmp_path: Path, closing: Closing) -> Flask:
    """An application over an empty data folder."""
    return closing(create_app(tmp_path / "data"))


@pytest.fixture
def readings(here: Flask) -> Callable[[], list[float | None]]:
    """The CCT of every reading of source 5, when it is called."""
    return lambda: [r.reading.cct for r in here.extensions["advisor"].sets.readings_of(5)]


@pytest.fixture
def base(here: Flask) -> Iterator[str]:
    """Serve the application, and return its address."""
    with serving(here) as address:
        yield address


@pytest.fixture
def plain(here: Flask) -> int:
    """Keep a set of six bare sources, and return its id."""
    return here.extensions["advisor"].sets.create_set(bakery(), sample=True)


@pytest.fixture
def crew(browser: Browser, base: str) -> Iterator[Crew]:
    """Phones of several people; what they are to find there a test makes before."""
    crew = Crew(browser, base)
    yield crew
    crew.close()


class Watch:
    """What a browser asked for, and what it complained of."""

    def __init__(self, context: BrowserContext) -> None:
        self.requests: list[str] = []
        self.complaints: list[str] = []
        context.on("request", lambda request: self.requests.append(request.url))
        context.on("console", self._console)
        context.on("weberror", lambda error: self.complaints.append(str(error.error)))

    def _console(self, message: ConsoleMessage) -> None:
        if message.text == "Service Worker registration blocked by Playwright":
            return
        # The browser notes every page that answers 4xx, as a refused form does.
        if message.type in ("error", "warning") and "responded with a status of 4" not in message.text:
            self.complaints.append(message.text)


@pytest.fixture
def open_phone(browser: Browser, base: str) -> Iterator[Callable[..., tuple[Page, Watch]]]:
    """Open a browser of a phone's size; afterwards nothing may have left the machine or gone wrong."""
    opened: list[tuple[BrowserContext, Watch]] = []

    def phone(**options: object) -> tuple[Page, Watch]:
        # What a test answers in the laptop's place has to reach the page itself.
        options.setdefault("service_workers", "block")
        context = browser.new_context(viewport=PHONE, has_touch=True, base_url=base, **options)
        context.set_default_timeout(PATIENCE)
        watch = Watch(context)
        opened.append((context, watch))
        return context.new_page(), watch

    yield phone
    for context, watch in opened:
        context.close()
        assert watch.complaints == []
        assert [url for url in watch.requests if not url.startswith((f"{base}/", "data:"))] == []


@pytest.fixture
def page(open_phone: Callable[..., tuple[Page, Watch]]) -> Page:
    """A phone's browser."""
    return open_phone()[0]


@pytest.fixture
def sample(plain: int, page: Page) -> Page:
    """A phone that shows a set of six bare sources."""
    page.goto(f"/sets/{plain}")
    return page
