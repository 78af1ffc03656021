"""What takes long is worked out aside: a request waits a moment for it, and then says how far it is.

So no request holds one of the server's threads for longer than that, and somebody may stop it. Each phone has
one such work at a time. Where the server has processes for it (`processes`), other requests do not feel it.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from hashlib import sha256
from typing import Any, TypeVar, cast

from flask import current_app, has_request_context, request

from ...advice.stacks.watch import watched
from ...model import Refused
from ..access.sessions import person
from .jobs import MOST_OF_ONE, Job, Jobs, JobState, TooMany, Work
from .processes import Died, Processes, TooLong

T = TypeVar("T")
JOBS: Jobs[Any] = Jobs()
PATIENCE = 0.7
"""How long a request waits for the work. [s]"""
LONGEST = 30.0
"""How long a text may take to be read. [s]"""
STOP = "stop"
"""The field of a form that stops its work, in which the number of that stands."""
PROCESSES = "processes"
"""The name under which an application keeps its processes."""


class Working(Exception):
    """What a request needs is not there yet, but a job of that `number` makes it.

    `what` names it, as a sentence begins. A form that is sent again for it has these `fields` in the place of
    those that came: what it brought as a file is a field then.
    """

    def __init__(self, number: str, job: Job[Any], what: str, fields: Mapping[str, str]) -> None:
        super().__init__(number)
        self.number, self.job, self.what, self.fields = number, job, what, fields


def processes() -> Processes | None:
    """Return the processes of the application for long work, where it has any."""
    return cast(Processes | None, current_app.extensions.get(PROCESSES)) if has_request_context() else None


def work_of(function: Callable[..., T], *arguments: Any) -> Work[T]:
    """Return a function of a module as work: done in a process of the application's, else here, watched."""
    apart = processes()

    def work(tell: Callable[[float], None], unwanted: Callable[[], bool]) -> T:
        if apart is not None:
            return cast(T, apart.do(function, arguments, tell, unwanted))
        with watched(tell, unwanted):
            return function(*arguments)

    return work


def done_aside(
    said: Sequence[str], work: Work[T], *, what: str = "The plan", again: bool = False, wait: bool = False
) -> T:
    """Return what `work` makes, all of which follows from what is `said`; raises Working.

    `what` names it, as a sentence begins.
    With `again` what was stopped is begun anew; with `wait` its end is waited for, as long as that takes.
    """
    return cast(T, _done(said, work, what, {}, again=again, wait=wait, forget=False))


def shared_aside(said: Sequence[str], work: Work[T], of: Hashable, *, again: bool, wait: bool) -> T | None:
    """Return what `work` makes of a plan, as `done_aside` does; of one thing (`of`) one runs at a time.

    Where another one of that thing runs, such as the plan of the set as it was a reading ago, Working is
    raised for that one; None is returned where that has just ended, for most of this is done then. It is the
    thing's work and no phone's: it waits for no other work of whoever began it, nor counts as theirs.
    """
    return _done(said, work, "The plan", {}, again=again, wait=wait, forget=False, of=of)


def read_apart(
    said: Sequence[str],
    function: Callable[..., T],
    *arguments: Any,
    what: str = "The text",
    fields: Mapping[str, str] | None = None,
    patience: float = PATIENCE,
) -> T:
    """Return what a function makes of a text, all of which follows from what is `said`; raises Working.

    Where the application has no processes for that, it is made at once. The request waits up to `patience`
    [s], and no longer than any does. Raises Refused where it takes too long.
    """
    apart = processes()
    if apart is None:
        return function(*arguments)

    def work(tell: Callable[[float], None], unwanted: Callable[[], bool]) -> T:
        return cast(T, apart.do(function, arguments, tell, unwanted, LONGEST))

    again = request.method not in ("GET", "HEAD")
    try:
        made = _done(said, work, what, fields or {}, again=again, wait=False, forget=True, patience=patience)
        return cast(T, made)
    except (TooLong, Died):
        says = f"this needs more than {LONGEST:.0f} s, or too much memory"
        raise Refused.one("text", says, "give it in parts") from None


def read_aside(what: str, said: Sequence[str], work: Work[None], of: Hashable) -> None:
    """Have `work` done in a thread, which reads into this process what is asked for; raises Working.

    It is the work of a thing (`of`), as in `shared_aside`.
    """
    _done(said, work, what, {}, again=False, wait=False, forget=True, of=("read", of))


def _done(
    said: Sequence[str],
    work: Work[T],
    what: str,
    fields: Mapping[str, str],
    *,
    again: bool,
    wait: bool,
    forget: bool,
    patience: float = PATIENCE,
    of: Hashable = None,
) -> T | None:
    number = _number(what, said)
    before = JOBS.look(number)
    if forget and request.form.get(STOP) == number and before is not None:
        JOBS.stop(number)
        raise Working(number, before, what, fields)
    if before is not None and before.state is JobState.FAILED and before.error is not None:
        JOBS.forget(number)  # it is told once; asked for again, it is begun anew
        raise before.error
    whose, at_first = owner() if of is None else str(of), 0.0 if forget else PATIENCE
    try:
        job = JOBS.ask(number, work, again=again, patience=at_first, owner=whose, of=of)
    except TooMany:
        says = f"this phone has {MOST_OF_ONE} long jobs running already"
        raise Refused.one("", says, "wait until one is done, or stop one") from None
    if wait or forget:  # what is read for a form is asked for by nobody else
        job.wait(None if wait else min(patience, PATIENCE))
    if job.number != number and not job.running:
        return None
    if job.state is JobState.DONE:
        if forget:
            JOBS.forget(number)
        return cast(T, job.result)
    if job.state is JobState.FAILED and job.error is not None:
        JOBS.forget(number)
        raise job.error
    raise Working(job.number, job, what, fields)


def _number(what: str, said: Sequence[str]) -> str:
    return sha256("\0".join((what, *said)).encode("utf-8", "surrogatepass")).hexdigest()[:32]


def owner() -> str:
    """Return whose work it is: that of a phone, or that of the laptop."""
    who = person()
    return "laptop" if who.phone_id is None else f"phone {who.phone_id}"
