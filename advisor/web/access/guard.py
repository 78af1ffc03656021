"""Who may ask for what, and what an answer lets a browser do.

In this order: the host name (DNS rebinding), the origin of what changes something (cross-site requests),
whether the person joined, the form's token, the right that the view needs.

References
----------
OWASP ASVS 5.0, V3 (web frontend security): Origin checks, content security policy, headers; V8
(authorization): one table, closed by default.
"""

from urllib.parse import urlsplit

from flask import Flask, Response, abort, redirect, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import Forbidden

from .lan import LOOPBACK
from .rights import KEPT, WORDS, Right, needed
from .sessions import form_token, host_name, names_us, people, person, token_field, token_fits

_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_FOR_SCRIPTS = ("/api/", "/live/")
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' {styles}; img-src 'self' data:; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; "
    "frame-ancestors 'none'; base-uri 'none'"
)
_POLICY_OF_FILES = "default-src 'none'; frame-ancestors 'none'"
"""A file is no page: it may load nothing, and its policy is sent with each of the first visit's files."""
_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


_TAKING_FILES = ("record.import_set", "gel_import.import_table", "head_exchange.import_heads")
_LARGER = dict.fromkeys(_TAKING_FILES, 20_000_000)
"""The largest request to views that take files of ours: the longest in a form of several parts. [byte]"""


class NotAllowed(Forbidden):
    """A refusal that tells a person who joined why, and what to do; what was typed is shown again."""

    def __init__(self, says: str, do: str) -> None:
        super().__init__()
        self.says, self.do = says, do


def guard(app: Flask, hosts: frozenset[str] = LOOPBACK, *, styles: str) -> None:
    """Let through only what may be asked; `hosts` are the names to answer to where there is no network.

    `styles` is the hash of the one inline style that a page may have, as the policy names it.
    """
    headers = {"Content-Security-Policy": _POLICY.format(styles=styles), **_HEADERS}

    @app.before_request
    def _guard() -> ResponseReturnValue | None:
        # A page elsewhere can point its own name at this machine; only the name tells.
        if not names_us(hosts):
            abort(421)
        changing = request.method not in _SAFE
        if changing:
            _check_origin()
        need = needed(request.endpoint, changing=changing)
        who = person()
        if need > Right.GUEST and who.role is Right.GUEST:
            return _to_join()
        able = who.role >= need
        if changing and able and (most := _LARGER.get(request.endpoint or "")) is not None:
            # Before the token, which may come as a field: looking for it reads the whole form.
            request.max_content_length = request.max_form_memory_size = most
        if changing:
            _check_token()
        if not able:
            raise _not_theirs(need)
        return None

    @app.after_request
    def _headers(response: Response) -> Response:
        if request.endpoint == "static":
            response.headers["Content-Security-Policy"] = _POLICY_OF_FILES
        for name, value in headers.items():
            response.headers.setdefault(name, value)
        if request.is_secure or host_name(request.host) in LOOPBACK:
            # Elsewhere browsers do not heed it, and complain.
            response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        if "Cache-Control" not in response.headers:
            response.headers["Cache-Control"] = "no-store"
        return response

    app.jinja_env.globals.update(
        person=person,
        form_token=form_token,
        token_field=token_field,
        may=lambda view: person().role >= needed(view, changing=True),
    )


def for_scripts() -> bool:
    """Whether the answer goes to a program rather than to a person."""
    return request.path.startswith(_FOR_SCRIPTS)


def ours(address: str) -> str:
    """Return the path of an address of ours with its query; nothing for any other."""
    parts = urlsplit(address)
    # A browser reads a backslash as a slash, and drops what is no sign at all.
    plain = address.isprintable() and "\\" not in address
    here = parts.netloc in ("", request.host) and parts.path.startswith("/") and parts.path[1:2] != "/"
    if not (plain and here):
        return ""
    return parts.path + (f"?{parts.query}" if parts.query else "")


def _check_origin() -> None:
    origin = request.headers.get("Origin")
    if origin is None and request.path.startswith("/api/"):
        return  # not a browser: every browser names the origin of a POST
    if origin != f"{request.scheme}://{request.host}":
        abort(403)


def _check_token() -> None:
    if request.path.startswith("/api/"):
        return  # no page of ours sends to it, and a page elsewhere names its origin
    given = request.headers.get("X-Token") or request.form.get("token", "")
    if not token_fits(given):
        raise NotAllowed(
            "This page is from before this phone joined again, so nothing was changed",
            "open the page again, and send it from there. What you typed is below",
        )


def _to_join() -> ResponseReturnValue:
    # A part of a page goes to a script, which would put the page to join in its place.
    if request.method not in _SAFE or for_scripts() or "part" in request.args:
        abort(401)
    return redirect(url_for("join.show_join", next=ours(request.full_path.rstrip("?")) or None), 303)


def _not_theirs(need: Right) -> NotAllowed:
    phones = people().phones.all()
    able = [p.name for p in phones if p.revoked_at is None and not p.program and KEPT[p.role] >= need]
    who = ", ".join(["whoever is at the laptop", *able[:10]])
    return NotAllowed(
        f"{person().name} {WORDS[person().role]}, and this takes somebody who {WORDS[need]}",
        f"ask one of these: {who}. Roles are given on the page Phones, at the laptop or by who can give them",
    )
