"""Sets and sources to look at, and a client that reads the pages."""

import io
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from jinja2 import FileSystemBytecodeCache
from werkzeug.datastructures import FileStorage
from werkzeug.test import encode_multipart

from advisor.sample import sample_set
from advisor.web.state import State
from tests.bakery import bakery
from tests.web.page import Page

Get = Callable[[str], Page]
Post = Callable[..., Page]


@pytest.fixture(scope="session")
def compiled(tmp_path_factory: pytest.TempPathFactory) -> FileSystemBytecodeCache:
    """Templates, compiled once for all the applications of a run."""
    return FileSystemBytecodeCache(str(tmp_path_factory.mktemp("templates")))


@pytest.fixture
def app(app: Flask, compiled: FileSystemBytecodeCache) -> Flask:
    app.jinja_env.bytecode_cache = compiled
    return app


@pytest.fixture
def stores(app: Flask) -> State:
    """What the pages keep, to see what they kept."""
    return app.extensions["advisor"]


@pytest.fixture
def get(client: FlaskClient) -> Get:
    """Open a page."""
    return lambda path: Page(client.get(path, follow_redirects=True))


@pytest.fixture
def post(client: FlaskClient) -> Post:
    """Send a form, and go where it leads; with `files`, bytes by field, as a form that uploads does."""

    def send(path: str, data: dict[str, Any] | None = None, **files: bytes) -> Page:
        if not files:
            return Page(client.post(path, data=data, follow_redirects=True))
        parts = {k: FileStorage(io.BytesIO(v), filename=k if v else "") for k, v in files.items()}
        boundary, body = encode_multipart({**(data or {}), **parts})
        kind = f"multipart/form-data; boundary={boundary}"
        return Page(client.post(path, data=body, content_type=kind, follow_redirects=True))

    return send


@pytest.fixture
def sample(stores: State) -> int:
    """Keep a set of six bare sources as a sample, and return its id. Its sources are 1 to 6."""
    return stores.sets.create_set(bakery(), sample=True)


@pytest.fixture
def shipped(stores: State) -> int:
    """Keep the sample set that comes with the advisor, and return its id. Its sources are 1 to 6."""
    return stores.sets.create_set(sample_set(), sample=True)
