"""An application that is open to a local network, and browsers that ask it from there."""

from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from advisor.web.access.lan import Lan
from advisor.web.app import create_app
from tests.web.page import Page

ADDRESS = "192.168.7.1"
BASE = f"http://{ADDRESS}:8080"


def open_app(data: Path, *, secure: bool = False) -> Flask:
    """Make an application that answers to one address of a network."""
    return create_app(data, lan=Lan(8080, bind=ADDRESS, secure=secure))


class Browser:
    """A browser somewhere on the network; like a person's, it names its origin and sends what forms hold."""

    def __init__(self, app: Flask, address: str = "192.168.7.20", base: str = BASE) -> None:
        self.app = app
        self.client: FlaskClient = app.test_client()
        self.address, self.base = address, base
        self.token = ""

    def ask(self, method: str, path: str, **more: Any) -> TestResponse:
        """Send a request, and follow nothing."""
        return self.client.open(
            path, method=method, base_url=self.base, environ_overrides={"REMOTE_ADDR": self.address}, **more
        )

    def get(self, path: str, **more: Any) -> TestResponse:
        return self.ask("GET", path, **more)

    def open(self, path: str) -> Page:
        """Open a page, and hold its form's token."""
        page = Page(self.get(path))
        self.token = page.fields.get("token", self.token)
        return page

    def post(self, path: str, data: dict[str, Any] | None = None, **more: Any) -> TestResponse:
        headers = {"Origin": self.base, **more.pop("headers", {})}
        return self.ask("POST", path, data={"token": self.token, **(data or {})}, headers=headers, **more)

    def join(self, name: str = "Mia", code: str | None = None, **fields: str) -> TestResponse:
        """Join with the typed code, or another; hold the token of the page that it leads to."""
        self.open("/join")
        given = self.app.extensions["people"].secrets.codes.typed if code is None else code
        answer = self.post("/join", {"name": name, "code": given, **fields})
        self.open("/look")
        return answer


def host(app: Flask) -> Browser:
    """Return the host's own browser, at the laptop."""
    browser = Browser(app, "127.0.0.1", "http://127.0.0.1:8080")
    browser.open("/host")
    return browser


def joined(app: Flask, role: str, name: str = "Mia", address: str = "192.168.7.20") -> Browser:
    """Return the browser of a phone that joined, with the role that the host then gave it."""
    browser = Browser(app, address)
    assert browser.join(name).status_code == 303
    phones = app.extensions["people"].phones
    phones.change_role(phones.all()[-1].id, role)
    return browser
