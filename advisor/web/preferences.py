"""How a phone wants things shown: kept in its own cookies, so that every phone may differ."""

import re
from dataclasses import dataclass
from urllib.parse import quote, unquote

from flask import Response, has_request_context, request

from ..model import Refused, numbers
from ..model.quantities import Quantity, tidy

FOOT_CANDLE = 10.763910417
"""Lux in a foot-candle: one lumen a square foot of (0.3048 m)². Exact to the digits given."""
FOOT = 0.3048
"""Metres in a foot, exact (international foot)."""
INCH = FOOT / 12
"""Metres in an inch, exact."""
LONGEST_NAME = 40
"""Of a person, as the record shows it. [characters]"""
_YEAR = 365 * 24 * 3600


@dataclass(frozen=True)
class Preferences:
    """`look` is ``night`` or ``day``; `light` is ``lx`` or ``fc``; `length` is ``m`` or ``ft``.

    `who` names the person for the record.
    """

    look: str = "night"
    light: str = "lx"
    length: str = "m"
    who: str = ""


CHOICES = {"look": ("night", "day"), "light": ("lx", "fc"), "length": ("m", "ft")}


def preferences() -> Preferences:
    """Return what this phone chose; the defaults for what it did not."""
    if not has_request_context():
        return Preferences()
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


_LENGTH_UNITS = {
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
    **dict.fromkeys(("cm", "centimetre", "centimetres"), 0.01),
    **dict.fromkeys(("mm", "millimetre", "millimetres"), 0.001),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "’"), FOOT),
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "”", "''"), INCH),
}
_FEET_AND_INCHES = re.compile(
    r"(?P<feet>[^a-z'′’]+)(?:ft|foot|feet|['′’])\.?\s*(?P<inches>\d[^a-z\"″”']*)(?:in|inch|inches|[\"″”]|'')?\.?",
    re.IGNORECASE,
)


def metres(typed: str, of: Quantity, where: str) -> float:
    """Read a length in [m]; without a unit, in the one that the phone works in.

    Takes m, cm, mm, ft, in, and feet with inches (2 ft 6 in). Raises Refused, at `where`, with the range of
    the quantity `of` in the phone's unit.
    """
    size = _LENGTH_UNITS[preferences().length]
    low, high = (tidy(float(f"{end / size:.3g}")) for end in (of.low, of.high))
    allowed = f"{low} to {high} {preferences().length}; also in m, cm, mm, ft, in, or as 2 ft 6 in"
    both = _FEET_AND_INCHES.fullmatch(typed.strip())
    try:
        if both:
            value = (
                numbers.parse(both["feet"]).values[0] * FOOT + numbers.parse(both["inches"]).values[0] * INCH
            )
        else:
            # Signs for feet and inches would be read as marks between thousands.
            sign = re.fullmatch(r"(.*?)\s*(''|['′’\"″”])", typed.strip())
            parsed = numbers.parse(sign[1] if sign else typed)
            unit = (sign[2] if sign else parsed.unit).casefold().rstrip(".") or preferences().length
            if unit not in _LENGTH_UNITS:
                raise Refused.one(where, f"{of.name} {typed.strip()!r} has the unit {unit!r}", allowed)
            size = _LENGTH_UNITS[unit]
            value = parsed.within(of.low / size, of.high / size) * size
    except numbers.NotANumber as no:
        raise Refused.one(where, f"{of.name} {no.reason}", allowed) from None
    if not of.low - 1e-9 <= value <= of.high + 1e-9:
        raise Refused.one(where, f"{of.name} {typed.strip()} is out of range", allowed)
    return min(max(value, of.low), of.high)
