"""When something was done: by the clock of the phone that sends it, corrected, or as somebody types it.

A script says by its clock when a form was filled in (`taken`), and when it sends it (`sent`), which may be an
hour later. The clock may be wrong; how long the two are apart it knows. So what came in was done by so much
before the server's own time. Where a phone says nothing sensible, it was done when it came in.
"""

import re
from datetime import UTC, datetime, timedelta

from flask import has_request_context, request

from ...model import Refused
from ...model.basis.base import utc_text
from ...model.basis.problems import short
from .form import Form
from .merge import PICK

TAKEN, SENT = "taken", "sent"
"""Fields of a form, in milliseconds of a phone's clock."""
_MILLISECONDS = re.compile(r"\d{1,16}", re.ASCII)
_TIME = re.compile(r"(\d{1,2})[:.](\d{2})", re.ASCII)


def age() -> float:
    """Return how long ago that was done which this request writes; 0 where nobody knows. [s]

    A phone whose clock was set back in between, or that was set to the future, does not know. Outside of a
    request nothing came in late.
    """
    if not has_request_context():
        return 0.0
    if any(name.startswith(PICK) for name in request.form):  # what was picked over another's is meant now
        return 0.0
    taken, sent = (request.form.get(name, "").strip() for name in (TAKEN, SENT))
    if not (_MILLISECONDS.fullmatch(taken) and _MILLISECONDS.fullmatch(sent)):
        return 0.0
    return max(0.0, (int(sent) - int(taken)) / 1000.0)


def before_now(seconds: float) -> str:
    """Return the server's time so long ago, as the store writes times; the earliest there is, at most."""
    now = datetime.now(UTC)
    return utc_text(now - min(timedelta(seconds=seconds), now - datetime.min.replace(tzinfo=UTC)))


def clock_time(at: str) -> str:
    """Write a time of the store by the laptop's clock, for a field: “16:05”."""
    return f"{_here(at):%H:%M}"


def time_typed(form: Form, at: str) -> str | None:
    """Return the time that a form's ``time`` says in the place of `at`; None where that is the same.

    Both are as the store writes times. It is by the laptop's clock, on the day of `at`. Raises Refused for
    what is no time, or has yet to come.
    """
    text = form.value("time").strip()
    if text in ("", clock_time(at)):
        return None
    found = _TIME.fullmatch(text)
    hours, minutes = (int(part) for part in found.groups()) if found else (99, 0)
    if hours > 23 or minutes > 59:
        raise Refused.one("time", f"{short(text)} is not a time", "hours and minutes, such as 16:05")
    there = _here(at).replace(hour=hours, minute=minutes, second=0, microsecond=0).astimezone(UTC)
    if there > datetime.now(UTC):
        raise Refused.one("time", f"{short(text)} is yet to come", "a time of that day that has passed")
    return utc_text(there)


def _here(at: str) -> datetime:
    return datetime.fromisoformat(at).astimezone()
