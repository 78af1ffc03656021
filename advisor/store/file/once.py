"""Writes that a phone may send again, and that are done once: each bears a key, kept with what it wrote.

On a poor link a phone cannot know whether a write arrived, so it sends it again until it is answered. Key
and write are one transaction: the key is there if, and only if, the write is.

References
----------
IETF HTTP API working group, draft "The Idempotency-Key HTTP Header Field".
"""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from ...model import Refused
from ...model.basis.problems import short

_KEY = re.compile(r"[A-Za-z0-9_-]{16,64}", re.ASCII)


class AlreadyDone(Exception):
    """What bears this key was done before, and nothing was written now.

    `answer` is where it led; empty where that was not remembered.
    """

    def __init__(self, answer: str) -> None:
        super().__init__("this was done already")
        self.answer = answer


@dataclass
class _Asked:
    key: str
    who: str
    claimed: bool = False


_asked: ContextVar[_Asked | None] = ContextVar("asked", default=None)


@contextmanager
def once(key: str, who: str = "") -> Iterator[None]:
    """Do what is inside once for `key`, which is 16 to 64 letters, digits, hyphens and underscores.

    The first transaction inside keeps the key too. Where it is kept already that raises AlreadyDone
    before anything is written; the transactions that follow do not ask again. Raises Refused for another key.
    """
    if not _KEY.fullmatch(key):
        raise Refused.one(
            "once",
            f"{short(key)} is no key of a write",
            "16 to 64 letters, digits, hyphens and underscores: open the page again",
        )
    token = _asked.set(_Asked(key, who))
    try:
        yield
    finally:
        _asked.reset(token)


def claim(conn: sqlite3.Connection, at: str) -> None:
    """Keep the key of the `once` around it, inside a transaction that began; raises AlreadyDone."""
    asked = _asked.get()
    if asked is None or asked.claimed:
        return
    row = conn.execute("SELECT answer FROM once WHERE key = ?", (asked.key,)).fetchone()
    if row is not None:
        raise AlreadyDone(row["answer"])
    conn.execute("INSERT INTO once (key, at, who, answer) VALUES (?, ?, ?, '')", (asked.key, at, asked.who))


def claimed() -> None:
    """Note that the transaction with the key was committed."""
    asked = _asked.get()
    if asked is not None:
        asked.claimed = True
