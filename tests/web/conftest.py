"""Sets and sources to look at, and a client that reads the pages."""

import io
import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.datastructures import FileStorage
from werkzeug.test import encode_multipart

from advisor.model import (
    Kind,
    LightSet,
    Limits,
    Reading,
    Source,
    Target,
)
from advisor.web.sample import add_sample
from advisor.web.state import State
from tests.bakery import bakery
from tests.conftest import in_no_hurry_to_disk
from tests.heads import keep_tested
from tests.web.page import Page
from tests.web.teaching import gel

Get = Callable[[str], Page]
Post = Callable[..., Page]


@pytest.fixture(autouse=True)
def no_hurry() -> Iterator[None]:
    with in_no_hurry_to_disk():
        yield


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
    """Keep the sample set that comes with the advisor, and return its id. Its sources are 1 to 6.

    Its heads are 2 to 4; before them there is one with its test.
    """
    keep_tested(stores.heads)
    return add_sample(stores)


ONE_LAYER = Limits(max_layers=1)


@pytest.fixture
def stage(stores):
    """Keep a set of one backlight and one window, which take a full CTB and a quarter CTO."""
    return stores.sets.create_set(
        LightSet(
            name="Stage 4",
            target=Target(cct=5600),
            limits=ONE_LAYER,
            spare_percent=0,
            sources=[
                Source(name="Backlight", kind=Kind.TUNGSTEN, reading=Reading(cct=3200, duv=0)),
                Source(name="Window", kind=Kind.DAYLIGHT, reading=Reading(cct=6800, duv=0.003)),
            ],
        )
    )


@pytest.fixture
def change(stores):
    """Change a source behind the page's back."""

    def update(source_id, **fields):
        now = stores.sets.get_source(source_id)
        stores.sets.update_source(source_id, now.source.model_copy(update=fields), revision=now.revision)

    return update


@pytest.fixture
def work(sample, stores):
    """Return what is kept of the work on a source."""
    return lambda number=1: stores.sets.get_source(number).source.work


@pytest.fixture
def act(sample, press):
    """Press one of the buttons of a source of the sample, as `press` does."""
    return press


@pytest.fixture
def press(post, stores):
    """Press one of the buttons of a source, whose page was just seen unless `revision` says otherwise."""

    def at(action, gels=None, number=1, dial=None, revision=None, **more):
        stack = {} if gels is None else {"stack": json.dumps({"gels": gels, "dial": dial})}
        seen = stores.sets.get_source(number).revision if revision is None else revision
        return post(f"/sources/{number}/work", {"revision": seen, "action": action, **stack, **more})

    return at


@pytest.fixture
def read_as_shown(get, post):
    """Take a reading of source 1 with what its form says unseen: what hangs, its level and its modifier."""

    def take(**typed):
        fields = get("/sources/1").fields
        kept = {name: fields[name] for name in ("hung", "level", "modifier", "token") if name in fields}
        return post("/sources/1/reading", {**kept, **typed})

    return take


@pytest.fixture
def read(sample, post, stores):
    """Take a reading of a source; by its form's first choice where the page has one."""

    def take(cct, duv, lux="", number=1, **more):
        return post(f"/sources/{number}/reading", {"cct": cct, "duv": duv, "lux": lux, **more})

    return take


@pytest.fixture
def paste(sample, post):
    """Send the page of a paste with a text; with None, as one on which the text is too long to stand."""

    def send(text="", data=None, file=b""):
        fields = {**(data or {}), "text": text}
        return post(f"/sets/{sample}/paste", {k: v for k, v in fields.items() if v is not None}, file=file)

    return send


@pytest.fixture
def save(paste):
    """Paste, change what stands on the page, and save."""

    def run(text, **changed):
        page = paste(text)
        ticks = dict(page.ticked)
        return paste(text, {**page.fields, **ticks, **changed, "save": "yes"})

    return run


@pytest.fixture
def sheet(stores):
    """A half CTO that is a tenth stronger than its label, and greener."""
    return gel(stores).model_copy(update={"mired": 88.0, "cc": 1.5})


@pytest.fixture
def teach(post):
    return lambda form, **files: post("/gels/teach", form, **files)
