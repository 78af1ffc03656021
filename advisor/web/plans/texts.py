"""What tells a value from all others, as text: written once for each object, since pages ask for it often."""

from collections.abc import Iterable, Sequence
from hashlib import sha256

from ...model.basis.base import Model
from ...model.basis.once_each import OnceEach

_LONG = 2000
"""A longer text is told by its hash: a source may have two thousand readings. [sign]"""


def texts_of(values: Iterable[Model]) -> tuple[str, ...]:
    """Return values as text, as `text_of` does."""
    return tuple(_TEXTS.of_all(list(values)))


def text_of(value: Model) -> str:
    """Return a value as JSON, or the SHA-256 of that where it is long: two are the same where it is.

    Values never change. Safe to use from any thread.
    """
    return _TEXTS.of(value)


def _written(values: Sequence[Model]) -> list[str]:
    texts = [value.model_dump_json() for value in values]
    return [
        sha256(text.encode("utf-8", "surrogatepass")).hexdigest() if len(text) > _LONG else text
        for text in texts
    ]


_TEXTS = OnceEach(_written)
