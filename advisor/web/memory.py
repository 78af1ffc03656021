"""Memory goes back to the system after a large request: else a server stands at the most it ever used."""

import ctypes
import sys
from collections.abc import Callable
from functools import cache

from flask import Flask, Response, request

_LARGE = 100_000
"""A request from which on it is worth the while. [byte]"""


def give_back(app: Flask) -> None:
    """Give back what a large request left, once it is answered."""

    @app.after_request
    def _answered(response: Response) -> Response:
        if (request.content_length or 0) >= _LARGE and (trim := _trim()) is not None:
            response.call_on_close(lambda: trim(0))
        return response


@cache
def _trim() -> Callable[[int], int] | None:
    """Return the C library's way to give memory back (glibc, malloc_trim(3)); None where it has none."""
    if not sys.platform.startswith("linux"):
        return None
    try:
        found: Callable[[int], int] = ctypes.CDLL(None).malloc_trim
    except (OSError, AttributeError):
        return None
    return found
