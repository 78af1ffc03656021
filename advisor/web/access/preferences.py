"""How a phone wants things shown: kept in its own cookies, so that every phone may differ."""

from dataclasses import dataclass
from typing import cast
from urllib.parse import quote, unquote

from flask import Response, has_request_context, request

from ...store.crew.phones import LONGEST_NAME

_YEAR = 365 * 24 * 3600


@dataclass(frozen=True)
class Preferences:
    """`look` is ``night``, ``day`` or ``dim``; `light` is ``lx`` or ``fc``; `length` is ``m`` or ``ft``.

    `who` names the person for the record.
    """

    look: str = "night"
    light: str = "lx"
    length: str = "m"
    who: str = ""


_CHOSEN = "advisor.preferences"
CHOICES = {"look": ("night", "day", "dim"), "light": ("lx", "fc"), "length": ("m", "ft")}


def preferences() -> Preferences:
    """Return what this phone chose; the defaults for what it did not."""
    if not has_request_context():
        return Preferences()
    # A page with hundreds of figures asks as often.
    if _CHOSEN not in request.environ:
        request.environ[_CHOSEN] = _preferences()
    return cast(Preferences, request.environ[_CHOSEN])


def _preferences() -> Preferences:
    chosen = {k: v for k, allowed in CHOICES.items() if (v := request.cookies.get(k)) in allowed}
    return Preferences(**chosen, who=unquote(request.cookies.get("who", ""))[:LONGEST_NAME])


def remember_name(response: Response, name: str) -> None:
    """Keep the person's name on the phone; an empty one is forgotten."""
    clean = "".join(c for c in name if c.isprintable()).strip()[:LONGEST_NAME]
    response.set_cookie("who", quote(clean), max_age=_YEAR, httponly=True, samesite="Strict")


def remember(response: Response, name: str, value: str) -> None:
    """Keep a choice on the phone; what is no choice is left out."""
    if value in CHOICES.get(name, ()):
        response.set_cookie(name, value, max_age=_YEAR, httponly=True, samesite="Strict")
