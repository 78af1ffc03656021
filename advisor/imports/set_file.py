"""The file of a set (`model/whole.py`) read back; or why it is none that can be restored, in words."""

import json
import re
from typing import Any, NoReturn

from pydantic import ValidationError

from ..model import Refused, refuse
from ..model.sets.whole import FORMAT, Whole

LARGEST = 16_000_000
"""The longest file that is read. [characters]"""
_MOST_TOLD = 200
"""Where more is wrong than this, the file is something else, and its faults are not told one by one."""
_EXPORTED = "a file that the advisor saved with Export"


def text_of(data: bytes) -> str:
    """Return the text of a file, in whichever of its encodings JSON is written. Raises Refused."""
    if len(data) > LARGEST:
        raise Refused.one("", f"the file has {len(data)} bytes", f"{LARGEST} at most")
    if not data.strip():
        raise Refused.one("", "the file is empty", _EXPORTED)
    try:
        return str(data, json.detect_encoding(data))
    except UnicodeDecodeError:
        raise Refused.one("", "the file is not text", _EXPORTED) from None


def read_whole(text: str) -> Whole:
    """Read a file that `Whole.to_json` wrote. Raises Refused, with the place in the file."""
    if len(text) > LARGEST:
        raise Refused.one("", f"the text has {len(text)} characters", f"{LARGEST} at most")
    try:
        found = _parsed(text)
        _ours(found)
        return Whole.model_validate(found)
    except RecursionError:
        raise Refused.one("", "the JSON is nested too deeply", _EXPORTED) from None
    except ValidationError as error:
        if error.error_count() > _MOST_TOLD:
            raise Refused.one("", f"{error.error_count()} things in it are wrong", _EXPORTED) from None
        raise _printable(refuse(error)) from None


def _parsed(text: str) -> Any:
    bare = text.lstrip("\ufeff \t\r\n")
    if not bare:
        raise Refused.one("", "there is no text", _EXPORTED)
    if bare.startswith("<"):
        raise Refused.one("", "this looks like a web page or XML", _EXPORTED)
    if bare[0] not in "{[" and re.search(r"[,;\t]", bare.partition("\n")[0]):
        allowed = f"{_EXPORTED}; readings go in by Paste readings, gels by the gel table's import"
        raise Refused.one("", "this looks like a table (CSV), not a record of a set", allowed)
    try:
        return json.loads(bare, parse_constant=_refuse_number, parse_float=_float, parse_int=_int)
    except json.JSONDecodeError as error:
        at = f"line {error.lineno}, column {error.colno}"
        if error.pos >= len(bare.rstrip()) or error.msg.startswith("Unterminated string"):
            allowed = (
                "the whole file: save it again with Export, or copy it again from its beginning to its end"
            )
            raise Refused.one("", f"the JSON breaks off at {at}: its end is missing", allowed) from None
        near = bare[error.pos : error.pos + 20]
        says = f"this is not JSON at {at}, at {near!r}: {error.msg[:1].lower()}{error.msg[1:]}"
        raise Refused.one("", says, _EXPORTED) from None


def _float(digits: str) -> float:
    value = float(digits)
    return value if abs(value) != float("inf") else _refuse_number(digits)


def _int(digits: str) -> int:
    return int(digits) if len(digits) <= 30 else _refuse_number(digits)


def _refuse_number(digits: str) -> NoReturn:
    shown = digits if len(digits) <= 20 else f"{digits[:17]}…"
    raise Refused.one("", f"the JSON holds {shown}, which no quantity can be", "numbers within their ranges")


def _ours(found: object) -> None:
    """Refuse what is no record, comes from a newer advisor, or holds more than a record does."""
    if not isinstance(found, dict) or "advisor_set" not in found:
        says = 'this JSON is no record of a set: it has no "advisor_set"'
        raise Refused.one("", says, _EXPORTED)
    number = found["advisor_set"]
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise Refused.one("advisor_set", f"the format {str(number)[:20]!r} is not known", str(FORMAT))
    if number > FORMAT:
        says = f"this comes from a newer advisor (format {number}; this one reads {FORMAT})"
        raise Refused.one(
            "advisor_set", says, "the newer advisor on this laptop, or an export of an older one"
        )
    strange = [str(key)[:60] for key in found if key not in Whole.model_fields]
    if strange:
        more = f" and {len(strange) - 10} more" if len(strange) > 10 else ""
        says = f"{', '.join(map(repr, strange[:10]))}{more}: not a field of a record"
        raise _printable(Refused.one("", says, ", ".join(Whole.model_fields)))


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
