"""What every test may use: an application over an empty data folder, and a client that is its own page."""

import os
import shutil
from collections import Counter
from collections.abc import Callable, Hashable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any, ClassVar

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import settings
from werkzeug.routing import Rule

from advisor.web.access.sessions import form_token
from advisor.web.app import create_app
from advisor.web.live import aside

Closing = Callable[[Flask], Flask]


# No test is timed: on a busy machine an example takes as long as it takes.
settings.register_profile("untimed", settings(deadline=None))
settings.load_profile("untimed")
aside.PATIENCE = 60.0


@pytest.fixture
def closing() -> Iterator[Closing]:
    """Take an application and give it back; when the test is over, its data file is closed."""
    with ExitStack() as stack:

        def later(app: Flask) -> Flask:
            stack.callback(app.extensions["database"].close)
            return app

        yield later


class RememberedRule(Rule):
    """A route whose builder is compiled once for all applications of a run: it took half of their time."""

    _builders: ClassVar[dict[Hashable, Any]] = {}

    def _compile_builder(self, append_unknown: bool = True) -> Any:
        of = (append_unknown, self.rule, tuple(self._trace), repr(self.defaults))
        if of not in self._builders:
            self._builders[of] = super()._compile_builder(append_unknown)
        return self._builders[of]


Flask.url_rule_class = RememberedRule


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
