"""One place turns what is wrong with an input into words for a person.

Pages, API and command line all show a `Problem`: where it is, what it says (with the value), and what
is allowed. Layers below raise `Refused`; pydantic's errors are translated by `problems_in`.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import CoreSchema, PydanticCustomError, core_schema


class Problem(BaseModel):
    """One thing wrong with an input."""

    where: str
    says: str
    allowed: str

    def __str__(self) -> str:
        return f"{self.says}. Allowed: {self.allowed}."


class Refused(ValueError):
    """An input that cannot be used, with every problem found in it."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("; ".join(f"{p.where}: {p}" for p in problems))
        self.problems = list(problems)

    def __reduce__(self) -> tuple[type["Refused"], tuple[list[Problem]]]:
        """Make it anew of its problems where it comes from another process."""
        return type(self), (self.problems,)

    @classmethod
    def one(cls, where: str, says: str, allowed: str) -> "Refused":
        """Refuse for a single problem."""
        return cls([Problem(where=where, says=says, allowed=allowed)])

    def under(self, place: str) -> "Refused":
        """Return the same problems as seen from an outer `place`, such as ``sources[2]``."""
        return Refused([p.model_copy(update={"where": join(place, p.where)}) for p in self.problems])


def wrong(says: str, allowed: str) -> PydanticCustomError:
    """Make the error that a validator raises: `says` names the value, `allowed` what to give instead."""
    return PydanticCustomError("advisor", "{says}", {"says": says, "allowed": allowed})


_PLAIN, _TYPED = "advisor:plain", "advisor:typed"


def plain_first(plain: CoreSchema, typed: CoreSchema) -> CoreSchema:
    """Take a value that `plain` lets pass as it is; any other goes to `typed`, which says what is wrong.

    Most values come checked, from the store or from a table, and pydantic's core tells those without Python.
    """
    written = core_schema.simple_ser_schema(plain["type"]) if plain["type"] in ("int", "float") else None
    both: list[CoreSchema | tuple[CoreSchema, str]] = [(plain, _PLAIN), (typed, _TYPED)]
    return core_schema.union_schema(both, mode="left_to_right", serialization=written)


def typed_schema(schema: Any, handler: Any) -> dict[str, Any]:
    """Describe a schema of `plain_first` in JSON: by what is typed, which takes the other too."""
    while "choices" not in schema:
        schema = schema["schema"]  # another validator stands around it
    described: dict[str, Any] = handler(schema["choices"][-1][0])
    return described


def join(*places: str | int) -> str:
    """Write a place in an input as a person points at it: ``sources[0].reading.cct``."""
    out = ""
    for place in places:
        if isinstance(place, int):
            out += f"[{place}]"
        elif place:
            out += place if not out or place.startswith("[") else f".{place}"
    return out


@contextmanager
def within(*places: str | int) -> Iterator[None]:
    """Whatever is refused inside is refused as seen from an outer place, such as ``sources[2]``."""
    try:
        yield
    except Refused as no:
        raise no.under(join(*places)) from None


_GENERIC: dict[str, tuple[str, str]] = {
    "missing": ("{field} is missing", "give {field}"),
    "extra_forbidden": ("{field} is not a field here", "check the spelling, or leave it out"),
    "json_invalid": ("this is not JSON: {error}", "one JSON object, numbers with a decimal point"),
    "too_long": ("{field} holds {actual_length} entries", "at most {max_length}"),
    "too_short": ("{field} holds {actual_length} entries", "at least {min_length}"),
    "list_type": ("{field} is not a list", "a list in [ ]"),
    "tuple_type": ("{field} is not a pair", "a list in [ ]"),
    "model_type": ("{field} is not an object", "an object in {{ }}"),
    "model_attributes_type": ("{field} is not an object", "an object in {{ }}"),
    "bool_type": ("{field} {input} is not yes or no", "true or false"),
    "bool_parsing": ("{field} {input} is not yes or no", "true or false"),
    "string_type": ("{field} is not text", "text in quotes"),
    "string_too_long": ("{field} is too long", "at most {max_length} characters"),
    "string_too_short": ("{field} is empty", "at least {min_length} character"),
    "literal_error": ("{field} {input} is not known", "{expected}"),
}


def problems_in(error: ValidationError) -> list[Problem]:
    """Translate pydantic's errors, one problem each, in the order of the fields."""
    return [_problem(e) for e in error.errors(include_url=False) if e["loc"][-1:] != (_PLAIN,)]


def refuse(error: ValidationError) -> Refused:
    """Turn pydantic's error into ours."""
    return Refused(problems_in(error))


def _problem(error: Any) -> Problem:
    loc: Iterable[str | int] = [part for part in error["loc"] if part != _TYPED]
    where = join(*loc)
    ctx = error.get("ctx") or {}
    if error["type"] == "advisor":
        return Problem(where=where, says=ctx["says"], allowed=ctx["allowed"])
    field = next((str(p) for p in reversed(tuple(loc)) if isinstance(p, str)), "the input")
    unlisted = ("{field} {input}: " + error["msg"].lower(), "see the API's description")
    says, allowed = _GENERIC.get(error["type"], unlisted)
    words = {**ctx, "field": field, "input": short(error["input"])}
    return Problem(where=where, says=says.format(**words), allowed=allowed.format(**words))


def short(value: object) -> str:
    """Show a value in a message: quoted if it is text, cut if it is long."""
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "…"
