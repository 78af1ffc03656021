"""The application as generated requests find it: each is sent, timed, and what must not be is noted."""

import functools
import gc
import gzip
import time
from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path

from flask import Flask

from advisor.imports import read_anything
from advisor.model import Refused
from advisor.web.live import aside
from advisor.web.live.jobs import AT_ONCE
from advisor.web.pages.sets import whites
from tests.web.phones import BASE, open_app

HOST = "http://127.0.0.1:8080"
READ, READ_TEXT, CODE, INVITE, FORGET = "(read)", "(read text)", "(code)", "(invite)", "(forget)"
HOLD, LET_GO = "(hold)", "(let go)"
"""Not methods of HTTP.

The body goes to `read_anything`, as bytes or text; the code by which phones join; to make a link for a phone
that may give roles; to forget every plan that is kept from one page to the next. To hold all long work back
once none runs, so that it outlasts its page on any machine; and to let it go.
"""
_SHOWN = 300


@dataclass(frozen=True)
class Ask:
    """A request to send, or bytes to read."""

    method: str
    path: str = "/"
    body: bytes = b""
    headers: tuple[tuple[str, str], ...] = ()
    base: str = HOST
    address: str = "127.0.0.1"

    def __str__(self) -> str:
        headers = " ".join(f"{k}={v[:60]!r}" for k, v in self.headers if k not in ("Origin", "X-Token"))
        cut = f" … of {len(self.body)} bytes" if len(self.body) > _SHOWN else ""
        return f"{self.method} {self.path[:_SHOWN]} {headers} {self.body[:_SHOWN]!r}{cut}"


@dataclass(frozen=True)
class Told:
    """What came back, after how long [s], of which the processor worked so long on it [s].

    200 and 422 stand for read and refused too.
    """

    status: int
    seconds: float = 0.0
    worked: float = 0.0
    location: str = ""
    text: str = ""
    cookie: str = ""

    @property
    def works(self) -> bool:
        """Whether it says that what was asked for is being worked out: on a slow machine more is."""
        return self.status == 503 and ('id="progress"' in self.text or '"working":' in self.text)


class Door:
    """An application over a data folder, open to a network that is not there."""

    def __init__(self, data: Path) -> None:
        self.app: Flask = open_app(data)
        self.app.testing = False  # a mistake is answered as a person would see it: by 500
        self._client = self.app.test_client(use_cookies=False)

    def ask(self, ask: Ask) -> Told:
        """Send a request, and return what it came to."""
        began, idle = time.perf_counter(), time.thread_time()
        if ask.method == CODE:
            told = Told(200, text=self.app.extensions["people"].secrets.codes.typed)
        elif ask.method == INVITE:
            told = Told(200, text=self.app.extensions["people"].invites.make())
        elif ask.method == FORGET:
            _forget()
            told = Told(200)
        elif ask.method in (HOLD, LET_GO):
            for turns in (jobs._turns for jobs in (aside.JOBS, whites.JOBS) for _ in range(AT_ONCE)):
                (turns.acquire if ask.method == HOLD else turns.release)()
            told = Told(200)
        elif ask.method in (READ, READ_TEXT):
            told = Told(_read(ask))
        else:
            told = self._answer(ask)
        return replace(told, seconds=time.perf_counter() - began, worked=time.thread_time() - idle)

    def close(self) -> None:
        """Close the data file."""
        self.app.extensions["database"].close()

    def _answer(self, ask: Ask) -> Told:
        with self._client.open(
            ask.path,
            method=ask.method,
            base_url=ask.base,
            data=ask.body,
            headers=list(ask.headers),
            environ_overrides={"REMOTE_ADDR": ask.address},
        ) as answer:
            location = answer.headers.get("Location", "")
            cookie = answer.headers.get("Set-Cookie", "").partition(";")[0]
            data = answer.get_data()
            data = (
                gzip.decompress(data) if answer.headers.get("Content-Encoding") == "gzip" and data else data
            )
            text = data.decode("utf-8", "replace")
            return Told(answer.status_code, location=location, text=text, cookie=cookie)


def _forget() -> None:
    for kept in [one for one in gc.get_objects() if isinstance(one, functools._lru_cache_wrapper)]:
        if kept.__module__.startswith(("advisor.advice.", "advisor.web.")):
            kept.cache_clear()


def _read(ask: Ask) -> int:
    text = ask.body.decode("utf-8", "surrogatepass") if ask.method == READ_TEXT else ask.body
    try:
        read_anything(text)
    except Refused:
        return 422
    except Exception as mistake:  # told with what was read
        print(repr(mistake))
        return 500
    return 200


@dataclass
class Tally:
    """What was seen of some requests; `faults` says in words what must not be, `slow` what took too long."""

    longest: float
    """A request may take no longer. [s]"""
    statuses: Counter[int] = field(default_factory=Counter)
    slowest: list[tuple[Told, Ask]] = field(default_factory=list)
    slow: list[Ask] = field(default_factory=list)
    views: set[str] = field(default_factory=set)
    """Those that were sent forms which a page had shown."""
    faults: list[str] = field(default_factory=list)

    def add(self, ask: Ask, told: Told) -> Told:
        """Note a request with its answer."""
        self.statuses[told.status] += 1
        self.slowest = sorted([*self.slowest, (told, ask)], key=lambda one: -one[0].seconds)[:3]
        if told.status >= 500 and not told.works:
            self.faults.append(f"{told.status}: {ask}")
        if told.seconds > self.longest:
            self.slow.append(ask)
        return told


@dataclass(frozen=True)
class Who:
    """Somebody who asks: from where, with which cookie, and with the token of their forms."""

    base: str = HOST
    address: str = "127.0.0.1"
    cookie: str = ""
    token: str = ""

    def asks(
        self,
        method: str,
        path: str,
        body: bytes = b"",
        kind: str = "",
        also: tuple[tuple[str, str], ...] = (),
    ) -> Ask:
        """Make a request as this one's browser does; `also` are further headers, which win."""
        own = {"Origin": self.base, "X-Token": self.token, "Cookie": self.cookie, "Content-Type": kind}
        named = {name.lower() for name, _ in also}
        kept = tuple((k, v) for k, v in own.items() if v and k.lower() not in named)
        return Ask(method, path, body, (*kept, *also), self.base, self.address)


STRANGER = Who(BASE, "192.168.7.66")
"""A browser on the network that never joined."""
