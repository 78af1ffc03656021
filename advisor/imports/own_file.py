"""A JSON file that the advisor wrote, read back; or why it is none, in words."""

import json
import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any, NoReturn, TypeVar

from pydantic import BaseModel, ValidationError

from ..model import Refused, refuse

LARGEST = 16_000_000
"""The longest file that is read. [characters]"""
_MOST_TOLD = 200
"""Where more is wrong than this, the file is something else, and its faults are not told one by one."""
_Made = TypeVar("_Made", bound=BaseModel)


@dataclass(frozen=True)
class OwnFile:
    """What tells one sort of our files: the field that holds the number of its `format`.

    It is `called` so, and `short` in a word. `exported` says what such a file comes from, and `saved_with` is
    the button for that. `elsewhere` says where a table goes in, and `others` what is said of the fields that
    tell other sorts of our files.
    """

    field: str
    format: int
    called: str
    short: str
    saved_with: str
    exported: str
    elsewhere: str
    others: tuple[tuple[str, str], ...] = ()


def text_of(data: bytes, exported: str) -> str:
    """Return the text of a file, in whichever of its encodings JSON is written. Raises Refused."""
    if len(data) > LARGEST:
        raise Refused.one("", f"the file has {len(data)} bytes", f"{LARGEST} at most")
    if not data.strip():
        raise Refused.one("", "the file is empty", exported)
    try:
        return str(data, json.detect_encoding(data))
    except UnicodeDecodeError:
        raise Refused.one("", "the file is not text", exported) from None


def read_own(text: str, own: OwnFile, model: type[_Made]) -> _Made:
    """Read the text of a file of ours as `model`. Raises Refused, which says where in the file."""
    if len(text) > LARGEST:
        raise Refused.one("", f"the text has {len(text)} characters", f"{LARGEST} at most")
    try:
        found = _parsed(text, own)
        _ours(found, own, model.model_fields)
        return model.model_validate(found)
    except RecursionError:
        raise Refused.one("", "the JSON is nested too deeply", own.exported) from None
    except ValidationError as error:
        if error.error_count() > _MOST_TOLD:
            raise Refused.one("", f"{error.error_count()} things in it are wrong", own.exported) from None
        raise _printable(refuse(error)) from None


def _parsed(text: str, own: OwnFile) -> Any:
    bare = text.lstrip("\ufeff \t\r\n")
    if not bare:
        raise Refused.one("", "there is no text", own.exported)
    if bare.startswith("<"):
        raise Refused.one("", "this looks like a web page or XML", own.exported)
    if bare[0] not in "{[" and re.search(r"[,;\t]", bare.partition("\n")[0]):
        says = f"this looks like a table (CSV), not a {own.called}"
        raise Refused.one("", says, f"{own.exported}. {own.elsewhere[:1].upper()}{own.elsewhere[1:]}")
    try:
        return json.loads(bare, parse_constant=_refuse_number, parse_float=_float, parse_int=_int)
    except json.JSONDecodeError as error:
        at = f"line {error.lineno}, column {error.colno}"
        if error.pos >= len(bare.rstrip()) or error.msg.startswith("Unterminated string"):
            again = f"save it again with {own.saved_with}, or copy it again from its beginning to its end"
            allowed = f"the whole file: {again}"
            raise Refused.one("", f"the JSON breaks off at {at}: its end is missing", allowed) from None
        near = bare[error.pos : error.pos + 20]
        says = f"this is not JSON at {at}, at {near!r}: {error.msg[:1].lower()}{error.msg[1:]}"
        raise Refused.one("", says, own.exported) from None


def _float(digits: str) -> float:
    value = float(digits)
    return value if abs(value) != float("inf") else _refuse_number(digits)


def _int(digits: str) -> int:
    return int(digits) if len(digits) <= 30 else _refuse_number(digits)


def _refuse_number(digits: str) -> NoReturn:
    shown = digits if len(digits) <= 20 else f"{digits[:17]}…"
    raise Refused.one("", f"the JSON holds {shown}, which no quantity can be", "numbers within their ranges")


def _ours(found: object, own: OwnFile, fields: Collection[str]) -> None:
    """Refuse what is another file, comes from a newer advisor, or holds more than such a file does."""
    if not isinstance(found, dict) or own.field not in found:
        for field, says in own.others:
            if isinstance(found, dict) and field in found:
                raise Refused.one("", says, own.exported)
        says = f'this file is not a {own.called}: "{own.field}" is missing'
        raise Refused.one("", says, own.exported)
    number = found[own.field]
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise Refused.one(own.field, f"the format {str(number)[:20]!r} is not known", str(own.format))
    if number > own.format:
        says = f"this comes from a newer advisor (format {number}, this one reads {own.format})"
        raise Refused.one(own.field, says, "the newer advisor on this laptop, or an export of an older one")
    strange = [str(key)[:60] for key in found if key not in fields]
    if strange:
        more = f" and {len(strange) - 10} more" if len(strange) > 10 else ""
        says = f"{', '.join(map(repr, strange[:10]))}{more}: not a field of a {own.short}"
        raise _printable(Refused.one("", says, ", ".join(fields)))


def _printable(refused: Refused) -> Refused:
    """Return the same problems without halves of signs, which JSON can write and no page can show."""
    return Refused(
        [
            p.model_copy(
                update={
                    field: getattr(p, field).encode("utf-8", "replace").decode()
                    for field in ("where", "says", "allowed")
                }
            )
            for p in refused.problems
        ]
    )
