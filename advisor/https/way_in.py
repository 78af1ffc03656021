"""What goes over plain HTTP beside HTTPS: the page on which a phone learns to trust the laptop."""

from collections.abc import Callable, Iterable
from typing import Any

from .front import Application

_OPEN = ("/trust", "/trust/gel-advisor.crt", "/manifest.webmanifest")


def by_port(https: Application, app: Application, plain: int) -> Application:
    """Return what answers `https` requests as that does, and those at the port `plain` with the way in alone.

    There a request has no cookie and changes nothing; any other address leads to the page.
    """

    def way_in(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        path, reads = environ.get("PATH_INFO", ""), environ["REQUEST_METHOD"] in ("GET", "HEAD")
        if reads and (path in _OPEN or path.startswith("/static/")):
            environ.pop("HTTP_COOKIE", None)
            return app(environ, start_response)
        start_response("303 See Other", [("Location", "/trust"), ("Content-Length", "0")])
        return []

    def answer(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        return (way_in if environ["SERVER_PORT"] == str(plain) else https)(environ, start_response)

    return answer
