"""What goes wrong, told to the person at the phone; on the API, in the API's shape."""

from flask import Flask, Response, jsonify, render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from ..model import Problem, Refused
from ..store.faults import NotFound, StoreFault

_SAYS = {
    400: ("This request cannot be read", "go back and try again"),
    403: (
        "This came from another site's page, so nothing was changed",
        "open the advisor's own page and do it there",
    ),
    404: ("There is no such page", "it may have been removed: go back to the sets"),
    405: ("This address does not take that kind of request", "open it from the advisor's own pages"),
    413: ("This is too large; nothing was changed", "less at once: the part with the readings, or one set at a time"),
    415: ("The API takes JSON", "send Content-Type: application/json"),
    421: ("The advisor does not answer to that host name", "use the address that it printed at its start"),
    500: ("The advisor made a mistake; what was saved before is unharmed", "go back and try again"),
    503: ("The data cannot be written now", "look at the advisor's own window"),
}


def explain(app: Flask) -> None:
    """Answer every error with words."""

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
        return _answer(503, str(error))

    @app.errorhandler(Refused)
    def _refused(error: Refused) -> ResponseReturnValue:
        if _is_api():
            return jsonify(errors=[p.model_dump() for p in error.problems]), 422
        return render_template(
            "fault.html", code=422, says="This cannot be used", problems=error.problems
        ), 422

    @app.errorhandler(Exception)
    def _mistake(error: Exception) -> ResponseReturnValue:
        app.logger.exception("mistake in %s", request.endpoint)
        return _answer(500)


def _answer(code: int, says: str | None = None) -> ResponseReturnValue:
    known, do = _SAYS.get(code, _SAYS[400 if code < 500 else 500])
    problem = Problem(where="", says=says or known, allowed=do)
    if _is_api():
        return jsonify(errors=[problem.model_dump()]), code
    return render_template("fault.html", code=code, says=problem.says, do=do, problems=[]), code


def _is_api() -> bool:
    return request.path.startswith("/api/")
