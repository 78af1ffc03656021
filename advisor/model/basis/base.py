"""What all models share: they refuse unknown fields, cannot be changed, and keep text within bounds."""

import itertools
import unicodedata
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Annotated, Any, Self, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict
from pydantic_core import CoreSchema, core_schema

from .problems import plain_first, typed_schema, wrong

NAME_LENGTH = 80
"""The longest name of a set, a source or a gel. [characters]"""


class Model(BaseModel):
    """A value that was checked when it was made."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Return a copy with other values of some fields, which must be valid: they are not checked again.

        Raises TypeError where one is no field: pydantic would keep it, to be found when it is stored.
        """
        if unknown := set(update or {}) - set(type(self).model_fields):
            raise TypeError(f"{type(self).__name__} has no field {', '.join(sorted(unknown))}")
        return super().model_copy(update=update, deep=deep)


_M = TypeVar("_M", bound=Model)


def copies(models: Sequence[_M], updates: Sequence[Mapping[str, Any]]) -> list[_M]:
    """Return a copy of each model with other values of some fields, as `model_copy` does."""
    return [model.model_copy(update=update) for model, update in zip(models, updates, strict=True)]


@dataclass(frozen=True)
class TypedText:
    """Text that a person typed: trimmed, without control signs, of `shortest` to `longest` characters."""

    name: str
    longest: int
    shortest: int = 0

    def check(self, value: str) -> str:
        """Return the text, or raise the pydantic error that says what is wrong with it."""
        if not value.isprintable():
            value = "".join(c for c in value if c.isprintable() or c == "\n")
        value = value.strip()
        least = f"{self.shortest} to" if self.shortest else "at most"
        if len(value) > self.longest:
            raise wrong(f"{self.name} has {len(value)} characters", f"{least} {self.longest} characters")
        if len(value) < self.shortest:
            raise wrong(f"{self.name} is empty", f"{least} {self.longest} characters")
        return value

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        typed = handler(source)
        plain = core_schema.str_schema(pattern=_TRIMMED, max_length=self.longest, strict=True)
        return plain_first(plain, core_schema.no_info_after_validator_function(self.check, typed))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: Any) -> dict[str, Any]:
        return typed_schema(schema, handler)


_TRIMMED = r"^[!-~]+(?: +[!-~]+)*$"
"""Printable ASCII with no space at either end: it needs no trimming."""


@dataclass(frozen=True)
class OneOf:
    """One of some `words`, as such or as text. The error lists them, and calls the value by `what` it is."""

    words: type[StrEnum]
    what: str

    def check(self, value: object) -> object:
        """Return the value, or raise the pydantic error that says which there are."""
        if isinstance(value, self.words) or (isinstance(value, str) and value in set(self.words)):
            return value
        raise wrong(f"{self.what} {str(value)[:40]!r} is not known", ", ".join(self.words))

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        typed = core_schema.no_info_before_validator_function(self.check, handler(source))
        return plain_first(core_schema.enum_schema(self.words, list(self.words), strict=True), typed)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: Any) -> dict[str, Any]:
        return typed_schema(schema, handler)


def name_key(name: str) -> str:
    """Return the key of a name. Names that a person would take for the same have the same key."""
    return unicodedata.normalize("NFC", name.casefold())


def name_keys(names: Sequence[str]) -> list[str]:
    """Return the key of each name (`name_key`)."""
    return [name_key(name) for name in names]


def free_name(name: str, taken: Collection[str]) -> str:
    """Return `name`, or with " (2)", " (3)" and so on behind it the first whose key is not in `taken`."""
    free = name
    for number in itertools.count(2):
        if name_key(free) not in taken:
            break
        suffix = f" ({number})"
        free = name[: NAME_LENGTH - len(suffix)].rstrip() + suffix
    return free


def refuse_twice(names: Iterable[str], says: str, allowed: str) -> None:
    """Raise what a validator raises if two names are the same to a person. It reads “CTO 1/4 `says`”."""
    seen: set[str] = set()
    for name in names:
        if name_key(name) in seen:
            raise wrong(f"{name} {says}", allowed)
        seen.add(name_key(name))


def utc_text(at: datetime) -> str:
    """Write a time that is in UTC as ISO 8601, of fixed width, so that text sorts as time does."""
    return at.isoformat(timespec="microseconds").replace("+00:00", "Z")


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


Name = Annotated[str, TypedText("Name", NAME_LENGTH, shortest=1)]
Note = Annotated[str, TypedText("Note", 500)]
Who = Annotated[str, TypedText("who", 80)]
Time = Annotated[str, AfterValidator(utc)]
