"""What every model shares: closed to unknown fields, unchangeable once made, text kept within bounds."""

import itertools
import unicodedata
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from enum import StrEnum
from typing import Annotated, Any, Self

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict

from .problems import wrong

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


def text(name: str, longest: int, *, shortest: int = 0) -> AfterValidator:
    """Check text that a person typed: trimmed, without control signs, within its length."""
    allowed = f"{shortest} to {longest} characters" if shortest else f"at most {longest} characters"

    def check(value: str) -> str:
        if not value.isprintable():
            value = "".join(c for c in value if c.isprintable() or c == "\n")
        value = value.strip()
        if len(value) > longest:
            raise wrong(f"{name} has {len(value)} characters", allowed)
        if len(value) < shortest:
            raise wrong(f"{name} is empty", allowed)
        return value

    return AfterValidator(check)


def known(words: type[StrEnum], what: str) -> BeforeValidator:
    """Check that a value is one of the `words`, as such or as text; say which there are if not."""

    def check(value: object) -> object:
        if isinstance(value, words) or (isinstance(value, str) and value in set(words)):
            return value
        raise wrong(f"{what} {str(value)[:40]!r} is not known", ", ".join(words))

    return BeforeValidator(check)


def name_key(name: str) -> str:
    """Return what two names have in common that a person would take for the same."""
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
    """Raise the error that a validator raises where two names are the same to a person: “CTO 1/4 `says`”."""
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


Name = Annotated[str, text("Name", NAME_LENGTH, shortest=1)]
Note = Annotated[str, text("Note", 500)]
Who = Annotated[str, text("who", 80)]
Time = Annotated[str, AfterValidator(utc)]
