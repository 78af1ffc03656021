"""Memory goes back to the system after what is large: else a server stands at the most it ever used.

What is made for a page lies between what is kept of plans. So the heap grows for as long as both come and go,
though what is in use does not: after ten minutes of 30 phones a third of it was holes.
"""

import ctypes
import sys
import time
from collections.abc import Callable
from functools import cache
from typing import Any

from flask import Flask, Response, request

_ARENA_MAX = -8
"""M_ARENA_MAX of mallopt(3)."""
_LARGE = 100_000
"""A request, or an answer, from which on it is worth the while. [byte]"""
PAUSE = 10.0
"""After answers memory is given back no sooner than this after the last time: it takes some 10 ms. [s]"""


def give_back(app: Flask) -> None:
    """Give back what a large request left, once it is answered, and now and then what large answers did.

    Called before there are threads.
    """
    few_arenas()
    last = time.monotonic()

    @app.after_request
    def _answered(response: Response) -> Response:
        nonlocal last
        now = time.monotonic()
        after_answer = now - last >= PAUSE and _length(response) >= _LARGE
        if after_answer or (request.content_length or 0) >= _LARGE:
            last = now
            response.call_on_close(give_back_now)
        return response


def give_back_now() -> None:
    """Give back what is free."""
    if (trim := _trim()) is not None:
        trim(0)


def _length(response: Response) -> int:
    """Return the length of an answer before it is squeezed; 0 where that is not known."""
    return response.calculate_content_length() or 0


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
