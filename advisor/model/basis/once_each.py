"""What is asked of the same value again and again is worked out once for each object, while that is there."""

import weakref
from collections.abc import Callable
from typing import Generic, TypeVar

from .base import Model

M = TypeVar("M", bound=Model)
R = TypeVar("R")


class OnceEach(Generic[M, R]):
    """Answers of a function by the object that it is asked about: values never change.

    Each goes with its object, and holds it no longer. Any thread may ask.
    """

    def __init__(self, function: Callable[[M], R]) -> None:
        self._function = function
        self._known: dict[int, tuple[weakref.ref[M], R]] = {}

    def __len__(self) -> int:
        return len(self._known)

    def of(self, value: M) -> R:
        """Return what the function says of a value."""
        number = id(value)
        known = self._known.get(number)
        if known is not None and known[0]() is value:
            return known[1]
        said = self._function(value)
        self._known[number] = (weakref.ref(value, lambda gone: self._forget(number, gone)), said)
        return said

    def _forget(self, number: int, gone: weakref.ref[M]) -> None:
        known = self._known.get(number)
        if known is not None and known[0] is gone:  # else another object has the number by now
            del self._known[number]
