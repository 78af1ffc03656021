"""Who may ask, and what an answer lets a browser do.

References
----------
OWASP ASVS 5.0, V3 (web frontend security): Origin checks, content security policy, headers.
"""

from urllib.parse import urlsplit

from flask import Flask, Response, abort, request

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
"""The names under which a server on this machine is reached."""
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
        "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def guard(app: Flask, hosts: frozenset[str]) -> None:
    """Refuse foreign host names and writes that come from other sites' pages."""

    @app.before_request
    def _known_host() -> None:
        # A page elsewhere can point its own name at this machine (DNS rebinding); only the name tells.
        if _name(request.host) not in hosts:
            abort(421)

    @app.before_request
    def _own_origin() -> None:
        if request.method in _SAFE:
            return
        origin = request.headers.get("Origin")
        if origin is None and request.path.startswith("/api/"):
            return  # not a browser: every browser names the origin of a POST; and the API keeps nothing
        if origin is None or urlsplit(origin).netloc != request.host:
            abort(403)

    @app.after_request
    def _headers(response: Response) -> Response:
        for name, value in _HEADERS.items():
            response.headers.setdefault(name, value)
        if "Cache-Control" not in response.headers:
            response.headers["Cache-Control"] = "no-store"
        return response


def _name(host: str) -> str:
    """Return the host name without its port; an IPv6 literal keeps its brackets."""
    return host.rpartition(":")[0] if ":" in host and not host.endswith("]") else host
