"""A plan that takes long is worked out aside. What was worked out of one that was stopped is kept."""

from collections.abc import Callable
from typing import Any

from flask import has_request_context, request

from ...advice.plan.plan import Plan
from ...advice.stacks.watch import watched
from ..live.aside import done_aside, processes

FEW_SOURCES, FEW_GELS = 12, 100
"""A plan of no more than both takes less than a page waits, and is made at once."""


def made_aside(number: str, make: Callable[..., Plan], *arguments: Any) -> Plan:
    """Return the plan of a `number`, which `make` makes; raises Working where a page waits too long.

    What changes something waits until it is there: it is not to be done by halves.
    """
    if not has_request_context():
        return make(*arguments)
    apart = processes()

    def work(tell: Callable[[float], None], unwanted: Callable[[], bool]) -> Plan:
        if apart is not None:
            made: Plan = apart.do(make, arguments, tell, unwanted)
            return made
        with watched(tell, unwanted):
            return make(*arguments)

    changing = request.method not in ("GET", "HEAD")
    return done_aside([number], work, again=changing, wait=changing)
