"""What is asked of the same value again and again is worked out once for each object, while that is there."""

import weakref
from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

from .base import Model

M = TypeVar("M", bound=Model)
R = TypeVar("R")


class OnceEach(Generic[M, R]):
    """Answers of a function by the object that it is asked about: values never change.

    The function is given several objects and returns their answers in order. Each answer goes with its
    object, and holds it no longer. Any thread may ask.
    """

    def __init__(self, function: Callable[[Sequence[M]], Sequence[R]]) -> None:
        self._function = function
        self._known: dict[int, tuple[weakref.ref[M], R]] = {}

    def __len__(self) -> int:
        return len(self._known)

    def of(self, value: M) -> R:
        """Return what the function says of a value."""
        return self.of_all([value])[0]

    def of_all(self, values: Sequence[M]) -> list[R]:
        """Return what the function says of each of some values."""
        known = [self._known.get(id(value)) for value in values]
        found = [one if one and one[0]() is value else None for one, value in zip(known, values, strict=True)]
        missing = [value for one, value in zip(found, values, strict=True) if one is None]
        new = iter(self._function(missing) if missing else ())
        each = zip(found, values, strict=True)
        return [one[1] if one else self._keep(value, next(new)) for one, value in each]

    def _keep(self, value: M, said: R) -> R:
        number = id(value)
        self._known[number] = (weakref.ref(value, lambda gone: self._forget(number, gone)), said)
        return said

    def _forget(self, number: int, gone: weakref.ref[M]) -> None:
        known = self._known.get(number)
        if known is not None and known[0] is gone:  # else another object has the number by now
            del self._known[number]
