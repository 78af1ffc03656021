"""What a number in a message is: by the label before it, by its size, by what was said before it."""

from collections.abc import Sequence

from ...model.basis.units import FOOT_CANDLE
from ..vocabulary.headings import Field
from ..vocabulary.spoken import DESCRIPTIONS
from ..vocabulary.words import words
from .spoken import Spoken
from .token import Token, TokenKind
from .values import LUX_UNITS, PERCENT, Pair, by_unit, doubles, like_cct, like_duv, value_of

_SAME_LUX = 0.08
"""By how much lux and foot-candles of one reading may differ, as people round them. [1]"""
_THEN = words("was were now then before after from to not or")
_SAME_CCT = 0.01
"""By how much a CCT in kelvin may differ from the same one in whole mired. [1]"""


def says_again(spoken: Spoken, named: Field, text: str) -> bool:
    """Whether a number is the CCT that was given already, in mired or in kelvin: "5480 K (182 mired)"."""
    if named is Field.LUX and Field.LUX in spoken.cells:
        first, second = _lux_of(spoken.cells[Field.LUX]), _lux_of(text)
        return first > 0 and abs(second / first - 1) < _SAME_LUX
    given = next((spoken.cells[f] for f in doubles(named) if f in spoken.cells), None)
    if given is None or named not in (Field.CCT, Field.MIRED):
        return False
    return abs(value_of(given) * value_of(text) / 1e6 - 1) < _SAME_CCT


def _lux_of(text: str) -> float:
    unit = text.casefold().partition(" ")[2]
    return value_of(text) * (FOOT_CANDLE if unit.startswith(("fc", "ftc", "foot")) else 1.0)


def by_label(label: Token | None, token: Token) -> Pair | None:
    """Return the field that a label before a number tells, with the number; None where it tells none."""
    if label is None or label.field is None:
        return None
    unit = by_unit(token)
    if (
        unit is not None
        and unit[0] is not label.field
        and not (token.unit in ("k", "K") and label.field is Field.DIAL_CCT)
    ):
        return None
    if label.field is Field.LEVEL and token.unit not in ("", *PERCENT):
        return None
    if token.unit in ("other", "tolerance"):
        return None
    if label.field is Field.LUX and not token.unit and label.text.casefold() in LUX_UNITS:
        return label.field, f"{token.text} {label.text}"
    if unit is not None and label.field is unit[0]:
        return unit
    return label.field, token.text


def by_value(tokens: Sequence[Token], at: int, spoken: Spoken, parted: bool) -> Pair | None:
    """Return the field that the size of the number `at` tells, with the number; None where it is not clear.

    `parted` is whether a mark stands between it and the words before it.
    """
    token = tokens[at]
    if not token.bare or any(said.text.casefold() not in DESCRIPTIONS for said in spoken.rest):
        return None  # behind words that say something else, a number is not clear
    given, value = spoken.cells, token.values[0]
    if Field.DUV not in given and Field.CC not in given and like_duv(token):
        if abs(value) <= 0.05 and (token.signed or value or Field.CCT in given):
            return Field.DUV, token.text
        if token.signed and Field.CCT in given:
            spoken.scaled = True
            return Field.CC, token.text
    if like_cct(token) and (Field.CCT not in given or _duv_follows(tokens, at)):
        within = bool(spoken.groups) and not parted
        return None if within and _swallowed(tokens, at) else (Field.CCT, token.text)
    dimmed = at > 0 and tokens[at - 1].text == "@" and 1 <= value <= 100 and value == int(value)
    if dimmed and not token.signed and Field.LEVEL not in given and Field.CCT in given:
        return Field.LEVEL, f"{token.text} %"  # "5610 +.002 @80"
    ready = Field.DUV in given or Field.CC in given or Field.Y in given
    unsigned = value > 0 and not token.signed and not token.text.startswith("0")
    free = not (at and _parts_from_light(tokens[at - 1], token))
    return (Field.LUX, token.text) if ready and Field.LUX not in given and unsigned and free else None


def _parts_from_light(before: Token, number: Token) -> bool:
    """Whether a number is no light for what stands before it: "(was 5530)", "now 5530", "(5530)"."""
    return before.text.casefold() in _THEN or (before.text == "(" and like_cct(number))


def _swallowed(tokens: Sequence[Token], at: int) -> bool:
    """Whether a number like a CCT belongs to the name before it: "Bay 12 1200 5600 0.003"."""
    behind = tokens[at + 1 : at + 3]
    return len(behind) == 2 and all(t.bare for t in behind) and like_cct(behind[0]) and like_duv(behind[1])


def _duv_follows(tokens: Sequence[Token], at: int) -> bool:
    for following in tokens[at + 1 : at + 3]:
        if following.kind is TokenKind.NUMBER:
            return following.unit == "cc" or (following.bare and like_duv(following))
        if following.kind is TokenKind.LABEL:
            return following.field in (Field.DUV, Field.CC)
        if following.kind is not TokenKind.MARK:
            return False
    return False
