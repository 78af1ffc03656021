"""What a write says of itself: the key by which it is done once, and the revision that its writer saw.

A script's key comes as the header ``Idempotency-Key`` or, where it sends a form, as the field ``once``. A
form that was rendered with `tap_field` brings one of its own, so that a double tap without script is one
write too. What was typed is part of that key: who goes back to a page may send its form with other values.

References
----------
RFC 9110, 13.1.1 (If-Match) and 15.5.13 (412). IETF HTTP API working group, draft "The Idempotency-Key HTTP
Header Field".
"""

import json
import re
import secrets
from contextlib import ExitStack
from hashlib import sha256
from urllib.parse import urlencode

from flask import Response, current_app, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from ...model import Refused
from ...model.basis.problems import short
from ...store import StoreFault
from ...store.crew.answers import answer_of, set_answer
from ...store.file.once import AlreadyDone, once
from ..access.guard import ours
from ..state import state

KEY = "Idempotency-Key"
ANSWERED = "Answered-By"
"""The header by which a script tells our answer from one that something on the way made up."""
_FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
_REVISION = re.compile(r'"(\d{1,15})"', re.ASCII)
_NUMBER = re.compile(r"\d{1,15}", re.ASCII)


def asked_revision() -> int | None:
    """Return the revision that the writer saw, from the form or from If-Match; None where neither says.

    Raises Refused for what is no revision: a check that was asked for is never left out.
    """
    typed, header = request.form.get("revision", "").strip(), request.headers.get("If-Match", "").strip()
    if typed:
        found = _NUMBER.fullmatch(typed)
        number = found and found[0]
    elif header in ("", "*"):
        return None
    else:
        found = _REVISION.fullmatch(header)
        number = found and found[1]
    if number is None:
        raise Refused.one("revision", f"{short(typed or header)} is not a revision", "open the page again")
    return int(number)


def asked_version(field: str = "version") -> int | None:
    """Return the version of the gel table in a form's `field`, None where that is empty.

    Raises Refused for what is no version: a check that was asked for is never left out.
    """
    typed = request.form.get(field, "").strip()
    if not typed:
        return None
    if not _NUMBER.fullmatch(typed):
        raise Refused.one(field, f"{short(typed)} is not a version of the table", "open the page again")
    return int(typed)


def matched_by_header() -> bool:
    """Whether a write says by If-Match, and not in its form, which revision its writer saw."""
    return not request.form.get("revision", "").strip() and "If-Match" in request.headers


def conflict_status() -> int:
    """Return the status for a write that came after somebody else's: 412 if it sent If-Match, else 409."""
    return 412 if matched_by_header() else 409


def tell_revision(seen: int | None, was: int, now: int) -> None:
    """Tell the script that its write raised the revision `was` to `now`: its next writes then send `now`.

    It is not told if somebody else wrote between the two, since it has not seen that change; nor if the write
    named no revision (`seen` is None), since nothing was checked then.
    """
    if seen is not None and now - was in (0, 1):
        g.revisions = {"was": was, "revision": now}


def tap_field() -> Markup:
    """Return a hidden field that makes two taps on one form one write."""
    return Markup('<input type="hidden" name="tap" value="{}">').format(secrets.token_urlsafe(12))


def leads_to(address: str) -> None:
    """Say to which `address` a repeat of this write is sent: its own page answers POST alone."""
    g.leads_to = address


def nothing_written() -> None:
    """Say that this request wrote nothing: a repeat of it is worked out again."""
    g.pop("once_key", None)


def shown_key() -> str:
    """Return the key of a form that a script sent, and whose answer it shows as a page; empty for others."""
    return str(g.get("shown_key", ""))


def begin() -> ResponseReturnValue | None:
    """Run before each view: answer a write that was done already, and let any other write happen once."""
    if request.method != "POST" or (key := _key()) is None:
        return None
    sets = state().sets
    g.once = ExitStack()
    g.once.enter_context(once(key, sets.who))
    if (answer := answer_of(sets.db, key)) is not None:
        return repeated(AlreadyDone(answer))
    g.once_key = key
    return None


def repeated(done: AlreadyDone) -> ResponseReturnValue:
    """Answer a write that was done before with the way to where it led."""
    g.pop("once_key", None)
    return redirect(done.answer or _back(), 303)


def finish(response: Response) -> Response:
    """Run after each view: remember where a write led, and tell a script so as JSON: it sees no redirect."""
    scripted = request.method == "POST" and KEY in request.headers
    to = response.location if response.status_code in (301, 302, 303) else None
    if (key := g.get("once_key")) is not None and response.status_code < 400:
        _remember(key, to or g.get("leads_to") or _here())
    if scripted:
        response.headers[ANSWERED] = "advisor"
        if to is not None and request.accept_mimetypes.best == "application/json":
            # The response is changed, not replaced, so that it keeps the cookies that the view set.
            response.data = current_app.json.dumps({"to": to, **g.get("revisions", {})})
            response.status_code, response.mimetype = 200, "application/json"
            del response.headers["Location"]
    return response


def end(error: BaseException | None = None) -> None:
    """Run at the end of a request, also after an error: the next one in this thread starts without a key."""
    if (inside := g.pop("once", None)) is not None:
        inside.close()


def _key() -> str | None:
    if key := request.headers.get(KEY):
        return key
    if request.mimetype not in _FORMS:
        return None
    if key := request.form.get("once", ""):
        g.shown_key = key
        return key
    if not (tap := request.form.get("tap", "")):
        return None
    typed = json.dumps(sorted(request.form.items(multi=True)))
    return sha256(f"{tap} {request.full_path} {typed} {_files()}".encode()).hexdigest()


def _files() -> str:
    """Return a text that differs where other files were chosen."""
    told = []
    for field, file in request.files.items(multi=True):
        told.append((field, file.filename or "", sha256(file.read()).hexdigest()))
        file.seek(0)
    return urlencode(sorted((field, f"{name} {digest}") for field, name, digest in told))


def _remember(key: str, answer: str) -> None:
    try:
        set_answer(state().sets.db, key, answer)
    except StoreFault:  # the write itself is kept: a repeat is led to where it came from
        current_app.logger.warning("could not remember where a write led")


def _here() -> str:
    """Return the page that answers, where it can be asked for again."""
    return request.path if "GET" in ((request.url_rule and request.url_rule.methods) or ()) else ""


def _back() -> str:
    """Return the page that the write came from, if it is ours; else the list of sets."""
    return ours(request.referrer or "") or url_for("sets.list_sets")
