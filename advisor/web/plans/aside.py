"""What takes long is worked out aside. What was worked out of a plan that was stopped is kept."""

from collections.abc import Callable, Hashable, Sequence
from typing import Any, TypeVar, cast

from flask import current_app, has_request_context, request

from ...advice.stacks.watch import NotWanted
from ...store import SetStore, StoredSource
from ..live.aside import done_aside, read_aside, shared_aside, work_of
from ..state import State
from .texts import text_of

T = TypeVar("T")
N = TypeVar("N")
FEW_SOURCES, FEW_GELS = 12, 100
"""A plan of no more than both takes less than a page waits, and is made at once."""


def made_aside(
    number: str,
    set_id: int | None,
    make: Callable[..., tuple[T, N]],
    take: Callable[[N], None],
    *arguments: Any,
) -> T | None:
    """Return what `make` makes for the plan of a `number`; raises Working where a page waits too long.

    What it noted is for `take`, as soon as it is there, whoever waits for it. Where another plan of the same
    set, if it is of one, was being made and has ended, None is returned.
    What changes something waits until it is there: it is not to be done by halves.
    """
    made = work_of(make, *arguments)

    def work(tell: Callable[[float], None], unwanted: Callable[[], bool]) -> T:
        plan, noted = made(tell, unwanted)
        take(noted)
        return plan

    changing = request.method not in ("GET", "HEAD")
    if set_id is None:
        return done_aside([number], work, again=changing, wait=changing)
    return shared_aside([number], work, _set(set_id), again=changing, wait=changing)


def worked_aside(what: str, said: Sequence[str], function: Callable[..., T], *arguments: Any) -> T:
    """Return what a function of a module makes, all of which follows from what is `said`; raises Working.

    `what` names it, as a sentence begins. What changes something waits until it is there.
    """
    if not has_request_context():
        return function(*arguments)
    changing = request.method not in ("GET", "HEAD")
    return done_aside(said, work_of(function, *arguments), what=what, again=changing, wait=changing)


def read_ahead(set_id: int, also: Callable[[SetStore, StoredSource], object]) -> None:
    """Read a set with very many readings from the file, in a thread; raises Working until it is there.

    What is read stays in this process: it is a great deal to send from another one. `also` is done with each
    source, so that the page need not. Raises NotFound.
    """
    sets = cast(State, current_app.extensions["advisor"]).sets

    def work(tell: Callable[[float], None], unwanted: Callable[[], bool]) -> None:
        for share, stored in sets.read_ahead(set_id):
            if unwanted():
                raise NotWanted
            text_of(stored.source)
            also(sets, stored)
            tell(share)

    read_aside("The set", [str(set_id)], work, _set(set_id))


def _set(set_id: int) -> Hashable:
    """Return what tells a set from all others, of other data folders too."""
    return current_app.extensions["database"].path, set_id
