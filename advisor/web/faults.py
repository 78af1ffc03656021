"""What goes wrong, told to the person at the phone; on the API, in the API's shape."""

import traceback
from pathlib import Path

from flask import Flask, Response, jsonify, render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from ..model import Problem, Refused
from ..store.faults import NotFound, StoreFault
from .security import Told, for_scripts
from .sessions import person

_SAYS = {
    400: ("This request cannot be read", "go back and try again"),
    401: (
        "This phone has not joined, so nothing was changed",
        "join at /join with the code that the host shows",
    ),
    403: (
        "This came from another site's page, so nothing was changed",
        "open the advisor's own page and do it there",
    ),
    404: ("There is no such page", "it may have been removed: go back to the sets"),
    405: ("This address does not take that kind of request", "open it from the advisor's own pages"),
    413: (
        "This is too large; nothing was changed",
        "at most 1 MB of text at once: the part with the readings, or one set",
    ),
    415: ("The API takes JSON", "send Content-Type: application/json"),
    421: ("The advisor does not answer to that host name", "use the address that it printed at its start"),
    500: ("The advisor made a mistake; what was saved before is unharmed", "go back and try again"),
    503: ("The data cannot be written now", "look at the advisor's own window"),
}

_NOT_TYPED = {"token", "once", "revision", "version", "next", "code"}
_FRAMES = 6


def explain(app: Flask) -> None:
    """Answer every error with words."""

    @app.errorhandler(Told)
    def _told(error: Told) -> ResponseReturnValue:
        return _answer(403, error.says, error.do)

    @app.errorhandler(HTTPException)
    def _http(error: HTTPException) -> ResponseReturnValue:
        if isinstance(error.response, Response):
            return error.response
        answer = app.make_response(_answer(error.code or 500))
        if isinstance(error, MethodNotAllowed):
            answer.allow.update(error.valid_methods or ())  # RFC 9110, 15.5.6: a 405 says what is allowed
        return answer

    @app.errorhandler(NotFound)
    def _gone(error: NotFound) -> ResponseReturnValue:
        return _answer(404)

    @app.errorhandler(StoreFault)
    def _store(error: StoreFault) -> ResponseReturnValue:
        app.logger.error("%s", error)
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


def _answer(code: int, says: str | None = None, do: str | None = None) -> ResponseReturnValue:
    known, usual = _SAYS.get(code, _SAYS[400 if code < 500 else 500])
    problem = Problem(where="", says=says or known, allowed=do or usual)
    if for_scripts():
        return jsonify(errors=[problem.model_dump()]), code
    return render_template(
        "fault.html", code=code, says=problem.says, do=problem.allowed, problems=[], typed=_typed(code)
    ), code


def _typed(code: int) -> list[tuple[str, str]]:
    """Return what a person typed into a form that was refused before it was looked at."""
    if code != 403 or not person().joined:
        return []
    return [(k, v) for k, v in request.form.items(multi=True) if v.strip() and k not in _NOT_TYPED]


def _place(error: Exception) -> str:
    """Say what happened and where, without its text: that may hold what a person typed."""
    frames = traceback.extract_tb(error.__traceback__)[-_FRAMES:]
    return f"{type(error).__name__} at " + ", ".join(f"{Path(f.filename).name}:{f.lineno}" for f in frames)
