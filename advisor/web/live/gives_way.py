"""A large request lets the small ones go first: reading it keeps every other thread from the interpreter.

It waits for a moment without any, but not for long: whoever sends one is answered soon too.
"""

import threading
from collections.abc import Callable, Iterable
from typing import Any

Application = Callable[..., Iterable[bytes]]
LARGE = 50_000
"""From so large on a request waits for the others. [byte]"""
LONGEST = 0.3
"""How long it waits at most. [s]"""


class GivesWay:
    """An application (PEP 3333) in which no large request begins while small ones are being answered.

    Any thread may call it. `app` is what answers them.
    """

    def __init__(self, app: Application, longest: float = LONGEST) -> None:
        self._app, self._longest = app, longest
        self._free = threading.Condition()
        self._small = 0

    def __call__(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        """Answer a request."""
        if _size(environ) >= LARGE:
            with self._free:
                self._free.wait_for(lambda: not self._small, self._longest)
            return self._app(environ, start_response)
        with self._free:
            self._small += 1
        try:
            return self._app(environ, start_response)
        finally:
            with self._free:
                self._small -= 1
                if not self._small:
                    self._free.notify_all()


def _size(environ: dict[str, Any]) -> int:
    said = environ.get("CONTENT_LENGTH") or "0"
    return int(said) if said.isascii() and said.isdigit() else 0
