"""One application for all tests of a module, and what asks its API: for tests by which nothing is kept.

A module takes these by importing them; where something is kept, `ask` alone.
"""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from advisor.web.app import create_app


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    app = create_app(tmp_path_factory.mktemp("asked"))
    yield app
    app.extensions["database"].close()


@pytest.fixture
def ask(client: FlaskClient) -> Callable[..., Any]:
    """Send JSON to a call of the API, and return what it answers."""

    def send(path: str, data: Any, status: int = 200) -> Any:
        answer = client.post(f"/api/v1/{path}", json=data)
        assert answer.status_code == status, answer.text
        assert answer.mimetype == "application/json"
        return answer.json

    return send
