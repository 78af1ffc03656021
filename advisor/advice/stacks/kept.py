"""What was worked out before, kept by what it follows from, so that only what changed is worked out again."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from threading import Lock
from typing import Any, TypeVar

from .watch import go_on, tell

T = TypeVar("T")
_LOT = 8
"""So many are made at one go."""


class Kept:
    """Results by their keys, at most `most`; the one that nobody asked for the longest goes first.

    A key holds all that its result follows from: values as text, and arrays by the object that holds them.
    Many threads may use it: two that ask for the same at once both work it out.
    """

    def __init__(self, most: int = 4096) -> None:
        self._most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = Lock()

    def __len__(self) -> int:
        return len(self._results)

    def of(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return the result of a key, made where it is not there."""
        return self.of_all([key], lambda _: [make()])[0]

    def of_all(
        self, keys: Sequence[Hashable], make: Callable[[list[int]], list[T]], *, told: bool = False
    ) -> list[T]:
        """Return the results of keys; `make` makes those that are missing, some at one go, by their indices.

        Each lot is kept as soon as it is there. Whoever watches may stop between two; with `told` they hear
        how much is done.
        """
        with self._lock:
            found = [self._results.get(key, _MISSING) for key in keys]
        missing = [index for index, result in enumerate(found) if result is _MISSING]
        for start in range(0, len(missing), _LOT):
            go_on()
            if told:
                tell((len(keys) - len(missing) + start) / len(keys))
            lot = missing[start : start + _LOT]
            made = make(lot)
            for index, result in zip(lot, made, strict=True):
                found[index] = result
            self._keep([keys[index] for index in lot], made)
        self._keep(keys, found)
        return found

    def _keep(self, keys: Sequence[Hashable], results: Sequence[T]) -> None:
        with self._lock:
            for key, result in zip(keys, results, strict=True):
                self._results[key] = result
                self._results.move_to_end(key)
            while len(self._results) > self._most:
                self._results.popitem(last=False)


_MISSING = object()
