"""How a phone wants things shown: kept in its own cookies, so that every phone may differ."""

import re
from dataclasses import dataclass
from urllib.parse import quote, unquote

from flask import Response, has_request_context, request

from ..model import Refused, numbers
from ..model.quantities import Quantity, tidy
from ..model.units import FOOT, INCH
from ..store.phones import LONGEST_NAME

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


_FRACTION = re.compile(r"(?:(\d+)[\s-]+)?(\d+)/([1-9]\d?)")
_VULGAR = str.maketrans(
    {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
)


def metres(typed: str, of: Quantity, where: str) -> float:
    """Read a length in [m]; without a unit, in the one that the phone works in.

    Takes m, cm, mm, ft, in, and feet with inches, with fractions too (2 ft 6 1/2 in). Raises Refused, at
    `where`, with the range of the quantity `of` in the phone's unit.
    """
    unit = preferences().length
    low, high = (tidy(float(f"{end / _LENGTH_UNITS[unit]:.3g}")) for end in (of.low, of.high))
    allowed = f"{low} to {high} {unit}; also in m, cm, mm, ft, in, or as 2 ft 6 in"
    try:
        value = _length(_FRACTION.sub(_decimal, typed.translate(_VULGAR)).strip(), of)
    except numbers.NotANumber as no:
        raise Refused.one(where, f"{of.name} {no.reason}", allowed) from None
    if not of.low - 1e-9 <= value <= of.high + 1e-9:
        raise Refused.one(where, f"{of.name} {typed.strip()} is out of range", allowed)
    return min(max(value, of.low), of.high)


def _decimal(fraction: re.Match[str]) -> str:
    whole, part, of = fraction.groups()
    return f"{int(whole or 0) + int(part) / int(of):.6f}"


def _length(text: str, of: Quantity) -> float:
    """Return a length in [m], likelier in the range of `of` where it can mean two; raises NotANumber."""
    both = _FEET_AND_INCHES.fullmatch(text)
    if both:
        feet, inches = numbers.parse(both["feet"]), numbers.parse(both["inches"])
        if feet.unit or inches.unit:
            raise numbers.NotANumber(f"{text!r} is not a length")
        return feet.values[0] * FOOT + inches.values[0] * INCH
    # Signs for feet and inches would be read as marks between thousands.
    sign = re.fullmatch(r"(.*?)\s*(''|['′’\"″”])", text)
    parsed = numbers.parse(sign[1] if sign else text)
    unit = (sign[2] if sign else parsed.unit).casefold().rstrip(".") or preferences().length
    if unit not in _LENGTH_UNITS or (sign and parsed.unit):
        raise numbers.NotANumber(f"{text!r} has the unit {unit!r}")
    size = _LENGTH_UNITS[unit]
    return parsed.within(of.low / size, of.high / size) * size
