"""How a phone wants things shown: kept in its own cookies, so that every phone may differ."""

from dataclasses import dataclass

from flask import Response, has_request_context, request

FOOT_CANDLE = 10.763910417
"""Lux in a foot-candle: one lumen a square foot of (0.3048 m)². Exact to the digits given."""
_YEAR = 365 * 24 * 3600


@dataclass(frozen=True)
class Preferences:
    """`look` is ``night`` or ``day``; `light` is ``lx`` or ``fc``."""

    look: str = "night"
    light: str = "lx"


CHOICES = {"look": ("night", "day"), "light": ("lx", "fc")}


def preferences() -> Preferences:
    """Return what this phone chose; the defaults for what it did not."""
    if not has_request_context():
        return Preferences()
    chosen = {k: v for k, allowed in CHOICES.items() if (v := request.cookies.get(k)) in allowed}
    return Preferences(**chosen)


def remember(response: Response, name: str, value: str) -> None:
    """Keep a choice on the phone; what is no choice is left out."""
    if value in CHOICES.get(name, ()):
        response.set_cookie(name, value, max_age=_YEAR, httponly=True, samesite="Strict")
