"""Numbers that are words, and signs that are: "plus .004", "minus three", "8 CC magenta", "5480 green 4"."""

from dataclasses import replace

from ..vocabulary.spoken import GREEN, MAGENTA, is_digit, number_said, sign_said
from .token import Token, TokenKind


def signed(found: list[Token]) -> list[Token]:
    """Make numbers of signs and numbers that are words: "plus .004", "minus three", "8 CC magenta"."""
    out: list[Token] = []
    at = 0
    while at < len(found):
        token = found[at]
        said = number_said([t.text for t in found[at : at + 8]])
        sign = sign_said(token.text) if token.kind is not TokenKind.NUMBER else 0
        following = found[at + 1] if at + 1 < len(found) else None
        if token.text.casefold() == "point" and following is not None and following.text.isdigit():
            text = f"0.{following.text}"
            out.append(Token(TokenKind.NUMBER, text, token.start, following.end, (float(text),)))
            at += 2
        elif said is not None:
            text, count = said
            last = found[at + count - 1]
            value = float(text)
            further = found[at + count] if at + count < len(found) else None
            # "plus six five" may be 6.5, or 6 and something else.
            unit = "unclear" if further is not None and is_digit(further.text) else ""
            out.append(Token(TokenKind.NUMBER, text, token.start, last.end, (value,), unit, text[0] in "+-"))
            at += count
        elif sign and following is not None and following.kind is TokenKind.NUMBER and not following.signed:
            mark = "-" if sign < 0 else "+"
            values = tuple(sign * v for v in following.values)
            out.append(
                replace(following, text=mark + following.text, values=values, start=token.start, signed=True)
            )
            at += 2
        else:
            out.append(token)
            at += 1
    return _shaded(out)


def _shaded(found: list[Token]) -> list[Token]:
    """Give numbers of green and magenta their sign: "8M", "magenta 4", "8 CC magenta", "0.004 green"."""
    out: list[Token] = []
    at = 0
    while at < len(found):
        token = found[at]
        following = found[at + 1] if at + 1 < len(found) else None
        shade = _shade(token.unit) if token.kind is TokenKind.NUMBER else 0
        if shade and _is_amount(token):
            out.append(_in_cc(token, shade))
        elif shade and _small(following):
            assert following is not None, "it is small"
            out += [replace(token, unit=""), _in_cc(following, shade)]  # "5480 green 4"
            at += 1
        elif shade:
            out.append(replace(token, unit="other"))
        elif token.kind is TokenKind.NUMBER and token.unit == "cc" and following and _shade(following.text):
            out.append(_in_cc(replace(token, end=following.end), _shade(following.text)))
            at += 1
        elif token.kind in (TokenKind.WORD, TokenKind.FILLER) and _shade(token.text) and _small(following):
            assert following is not None, "it is small"
            out.append(_in_cc(replace(following, start=token.start), _shade(token.text)))
            at += 1
        else:
            out.append(token)
        at += 1
    return out


def _small(token: Token | None) -> bool:
    if token is None or token.kind is not TokenKind.NUMBER or token.unit not in ("", "cc"):
        return False
    return _is_amount(token)


def _is_amount(token: Token) -> bool:
    """Whether a number can say how green a light is, in CC or as a Duv."""
    return bool(token.values) and (0.5 <= abs(token.values[0]) <= 50 or _is_duv(token.values[0]))


def _is_duv(value: float) -> bool:
    """Whether a number of green or magenta is a Duv: no meter reads a thousandth of a CC."""
    return 0.0 < abs(value) <= 0.06


def _shade(word: str) -> int:
    if word in ("G", "g") or word.casefold() in GREEN:
        return 1
    return -1 if word == "M" or word.casefold() in MAGENTA else 0


def _in_cc(token: Token, sign: int) -> Token:
    """Write a number of green or magenta in CC, or as the Duv that it is, with its sign.

    A sign that is written as well must agree, or the number is none.
    """
    value = token.values[0] if token.values else 0.0
    if token.signed and value * sign < 0 and token.unit not in ("M", "mag", "magenta"):
        return replace(token, unit="other")
    value = abs(value) * sign
    unit = "" if _is_duv(value) else "cc"
    return replace(token, values=(value,), unit=unit, signed=True, text=f"{value:g}")
