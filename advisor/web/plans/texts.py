"""What tells a value from all others, as text: written once for each object, since pages ask for it often."""

import weakref
from collections.abc import Iterable
from hashlib import sha256

from ...model.basis.base import Model

_LONG = 2000
"""A longer text is told by its hash: a source may have a thousand readings. [sign]"""
_TEXTS: dict[int, tuple[weakref.ref[Model], str]] = {}
"""By the object, as long as that is there."""


def texts_of(values: Iterable[Model]) -> tuple[str, ...]:
    """Return values as text, as `text_of` does."""
    return tuple(map(text_of, values))


def text_of(value: Model) -> str:
    """Return a value as JSON, or the SHA-256 of that where it is long: two are the same where it is.

    Values never change. Safe to use from any thread.
    """
    number = id(value)
    known = _TEXTS.get(number)
    if known is not None and known[0]() is value:
        return known[1]
    text = value.model_dump_json()
    if len(text) > _LONG:
        text = sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    _TEXTS[number] = (weakref.ref(value, lambda gone: _forget(number, gone)), text)
    return text


def _forget(number: int, gone: weakref.ref[Model]) -> None:
    known = _TEXTS.get(number)
    if known is not None and known[0] is gone:  # else another object has the number by now
        del _TEXTS[number]
