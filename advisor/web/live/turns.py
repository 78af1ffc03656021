"""One at a time of each key: whoever asks for the same meanwhile waits, and finds it made.

After a change, all phones that show a set ask for it at once. Without turns each of their requests would work
out the same, and each would take as long as all of them together.
"""

import threading
from collections.abc import Hashable, Iterator
from contextlib import contextmanager


class Turns:
    """Turns by key, from any thread. What is made in one is kept elsewhere, such as by an ``lru_cache``."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._turns: dict[Hashable, _Turn] = {}

    @contextmanager
    def of(self, key: Hashable) -> Iterator[None]:
        """Wait until nobody else has the turn of a key, and have it."""
        with self._lock:
            turn = self._turns.setdefault(key, _Turn())
            turn.asked += 1
        try:
            with turn.lock:
                yield
        finally:
            with self._lock:
                turn.asked -= 1
                if not turn.asked:
                    del self._turns[key]


class _Turn:
    """The turn of a key, with how many have it or wait for it."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.asked = 0
