"""Memory goes back to the system after a large request: else a server stands at the most it ever used."""

import ctypes
import sys
from collections.abc import Callable
from functools import cache
from typing import Any

from flask import Flask, Response, request

_ARENA_MAX = -8
"""M_ARENA_MAX of mallopt(3)."""
_LARGE = 100_000
"""A request from which on it is worth the while. [byte]"""


def give_back(app: Flask) -> None:
    """Give back what a large request left, once it is answered; called before there are threads."""
    few_arenas()

    @app.after_request
    def _answered(response: Response) -> Response:
        if (request.content_length or 0) >= _LARGE and (trim := _trim()) is not None:
            response.call_on_close(lambda: trim(0))
        return response


def give_back_now() -> None:
    """Give back what is free."""
    if (trim := _trim()) is not None:
        trim(0)


def few_arenas() -> None:
    """Let threads share their memory: each of their own arenas would stay as large as it ever was."""
    if (library := _library()) is not None:
        library.mallopt(_ARENA_MAX, 2)


@cache
def _trim() -> Callable[[int], int] | None:
    """Return the C library's way to give memory back (glibc, malloc_trim(3)); None where it has none."""
    library = _library()
    return None if library is None else library.malloc_trim


def _library() -> Any:
    """Return the C library where it is glibc; None where it is another."""
    if not sys.platform.startswith("linux"):
        return None
    try:
        library = ctypes.CDLL(None)
        _ = library.malloc_trim, library.mallopt, library.gnu_get_libc_version
    except (OSError, AttributeError):
        return None
    return library
