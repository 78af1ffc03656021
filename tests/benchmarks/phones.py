"""Servers in processes of their own, and what a phone does to them: poll, and send each write once.

The advisor is imported inside the functions: a program that only polls starts without it.
"""

from __future__ import annotations

import http.client
import json
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

if TYPE_CHECKING:
    from advisor.model import LightSet, Reading

ROOT = Path(__file__).parents[2]
_ADVISOR = "import sys; from advisor.cli import main; sys.exit(main(['--data', sys.argv[1], '--port', '0']))"
_BARE = """
from flask import Flask
from waitress.server import create_server
from advisor.serve import SETTINGS
app = Flask("bare")
app.get("/")(lambda: "")
server = create_server(app, host="127.0.0.1", port=0, **SETTINGS)
print(f"at http://127.0.0.1:{server.effective_port}/ ", flush=True)
server.run()
"""


@contextmanager
def served(data: Path, lights: LightSet | None = None) -> Iterator[int]:
    """Serve a set, of six where none is given, from a data folder as the command does; return the port."""
    from advisor.store import Database, SetStore
    from tests.bakery import bakery

    with Database(data / "advisor.sqlite") as db:
        SetStore(db).create_set(lights or bakery())
    with _started(_ADVISOR, str(data)) as port:
        yield port


@contextmanager
def bare() -> Iterator[int]:
    """Serve an empty Flask application under the same settings of waitress; return the port."""
    with _started(_BARE) as port:
        yield port


@contextmanager
def _started(program: str, *arguments: str) -> Iterator[int]:
    command = [sys.executable, "-c", program, *arguments]
    process = subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    try:
        assert process.stdout is not None
        yield int(re.search(r"http://127\.0\.0\.1:(\d+)/", process.stdout.readline())[1])
    finally:
        process.terminate()
        process.wait(20)
        process.stdout.close()


class NoAnswer(Exception):
    """The link dropped: whether the server acted is not known."""


class Phone:
    """A phone of somebody at a port; `kept` leaves its connection open, as a browser does."""

    def __init__(self, port: int, who: str = "", *, kept: bool = True) -> None:
        self._port, self._kept = port, kept
        self._headers = {"Cookie": f"who={who}", "Origin": f"http://127.0.0.1:{port}"}
        self._link: http.client.HTTPConnection | None = None
        self.etag = ""

    def join(self) -> Phone:
        """Read a page, for the proof that the phone's forms are the advisor's own, until somebody answers."""
        page = b""
        while not page:
            with suppress(NoAnswer):
                _, _, page = self.ask("GET", "/sets/1")
        self._headers["X-Token"] = re.search(r'name="token" content="([^"]*)"', page.decode())[1]
        return self

    def ask(
        self, method: str, path: str, body: str | None = None, **headers: str
    ) -> tuple[int, http.client.HTTPMessage, bytes]:
        """Send a request; return status, headers and body. Raises NoAnswer."""
        if self._link is None:
            self._link = http.client.HTTPConnection("127.0.0.1", self._port, timeout=20)
        try:
            self._link.request(method, path, body, {**self._headers, **headers})
            response = self._link.getresponse()
            answer = response.status, response.headers, response.read()
        except (OSError, http.client.HTTPException) as error:
            self.close()
            raise NoAnswer from error
        if not self._kept:
            self.close()
        return answer

    def poll(self, path: str = "/live/1") -> int:
        """Ask for the pulse, as far as it is not known; return the status."""
        status, headers, _ = self.ask("GET", path, **({"If-None-Match": self.etag} if self.etag else {}))
        if status == 200:
            self.etag = headers.get("ETag", "")
        return status

    def send(self, path: str, data: dict[str, object], key: str) -> str:
        """Send a form under a key until somebody answers; return where it led."""
        while True:
            with suppress(NoAnswer):
                return self.send_once(path, data, key)

    def send_once(self, path: str, data: dict[str, object], key: str) -> str:
        """Send a form under a key; return where it led. Raises NoAnswer."""
        status, _, body = self.ask(
            "POST",
            path,
            urlencode(data),
            **{
                "Content-Type": "application/x-www-form-urlencoded",
                "Idempotency-Key": key,
                "Accept": "application/json",
            },
        )
        assert status == 200, (status, body[:300])
        return str(json.loads(body)["to"])

    def close(self) -> None:
        """Hang up."""
        if self._link is not None:
            self._link.close()
            self._link = None


def kept(data: Path) -> list[Reading]:
    """Return every reading of every source of the set, from the file itself."""
    from advisor.store import Database, SetStore

    with Database(data / "advisor.sqlite") as db:
        sets = SetStore(db)
        return [r.reading for s in sets.get_set(1).sources for r in sets.readings_of(s.id)]


def rate(port: int, seconds: float, path: str, phones: int) -> float:
    """Return how many requests a second are answered to phones that ask as fast as they can, one each."""
    command = [sys.executable, "-c", _FAST, str(port), str(seconds), path]
    programs = [subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) for _ in range(phones)]
    return sum(float(program.communicate()[0]) for program in programs)


_FAST = """
import sys
from tests.benchmarks.phones import fast
print(fast(int(sys.argv[1]), float(sys.argv[2]), sys.argv[3]))
"""


def fast(port: int, seconds: float, path: str) -> float:
    """Poll for some seconds without a pause; return the requests a second."""
    phone, count = Phone(port, "Fast"), 0
    phone.poll(path)
    began = time.perf_counter()
    while (took := time.perf_counter() - began) < seconds:
        assert phone.poll(path) in (200, 304)
        count += 1
    phone.close()
    return count / took
