"""When something was done that a phone sends: by the phone's own clock, corrected by what that is off.

A script says by its clock when a form was filled in (`taken`), and when it sends it (`sent`), which may be an
hour later. The clock may be wrong; how long the two are apart it knows. So what came in was done by so much
before the server's own time. Where a phone says nothing sensible, it was done when it came in.
"""

import re
from datetime import UTC, datetime, timedelta

from flask import has_request_context, request

from ...model.basis.base import utc_text
from .merge import PICK

TAKEN, SENT = "taken", "sent"
"""Fields of a form, in milliseconds of a phone's clock."""
_MILLISECONDS = re.compile(r"\d{1,16}", re.ASCII)


def age() -> float:
    """Return how long before it came in what this request writes was done; 0 where nobody knows. [s]

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
