"""Results kept for the keys that were asked for last: the same lights are asked for many times."""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class LastAsked(Generic[K, V]):
    """Results by their keys, at most `most`; the one that nobody asked for the longest goes first.

    Any thread may ask: two that ask for the same at once both work it out.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[K, V] = OrderedDict()
        self._lock = Lock()

    def of_all(self, keys: Sequence[K], make: Callable[[list[K]], Sequence[V]]) -> list[V]:
        """Return the result of each key; `make` makes those of the keys that are missing, each once."""
        with self._lock:
            found = {key: self._kept[key] for key in keys if key in self._kept}
        if missing := [key for key in dict.fromkeys(keys) if key not in found]:
            found |= zip(missing, make(missing), strict=True)
        with self._lock:
            for key in keys:
                self._kept[key] = found[key]
                self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return [found[key] for key in keys]

    def clear(self) -> None:
        """Forget all, as after a change of what they follow from."""
        with self._lock:
            self._kept.clear()
