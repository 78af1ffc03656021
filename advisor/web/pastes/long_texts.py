"""Texts that are too long to stand in a page: kept on the laptop for who sent them, shown by some lines.

A page that carried them would be as heavy as they are, each time it is sent. They are kept packed, a few for
each phone, and gone with the server.
"""

import re
import threading
import zlib
from collections import OrderedDict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import cast

from flask import current_app

from ...model import Problem, Refused
from ...model.sets.phrases import counted
from ..access.sessions import person

KEPT = "kept"
"""The field of a form that names a text which stays on the laptop."""
WHOLE = 40_000
"""Longer texts are shown by some of their lines. [sign]"""
MOST_OF_ONE = 4
"""The most texts that are kept of one phone."""
MOST_BYTES = 24_000_000
"""The most that is kept of all phones together, packed. [byte]"""
_FIRST_LINES = 6
_OTHER_LINES = 20
_LINE = 200
"""So much of a line is shown. [sign]"""
_EXTENSION = "long texts"


@dataclass(frozen=True)
class ShownText:
    """A text for its field; of one that is not `whole`, some `lines`, how many it has, and its `key`."""

    text: str
    whole: bool
    lines: tuple[str, ...] = ()
    count: str = ""
    key: str = ""


class KeptTexts:
    """Texts by phone and key, the one that nobody asked for the longest going first."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most = most_bytes
        self._kept: OrderedDict[tuple[int | None, str], bytes] = OrderedDict()
        self._lock = threading.Lock()

    def keep(self, phone: int | None, text: str) -> str:
        """Keep a text of a phone, in place of what is too much, and return its key."""
        plain = text.encode("utf-8", "surrogatepass")
        key, packed = sha256(plain).hexdigest()[:32], zlib.compress(plain, 1)
        with self._lock:
            self._kept.pop((phone, key), None)
            self._kept[phone, key] = packed
            own = [name for name in self._kept if name[0] == phone]
            for name in own[:-MOST_OF_ONE]:
                del self._kept[name]
            while sum(map(len, self._kept.values())) > self._most:
                self._kept.popitem(last=False)
        return key

    def find(self, phone: int | None, key: str) -> str | None:
        """Return a text that a phone sent; None where that is gone."""
        with self._lock:
            packed = self._kept.get((phone, key))
            if packed is None:
                return None
            self._kept.move_to_end((phone, key))
        return zlib.decompress(packed).decode("utf-8", "surrogatepass")


def _texts() -> KeptTexts:
    return cast(KeptTexts, current_app.extensions.setdefault(_EXTENSION, KeptTexts()))


def keep_text(text: str) -> str:
    """Keep a text of this phone on the laptop, and return its key."""
    return _texts().keep(person().phone_id, text)


def kept_text(key: str) -> str | None:
    """Return a text that this phone sent, by its key; None where it is gone."""
    return _texts().find(person().phone_id, key)


def given_text(form: Mapping[str, str]) -> str:
    """Return the text in a form's field; where that is empty, the one that stayed on the laptop.

    Raises Refused where it did not stay.
    """
    text, key = form.get("text", ""), form.get(KEPT, "")
    if text.strip() or not key:
        return text
    found = kept_text(key)
    if found is None:
        raise gone()
    return found


def gone() -> Refused:
    """Return the refusal of a form whose text did not stay on the laptop."""
    says = "the laptop no longer has this text"
    return Refused.one("text", says, "paste it again, or choose its file")


def shown_text(text: str, problems: Collection[Problem] = (), rows: Sequence[int] = ()) -> ShownText:
    """Return a text as a page shows it; one that is too long is kept.

    Of that the first lines are shown, those that `problems` name, and those by their numbers, `rows`.
    """
    if len(text) <= WHOLE:
        return ShownText(text, whole=True)
    named = [int(n) for p in problems for n in re.findall(r"\bline (\d{1,6})\b", f"{p.where} {p.says}")]
    named += rows
    lines_in_all = text.count("\n") + 1
    shown = sorted({*range(1, _FIRST_LINES + 1), *named[:_OTHER_LINES]})
    lines = text.split("\n", shown[-1])  # of hundreds of thousands only those are made
    some = tuple(f"{n}  {lines[n - 1][:_LINE]}" for n in shown if 0 < n <= lines_in_all)
    return ShownText("", whole=False, lines=some, count=counted(lines_in_all, "line"), key=keep_text(text))
