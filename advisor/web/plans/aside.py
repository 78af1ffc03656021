"""A plan that takes long is worked out aside: a page waits a moment for it, and then says how far it is.

So no page holds one of the server's threads for longer than that, and somebody may stop it. Each phone has
one such work at a time. What was worked out of a plan that was stopped is kept.
"""

from collections.abc import Callable

from flask import has_request_context, request

from ...advice.plan.plan import Plan
from ...advice.stacks.watch import watched
from ..access.sessions import person
from ..live.jobs import Job, Jobs, JobState

JOBS: Jobs[Plan] = Jobs()
PATIENCE = 0.7
"""How long a page waits for a plan. [s]"""
FEW_SOURCES, FEW_GELS = 12, 100
"""A plan of no more than both takes less than that, and is made at once."""


class Working(Exception):
    """The plan that a page needs is not there yet, but a job of that `number` makes it."""

    def __init__(self, number: str, job: Job[Plan]) -> None:
        super().__init__(number)
        self.number, self.job = number, job


def made_aside(number: str, make: Callable[[], Plan]) -> Plan:
    """Return the plan of a `number`, which `make` makes; raises Working where a page waits too long.

    What changes something waits until it is there: it is not to be done by halves.
    """
    if not has_request_context():
        return make()

    def work(tell: Callable[[float], None], unwanted: Callable[[], bool]) -> Plan:
        with watched(tell, unwanted):
            return make()

    changing = request.method not in ("GET", "HEAD")
    job = JOBS.ask(number, work, again=changing, patience=PATIENCE, owner=owner())
    if changing:
        job.wait(None)
    if job.state is JobState.DONE and job.result is not None:
        return job.result
    if job.state is JobState.FAILED and job.error is not None:
        JOBS.forget(number)
        raise job.error
    raise Working(number, job)


def owner() -> str:
    """Return whose work it is: that of a phone, or that of the laptop."""
    who = person()
    return "laptop" if who.phone_id is None else f"phone {who.phone_id}"
