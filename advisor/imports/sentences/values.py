"""What a number in a message is, by its unit or by its size."""

from ...model.basis import numbers
from ..vocabulary.headings import Field
from ..vocabulary.words import words
from .token import Token, TokenKind

Pair = tuple[Field, str]
"""A field and the text of its number."""
LUX_UNITS = words("lx lux klx klux fc ftc foot-candle foot-candles footcandle footcandles")
_KELVIN = frozenset({"K", "k", "kelvin", "kelvins", "°k", "kK"})
PERCENT = frozenset({"%", "percent", "pct"})
_MOST_WHOLE = 300.0
"""The highest whole number that may be a Duv in thousandths, or in ten-thousandths. [1]"""
_MIRED = frozenset({"mired", "mireds", "mk-1", "mk⁻¹"})


def may_follow(label: Token, following: Token | None) -> bool:
    """Whether what stands behind a label may be its number."""
    if following is None or following.kind is not TokenKind.NUMBER:
        return False
    unit = by_unit(following)
    return unit is None or unit[0] is label.field


def doubles(named: Field) -> set[Field]:
    """Return the field that says the same as another: CC is a Duv, mired a CCT."""
    for pair in ({Field.DUV, Field.CC}, {Field.CCT, Field.MIRED}):
        if named in pair:
            return pair - {named}
    return set()


def value_of(text: str) -> float:
    """Return the value of the text of a number; 0 where it is none."""
    try:
        return numbers.parse(text).values[0]
    except numbers.NotANumber:
        return 0.0


def by_unit(token: Token) -> Pair | None:
    """Return the field that a number's unit tells, with the number as text; None where it tells none."""
    unit = token.unit
    if not token.values or not unit:
        return None
    value = token.values[0]
    if unit in _KELVIN:
        if unit == "kK" or abs(value) <= 25:
            return Field.CCT, f"{min(token.values, key=abs) * 1000:g}"
        return Field.CCT, token.text
    if unit in LUX_UNITS:
        return Field.LUX, f"{token.text} {unit}"
    if unit in PERCENT:
        return Field.LEVEL, f"{token.text} %"
    if unit in _MIRED:
        return Field.MIRED, token.text
    return (Field.CC, token.text) if unit in ("cc", "ccs") else None


def like_cct(token: Token) -> bool:
    """Whether a bare number may be a CCT: a whole one of 1 000 to 25 000."""
    if not token.bare or token.signed:
        return False
    return any(1000 <= v <= 25000 and v == int(v) for v in token.values) and not token.text.startswith("0")


def like_duv(token: Token) -> bool:
    """Whether a bare number may be a Duv: a small share, or a whole number of thousandths with its sign."""
    if not token.bare or not token.values:
        return False
    value = token.values[-1]
    if abs(value) <= 0.05:
        return True
    if token.signed and 0.1 <= abs(value) < 1 and round(value * 10, 6) == round(value * 10):
        return True  # tenths of a CC
    whole = value == int(value) and abs(value) <= _MOST_WHOLE
    return (
        token.signed and abs(value) >= 1 and (whole or (abs(value) <= 50 and value * 10 == int(value * 10)))
    )


def begins_colour(token: Token) -> bool:
    """Whether a token may be the first number of a colour."""
    if token.kind is TokenKind.LABEL:
        return token.field in (Field.CCT, Field.MIRED, Field.X, Field.U76, Field.U60)
    if token.kind is not TokenKind.NUMBER:
        return False
    return like_cct(token) or token.unit in _KELVIN or token.unit in _MIRED
