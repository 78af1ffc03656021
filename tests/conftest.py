"""What every test may use: an application over an empty data folder, and a client that is its own page."""

import gc
import os
import shutil
import sqlite3
from collections import Counter
from collections.abc import Callable, Generator, Hashable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from copy import copy
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import settings
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from werkzeug.routing import Map, Rule, RuleFactory

from advisor.store.file import database
from advisor.store.file.migrate import migrate
from advisor.store.file.migrations import MIGRATIONS
from advisor.web import app as web_app
from advisor.web import first_paint
from advisor.web.access.sessions import form_token
from advisor.web.app import create_app
from advisor.web.live import aside
from tests.thorough import cases

Closing = Callable[[Flask], Flask]


# No test is timed: on a busy machine an example takes as long as it takes.
settings.register_profile("untimed", settings(deadline=None, max_examples=cases(100)))
settings.load_profile("untimed")
aside.PATIENCE = 60.0
# Garbage is looked for less often: by default that took an eighth of the processor's time on pages, since
# all that was made for a run was looked through again and again.
gc.set_threshold(50_000, 20, 10)


@pytest.fixture
def closing() -> Iterator[Closing]:
    """Take an application and give it back; when the test is over, its data file is closed."""
    with ExitStack() as stack:

        def later(app: Flask) -> Flask:
            stack.callback(app.extensions["database"].close)
            return app

        yield later


class RememberedMap(Map):
    """Routes, compiled once for all applications of a run that have the same: it took half of their time."""

    _known: ClassVar[dict[Hashable, Map]] = {}

    def __init__(self, *args: Any, **options: Any) -> None:
        self._added: list[Rule] = []
        super().__init__(*args, **options)

    def add(self, rulefactory: RuleFactory) -> None:
        """Note a rule: it is bound, as part of all of them, once a request is to be answered."""
        self._added += rulefactory.get_rules(self)
        self._remap = True

    def update(self) -> None:
        with self._remap_lock:
            if not self._remap:
                return
            of = (self.host_matching, *map(_told, self._added))
            if of not in self._known:
                known = Map(host_matching=self.host_matching, converters=self.converters)
                for rule in self._added:
                    known.add(copy(rule))
                known.update()
                self._known[of] = known
            self._matcher = self._known[of]._matcher
            self._rules_by_endpoint = self._known[of]._rules_by_endpoint
            self._remap = False


def _told(rule: Rule) -> Hashable:
    """Return all that a rule was made from."""
    given = {**rule.get_empty_kwargs(), "methods": sorted(rule.methods or ())}
    return rule.rule, repr(given), getattr(rule, "provide_automatic_options", None)


class RememberedTemplates(BytecodeCache):
    """Templates, compiled once for all applications of a run."""

    def __init__(self) -> None:
        self.codes: dict[Hashable, Any] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        bucket.code = self.codes.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.codes[bucket.key, bucket.checksum] = bucket.code


Flask.url_map_class = RememberedMap
Flask.jinja_options = {"bytecode_cache": RememberedTemplates()}
first_paint.shortened = cache(first_paint.shortened)
web_app.fingerprint = cache(web_app.fingerprint)


@cache
def _newest() -> sqlite3.Connection:
    """A data file in memory, brought to the newest schema step by step."""
    made = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    migrate(made, Path(":memory:"), MIGRATIONS, database.utc_now)
    return made


@contextmanager
def in_one_step() -> Iterator[None]:
    """Bring an empty data file to the newest schema by a copy: what each step does is tested apart."""

    def brought(connection: sqlite3.Connection, path: Path, steps: Sequence[Any], now: Any) -> None:
        if steps is MIGRATIONS and not connection.execute("SELECT 1 FROM sqlite_schema").fetchone():
            _newest().backup(connection)
        else:
            migrate(connection, path, steps, now)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(database, "migrate", brought)
        yield


@contextmanager
def in_no_hurry_to_disk() -> Iterator[None]:
    """Let no commit wait for the disk, nor a new file be made in steps: tests/store alone is for these."""
    connect = database._connect

    def connected(path: Path) -> sqlite3.Connection:
        connection = connect(path)
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("PRAGMA foreign_keys = ON")
        return connection

    with in_one_step(), pytest.MonkeyPatch.context() as patch:
        patch.setattr(database, "_connect", connected)
        patch.setattr(database, "_prepare", lambda connection: connection)
        yield


@pytest.fixture(scope="session", autouse=True)
def started_as_users_start_it(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Let no command or server that a test starts find SciPy, which users do not have.

    colour-science loads it where it is there, which takes as long as all the rest of it.
    """
    folder = tmp_path_factory.mktemp("without")
    (folder / "scipy.py").write_text('raise ImportError("users have none")\n', encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONPATH", str(folder), prepend=os.pathsep)
        yield


@pytest.fixture(scope="session")
def nothing_yet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder as the first start leaves it; to be copied."""
    folder = tmp_path_factory.mktemp("first") / "data"
    create_app(folder).extensions["database"].close()
    return folder


@pytest.fixture
def app(tmp_path: Path, nothing_yet: Path, closing: Closing) -> Flask:
    shutil.copytree(nothing_yet, tmp_path / "data")
    app = closing(create_app(tmp_path / "data"))
    app.testing = False  # errors are to be answered as a person would see them
    return app


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """A browser on the advisor's own pages: it names its origin when it writes, and has the forms' token."""
    return own_pages(app)


LONG = (
    "browser",
    "benchmarks",
    "https",
    "test_network.py",
    "test_only_required.py",
    "test_restore_killed.py",
)
"""Folders and files of the longest tests: those in a browser, and those that start the command."""


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest tests first: others use the processor while they wait, and none is left for the end.

    Of several workers the first begins with them; what it does not come to, the others take from its end.
    """
    items.sort(
        key=lambda item: next((k for k, name in enumerate(LONG) if name in item.path.parts), len(LONG))
    )


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection() -> Generator[None, Any, Any]:
    """Look for no garbage while tests are collected, and leave them out of every later search.

    All that is made then stays: a million objects.
    """
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Write down for run.py what was skipped, and why: its last line says so."""
    if file := os.environ.get("ADVISOR_SKIPPED"):
        reports = terminalreporter.stats.get("skipped", [])
        reasons = Counter(str(report.longrepr[2]).removeprefix("Skipped: ") for report in reports)
        lines = (f"{many} tests: {why}" if many > 1 else f"a test: {why}" for why, many in reasons.items())
        Path(file).write_text("".join(f"{' '.join(line.split())}\n" for line in lines), encoding="utf-8")


def own_pages(app: Flask) -> FlaskClient:
    """Open a browser at the laptop, on the advisor's own pages."""
    client = app.test_client()
    client.environ_base["HTTP_ORIGIN"] = "http://localhost"
    with app.test_request_context():
        client.environ_base["HTTP_X_TOKEN"] = form_token()
    return client
