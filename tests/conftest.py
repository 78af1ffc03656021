"""What every test may use: an application over an empty data folder, and a client that is its own page."""

from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from advisor.web.app import create_app
from advisor.web.sessions import form_token


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    app = create_app(tmp_path / "data")
    app.testing = False  # errors are to be answered as a person would see them
    return app


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """A browser on the advisor's own pages: it names its origin when it writes, and has the forms' token."""
    return own_pages(app)


def own_pages(app: Flask) -> FlaskClient:
    """Open a browser at the laptop, on the advisor's own pages."""
    client = app.test_client()
    client.environ_base["HTTP_ORIGIN"] = "http://localhost"
    with app.test_request_context():
        client.environ_base["HTTP_X_TOKEN"] = form_token()
    return client
