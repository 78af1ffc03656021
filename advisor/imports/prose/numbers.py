"""What a number among the words of a line is: by its unit, its label, its sign and its size."""

import re
from collections.abc import Sequence

from ..sentences.token import Token, TokenKind
from ..sentences.values import by_unit, like_cct, like_duv
from ..vocabulary.headings import Field
from ..vocabulary.words import words
from . import vocabulary as w
from .item import Is, Item

LEVEL_BEFORE = words("at @ dimmed to bei à al auf op på przy")
"""Words before a dim level."""
_LEVELS = frozenset({"level", "intensity", "dimmer", "output", "dim", "dimming"})


def figure_of(found: Sequence[Token], at: int, out: Sequence[Item]) -> tuple[Field, str] | None:
    """Return what a number is by its unit, label, sign and size; None where nothing tells."""
    token, before = found[at], found[at - 1] if at else None
    if not token.values:
        return None
    value = token.values[0]
    unit = by_unit(token)
    if unit is not None:
        kilowatts = (
            unit[0] is Field.CCT and token.unit in ("k", "K") and abs(value) <= 24 and value == int(value)
        )
        return None if kilowatts and is_head(found, at) else unit
    if token.unit:
        return None
    label = before.field if before is not None and before.kind is TokenKind.LABEL else None
    if label in (Field.CCT, Field.LUX, Field.LEVEL, Field.CC):
        return label, f"{token.text} %" if label is Field.LEVEL else token.text
    if like_cct(token):
        return Field.CCT, token.text
    if misses_a_digit(found, at):
        return Field.CCT, f"{value * 10:g}"
    if 25_000 < value < 100_000 and value % 10 == 0 and not token.signed:
        return Field.CCT, f"{value / 10:g}"
    if like_duv(token) and (token.signed or label is Field.DUV or 0 < abs(value) <= 0.05):
        return (Field.DUV if abs(value) <= 0.05 else Field.CC), token.text
    if label is Field.DUV and abs(value) <= 50:
        return (Field.DUV if abs(value) <= 0.05 else Field.CC), token.text
    said = before is not None and before.text.casefold() in LEVEL_BEFORE | _LEVELS
    if said and 1 <= value <= 100 and value == int(value) and not token.signed:
        return Field.LEVEL, f"{token.text} %"
    if value == 0 and not token.signed and _is_no_duv(found, at):
        return Field.DUV, token.text
    last = out[-1] if out else None
    behind = (
        last is not None
        and last.kind in (Is.FIGURE, Is.PART)
        and any(item.field in (Field.DUV, Field.CC) for item in out[-3:])
    )
    following = found[at + 1] if at + 1 < len(found) else None
    ends = following is None or following.kind is TokenKind.MARK
    free = ends or (before is not None and before.text == "/")
    if behind and free and value > 0 and value == int(value) and not token.signed:
        return Field.LUX, token.text
    return None


def _is_no_duv(found: Sequence[Token], at: int) -> bool:
    """Whether a 0 is the Duv of the CCT before it: "3200/0", "3210 0" at the end of its part."""
    before = next((token for token in reversed(found[max(at - 2, 0) : at]) if token.text != "/"), None)
    ends = at + 1 == len(found) or found[at + 1].kind is TokenKind.MARK or found[at - 1].text == "/"
    return ends and before is not None and (like_cct(before) or before.unit in ("k", "K"))


def misses_a_digit(found: Sequence[Token], at: int) -> bool:
    """Whether a number of three digits stands where a CCT does: behind a word, with its Duv behind it."""
    behind = found[at + 1] if at + 1 < len(found) else None
    before = found[at - 1] if at else None
    word = before is not None and before.kind in (TokenKind.WORD, TokenKind.FILLER)
    whole = re.fullmatch(r"[2-9]\d\d", found[at].text) is not None
    return word and whole and behind is not None and behind.signed and behind.bare and like_duv(behind)


def is_head(found: Sequence[Token], at: int) -> bool:
    """Whether a number of kilowatts calls a head: a CCT comes behind it, with a word between."""
    between = at > 0 and found[at - 1].text.casefold() in w.ARTICLES
    for token in found[at + 1 : at + 12]:
        if token.kind is TokenKind.NUMBER:
            return between and like_cct(token)
        between = between or token.kind in (TokenKind.WORD, TokenKind.FILLER)
    return False
