"""What goes wrong, told to the person at the phone; on the API, in the API's shape."""

import sysconfig
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import Flask, Response, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from ..model import Problem, Refused
from ..model.basis.fields import field_label
from ..store import StoredSource
from ..store.file.faults import NotFound, NotReadYet, StoreFault
from .access.guard import NotAllowed, for_scripts, ours
from .access.sessions import person, stand_in
from .live.aside import Working
from .live.conflict import SENT_AGAIN
from .live.jobs import JobState
from .pastes.again import sent_again
from .plans.aside import read_ahead
from .plans.onward.drifting import watched
from .state import state

_SAYS = {
    400: ("This request cannot be read", "go back and try again"),
    401: (
        "This phone has not joined, so nothing was changed",
        "join at /join with the code that the laptop shows",
    ),
    403: (
        "This came from another site's page, so nothing was changed",
        "open its page again and do it there",
    ),
    404: ("There is no such page", "it may have been removed: go back to the sets"),
    405: ("This address does not take that kind of request", "open it from its own pages"),
    413: (
        "This is too large, and nothing was changed",
        "at most 1 MB of text at once: the part with the readings, or one set",
    ),
    415: ("The API takes JSON", "send Content-Type: application/json"),
    421: ("The laptop does not answer to that name", "use the address that it printed at its start"),
    500: ("The advisor made a mistake. What was saved before is unharmed", "go back and try again"),
    503: ("The data cannot be written now", "look at its window on the laptop"),
}

_SAYS_API = {
    401: (
        "No key that is known here came with this, so nothing was answered",
        "a key from the page Phones, sent as Authorization: Bearer KEY",
    ),
    404: ("The API has no such address", "those that /api/v1/openapi.json describes"),
    405: ("This address does not take that kind of request", "see /api/v1/openapi.json"),
}
_LISTED_AT = {"set": "/api/v1/sets", "source": "/api/v1/sets/{id}", "head": "/api/v1/heads"}
_RESTORED_BY = {
    "source": "sources.restore_source",
    "set": "sets.restore_set",
    "head": "known_heads.restore_head",
}
_NUMBERED = {"source": "source_id", "set": "set_id", "head": "head_id"}
_GIVES_BACK = {403, 404, 500, 503}
"""A form that one of these answers was not looked at by its page: what was typed is given back."""
_NOT_TYPED = {
    "token",
    "once",
    "tap",
    "revision",
    "version",
    "seen",
    "was",
    "showed",
    "asked",
    "taken",
    "sent",
    "next",
    "code",
}
_NOT_TYPED |= {"seen_target", "action", "stack", "hung", "shot", "job", "invite", "stop"}
_MOST_TYPED = 100_000
"""The longest text that is given back: a longer one came from a file. [characters]"""
_FRAMES = 6
_ROOTS = sorted(
    {Path(__file__).parents[2], *(Path(sysconfig.get_path(p)) for p in ("purelib", "platlib", "stdlib"))},
    key=lambda root: -len(root.parts),
)
"""Where packages lie, the innermost first: that of the advisor, of the libraries and of Python itself."""


def explain(app: Flask) -> None:
    """Answer every error with words."""

    @app.errorhandler(NotAllowed)
    def _told(error: NotAllowed) -> ResponseReturnValue:
        return _answer(403, error.says, error.do)

    @app.errorhandler(HTTPException)
    def _http(error: HTTPException) -> ResponseReturnValue:
        if isinstance(error.response, Response):
            return error.response
        answer = app.make_response(_answer(error.code or 500))
        if error.code == 401 and request.path.startswith("/api/"):
            answer.headers["WWW-Authenticate"] = "Bearer"  # RFC 9110, 11.6.1: a 401 says how to ask
        if isinstance(error, MethodNotAllowed):
            answer.allow.update(error.valid_methods or ())  # RFC 9110, 15.5.6: a 405 says what is allowed
        return answer

    @app.errorhandler(NotFound)
    def _gone(error: NotFound) -> ResponseReturnValue:
        if error.deleted and error.what in _RESTORED_BY:
            return _removed(error)
        if for_scripts() and error.what in _LISTED_AT:
            says = f"There is no {error.what} {error.number}"
            return _answer(404, says, f"one of those that GET {_LISTED_AT[error.what]} lists")
        return _answer(404)

    @app.errorhandler(Working)
    def _working(working: Working) -> ResponseReturnValue:
        # 503: worker.js takes that for nobody's answer, unless it says whose it is (RFC 9110, 15.6.4).
        headers = {"Retry-After": "1", "Answered-By": "advisor"}
        percent, running = working.job.percent, working.job.state is JobState.RUNNING
        if for_scripts():
            says = f"{working.what} {'is being worked out' if running else 'was stopped'}: {percent} %"
            problem = Problem(where="", says=says, allowed="ask again in a second")
            told = {"number": working.number, "state": working.job.state, "percent": percent}
            return jsonify(errors=[problem.model_dump()], working=told), 503, headers
        page, again = ours(request.full_path.rstrip("?")), sent_again(working)
        shown = {"number": working.number, "what": working.what, "percent": percent, "running": running}
        shown["tells"] = not working.fields
        return render_template("working.html", page=page, again=again, **shown), 503, headers

    @app.errorhandler(NotReadYet)
    def _not_read(error: NotReadYet) -> ResponseReturnValue:
        try:
            read_ahead(error.set_id, watched)
        except Working as working:
            return _working(working)
        return redirect(request.full_path.rstrip("?"))

    @app.errorhandler(StoreFault)
    def _store(error: StoreFault) -> ResponseReturnValue:
        app.logger.error("%s", error)
        stand_in()
        # It names folders, which are no stranger's business.
        return _answer(503, str(error) if person().joined else None)

    @app.errorhandler(Refused)
    def _refused(error: Refused) -> ResponseReturnValue:
        if for_scripts():
            return jsonify(errors=[p.model_dump() for p in error.problems]), 422
        return render_template(
            "fault.html", code=422, says="This cannot be used", problems=error.problems
        ), 422

    @app.errorhandler(Exception)
    def _mistake(error: Exception) -> ResponseReturnValue:
        app.logger.error("mistake in %s: %s", request.endpoint, _place(error))
        return _answer(500)


def _removed(error: NotFound) -> ResponseReturnValue:
    """Say that a source or a set was removed, with a way to bring it back."""
    typed = _typed(404)
    saved = ", so nothing was saved" if request.method == "POST" else ""
    below = ". What you typed is below" if typed else ""
    view, number = _RESTORED_BY[error.what], error.number
    address: dict[str, Any] = {_NUMBERED[error.what]: number}
    action = url_for(view, **address)
    kept = _kept_form(number) if error.what == "source" and saved else None
    way = "bring it back"
    if kept:
        way = (
            "put it back with the reading, or give that to another"
            if kept.reading
            else "put it back and save"
        )
    return _answer(
        404,
        f"This {error.what} was removed{' meanwhile' if saved else ''}{saved}",
        f"{way}{below}",
        restored_by=(view, action, f"The {error.what} is removed."),
        kept=kept,
    )


@dataclass(frozen=True)
class KeptForm:
    """A form of a source that was removed: what it sent, the source, and who may have its reading instead.

    `then` names what is kept (`SENT_AGAIN`).
    """

    of: StoredSource
    then: str
    fields: Sequence[tuple[str, str]]
    others: Sequence[StoredSource]

    @property
    def reading(self) -> bool:
        """Whether it is a new reading."""
        return self.then == "reading"

    @property
    def words(self) -> str:
        """What waits, where it is sent without a link."""
        return f"{'New reading for' if self.reading else 'Change of'} {self.of.source.name}"

    @property
    def bare(self) -> list[tuple[str, str]]:
        """The fields without what hung on the source that they were typed for, its level and its dials."""
        return [(name, value) for name, value in self.fields if name not in _OF_ITS_SOURCE]


def _kept_form(source_id: int) -> KeptForm | None:
    """Return what was sent for a source that was removed meanwhile; None where that is not sent again."""
    then = next((name for name, view in SENT_AGAIN.items() if view == request.endpoint), None)
    if then is None or not person().joined:
        return None
    of = state().sets.get_source(source_id)
    try:
        others = state().sets.get_set(of.set_id).sources
    except NotFound:
        return None
    fields = [(k, v) for k, v in request.form.items(multi=True) if k not in _OF_ONE_FORM]
    fields += [
        ("of_reading", str(value))
        for name, value in (request.view_args or {}).items()
        if name == "reading_id"
    ]
    return KeptForm(of, then, fields, others if then == "reading" else ())


_OF_ONE_FORM = ("token", "once", "tap", "taken", "sent", "waited")
_OF_ITS_SOURCE = ("behind", "hung", "level", "modifier", "dial_cct", "dial_green")


def _answer(code: int, says: str | None = None, do: str | None = None, **also: object) -> ResponseReturnValue:
    of_api = _SAYS_API.get(code) if request.path.startswith("/api/") else None
    known, usual = of_api or _SAYS.get(code, _SAYS[400 if code < 500 else 500])
    problem = Problem(where="", says=says or known, allowed=do or usual)
    if for_scripts():
        return jsonify(errors=[problem.model_dump()]), code
    page = {"says": problem.says, "do": problem.allowed, "problems": [], "typed": _typed(code)}
    return render_template("fault.html", code=code, **page, **also), code


def _typed(code: int) -> list[tuple[str, str]]:
    """Return what a person typed into a form that came to nothing, whatever its page made of it."""
    if request.method != "POST" or code not in _GIVES_BACK or not person().joined:
        return []
    try:
        fields = list(request.form.items(multi=True))
    except HTTPException:  # too large, or no form
        return []
    # What a page that is asked to look at a text once more sends of its rows stands in the text.
    kept = [(k, v) for k, v in fields if k not in _NOT_TYPED and not k.startswith("row-")]
    return [(field_label(k), v) for k, v in kept if v.strip() and len(v) <= _MOST_TYPED]


def _place(error: Exception) -> str:
    """Say what happened and where, without its text: that may hold what a person typed."""
    frames = traceback.extract_tb(error.__traceback__)[-_FRAMES:]
    return f"{type(error).__name__} at " + ", ".join(f"{_in_package(f.filename)}:{f.lineno}" for f in frames)


def _in_package(file: str) -> str:
    """Return a file's path in its package (there are three sources.py); no folder of this machine's."""
    path = Path(file)
    root = next((root for root in _ROOTS if path.is_relative_to(root)), path.parent)
    return path.relative_to(root).as_posix()
