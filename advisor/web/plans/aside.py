"""What takes long is worked out aside. What was worked out of a plan that was stopped is kept."""

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from flask import has_request_context, request

from ..live.aside import done_aside, work_of

T = TypeVar("T")
FEW_SOURCES, FEW_GELS = 12, 100
"""A plan of no more than both takes less than a page waits, and is made at once."""


def made_aside(number: str, make: Callable[..., T], *arguments: Any) -> T:
    """Return what `make` makes for the plan of a `number`; raises Working where a page waits too long.

    What changes something waits until it is there: it is not to be done by halves.
    """
    return worked_aside("The plan", [number], make, *arguments)


def worked_aside(what: str, said: Sequence[str], function: Callable[..., T], *arguments: Any) -> T:
    """Return what a function of a module makes, all of which follows from what is `said`; raises Working.

    `what` names it, as a sentence begins. What changes something waits until it is there.
    """
    if not has_request_context():
        return function(*arguments)
    changing = request.method not in ("GET", "HEAD")
    return done_aside(said, work_of(function, *arguments), what=what, again=changing, wait=changing)
