"""Lengths as people type them: m, cm, mm, feet and inches, fractions too."""

import re
from dataclasses import dataclass

from ...model import Problem, Refused
from ...model.basis import numbers
from ...model.basis.quantities import Quantity, tidy
from ...model.basis.units import FOOT, INCH
from ..access.preferences import preferences
from ..wording.values import extent
from .form import Form

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
    allowed = f"{low} to {high} {unit}. Also in m, cm, mm, ft, in, or as 2 ft 6 in"
    try:
        value = _read(_FRACTION.sub(_decimal, typed.translate(_VULGAR)).strip(), of)
    except numbers.NotANumber as no:
        raise Refused.one(where, f"{of.name} {no.reason}", allowed) from None
    if not of.low - 1e-9 <= value <= of.high + 1e-9:
        raise Refused.one(where, f"{of.name} {typed.strip()} is out of range", allowed)
    return min(max(value, of.low), of.high)


def _decimal(fraction: re.Match[str]) -> str:
    whole, part, of = fraction.groups()
    return f"{int(whole or 0) + int(part) / int(of):.6f}"


def _read(text: str, of: Quantity) -> float:
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


def length_in(form: Form, field: str, of: Quantity, before: float | None, wrong: list[Problem]) -> float:
    """Read a length from a field; one that stands there as it was shown keeps all its digits."""
    typed = form.value(field).strip()
    if before is not None and typed == length_field(before):
        return before
    try:
        return metres(typed, of, field)
    except Refused as no:
        wrong += no.problems
        return of.low


def length_field(length: float) -> str:
    """Write a length as its field shows it: without the unit in metres, where that stands beside it."""
    return extent(length).removesuffix(" m")


@dataclass(frozen=True)
class LengthEntry:
    """How lengths are typed on this phone: the unit beside a field, its keypad, and what may be typed."""

    unit: str
    mode: str
    examples: str


def length_entry() -> LengthEntry:
    """Return how lengths are typed: metres with a keypad, or feet and inches as text."""
    if preferences().length == "m":
        return LengthEntry("m", "decimal", "Metres, or with a unit: 60 cm, 24 in, 2 ft 6 in.")
    return LengthEntry("", "text", "Feet, or with a unit: 2 ft 6 in, 24 in, 0.6 m, 60 cm.")
