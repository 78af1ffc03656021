"""All that is known of a set, as one JSON file that restores it elsewhere.

    {"advisor_set": 1, "uid": …, "exported_at": …, "changed_at": …, "sample": …,
     "set": {the set without its sources}, "target_source": …,
     "sources": [{"readings": [{"taken_at", "who", "reading"}], "source": {…}, "removed_at": …}],
     "gels": [rows of the table in force], "history": [{"at", "who", "what"}]}

Times are ISO 8601 in UTC; what is not there is left out. `advisor_set` is the number of the format: it
rises when an older advisor could not read a file whole.
"""

import json
import re
from datetime import UTC, datetime
from typing import Annotated, Any, NoReturn, Self

from pydantic import AfterValidator, Field, ValidationError, ValidationInfo, field_validator, model_validator

from .base import Model, text, utc_text
from .gel import Gel
from .lightset import LightSet
from .problems import Refused, refuse, wrong
from .reading import Reading
from .source import MAX_READINGS, Source

FORMAT = 1
"""The number of the format that is written and read."""
LARGEST = 16_000_000
"""The longest file that is read. [characters]"""
MAX_LINES = 100_000
"""The most lines of history; older ones are left out."""
_MOST_TOLD = 200
"""Where more is wrong than this, the file is something else, and its faults are not told one by one."""
_EXPORTED = "a file that the advisor saved with Export"


def utc(value: str) -> str:
    """Return a time in ISO 8601, with its zone, as the store writes it: in UTC and of fixed width."""
    try:
        at = datetime.fromisoformat(value)
        if at.tzinfo is None:
            raise ValueError
        at = at.astimezone(UTC)
    except (ValueError, OverflowError):
        raise wrong(
            f"{value[:40]!r} is not a time with its zone", "ISO 8601, such as 2024-11-25T05:41:00Z"
        ) from None
    return utc_text(at)


def _uid(value: str) -> str:
    if not re.fullmatch(r"[0-9A-Za-z-]{1,64}", value):
        raise wrong(f"{value[:70]!r} is not the number of a set", "1 to 64 letters, digits and hyphens")
    return value


Time = Annotated[str, AfterValidator(utc)]
Uid = Annotated[str, AfterValidator(_uid)]
Who = Annotated[str, text("who", 80)]


class DatedReading(Model):
    """A reading with when it was taken, and by whom; `who` is empty where nobody said."""

    taken_at: Time
    who: Who = ""
    reading: Reading


class WholeSource(Model):
    """A source with all its readings, oldest first; the newest bare one counts.

    In JSON `source` stands without the readings. `removed_at` is when it was taken out of the set.
    """

    readings: list[DatedReading] = Field(min_length=1, max_length=MAX_READINGS + 1)
    source: Source
    removed_at: Time | None = None

    @field_validator("source", mode="before")
    @classmethod
    def _with_readings(cls, value: object, info: ValidationInfo) -> object:
        if not isinstance(value, dict):
            return value
        for field in ("reading", "readings"):
            if field in value:
                raise wrong(
                    f"{field} stands inside the source", "readings beside the source, with their times"
                )
        dated = info.data.get("readings")
        if dated is None:  # already refused; a reading that stands in lets the rest be checked
            return {**value, "reading": Reading(cct=5600.0, duv=0.0)}
        readings = [d.reading for d in dated]
        bare = [k for k, reading in enumerate(readings) if not reading.gels]
        if not bare:
            raise wrong("every reading of it was taken behind gels", "one of the bare source, or more")
        return {**value, "reading": readings.pop(bare[-1]), "readings": readings}


class LogLine(Model):
    """What somebody did, in words."""

    at: Time
    who: Who = ""
    what: Annotated[str, text("what", 1000)]


class Whole(Model):
    """A set with its sources, removed ones too, their readings, the gels' labels and the history.

    `set` has no sources. Where the target matches a source, `target_source` is that one's place in
    `sources`, from 0. `gels` are there to say what the labels meant.
    """

    advisor_set: int = FORMAT
    uid: Uid
    exported_at: Time
    changed_at: Time
    sample: bool = False
    set: LightSet
    target_source: int | None = Field(default=None, ge=0)
    sources: list[WholeSource] = Field(max_length=1000)
    gels: list[Gel] = Field(max_length=2000)
    history: list[LogLine] = Field(max_length=MAX_LINES)

    @model_validator(mode="after")
    def _joined(self) -> Self:
        if self.set.sources:
            raise wrong("set holds sources", "sources beside the set, with their readings")
        named = self.set.target.source
        if named is None and self.target_source is not None:
            raise wrong("target_source is given, and the target matches no source", "no target_source")
        if named is not None:
            if self.target_source is None or self.target_source >= len(self.sources):
                raise wrong(f"target_source does not say which source is {named!r}", "its place, from 0")
            if self.sources[self.target_source].source.name != named:
                there = self.sources[self.target_source].source.name
                raise wrong(f"target_source is {there!r}, and the target is {named!r}", "the same source")
        return self

    def to_json(self) -> str:
        """Write it as the file that `read_whole` reads: a line for everything but lists of numbers."""
        written = self.model_dump_json(
            indent=1,
            exclude_none=True,
            exclude={
                "set": {"sources": True},
                "sources": {"__all__": {"source": {"reading": True, "readings": True}}},
            },
        )
        # No text holds a line's end as it is, so that only lists are found.
        return re.sub(r"\[\n[\s\d.,eE+-]+\]", lambda found: re.sub(r"\s+", "", found[0]), written)


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
