"""Long work that somebody watches: it tells how much is done, and ends where nobody wants it any more."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass


class NotWanted(Exception):
    """Nobody wants the work any more; what was worked out before stays kept."""


@dataclass(frozen=True)
class _Watch:
    tell: Callable[[float], None]
    unwanted: Callable[[], bool]


_watch: ContextVar[_Watch | None] = ContextVar("watch", default=None)


@contextmanager
def watched(tell: Callable[[float], None], unwanted: Callable[[], bool]) -> Iterator[None]:
    """Let what is worked out inside tell how much is done, and end by NotWanted once `unwanted` says so."""
    token = _watch.set(_Watch(tell, unwanted))
    try:
        yield
    finally:
        _watch.reset(token)


def go_on() -> None:
    """Raise NotWanted where nobody wants the work around this any more; without a watch it goes on."""
    watch = _watch.get()
    if watch is not None and watch.unwanted():
        raise NotWanted


def tell(share: float) -> None:
    """Tell whoever watches how much is done, 0 to 1."""
    watch = _watch.get()
    if watch is not None:
        watch.tell(share)
