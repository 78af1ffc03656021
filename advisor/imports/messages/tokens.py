"""A message in tokens: numbers with units, labels, words, gels, and what parts them."""

import re
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache

from ...model.basis import numbers
from ..vocabulary.headings import NUMBERS, Field, mentions, understand
from ..vocabulary.hung import GEL, gel_of
from ..vocabulary.spoken import FILLERS, GREEN, MAGENTA, number_said, sign_said
from ..vocabulary.words import words


class TokenKind(StrEnum):
    """What a token is."""

    NUMBER = "number"
    LABEL = "label"
    WORD = "word"
    GEL = "gel"
    FILLER = "filler"
    MARK = "mark"


@dataclass(frozen=True)
class Token:
    """A piece of a message, `text` as it stands there, at `start` to `end`.

    A number has its `values` (two where its mark can be read in two ways) and its `unit`, in lower case but
    for K, G and M; `signed` tells that its sign is written. A label has its `field`.
    """

    kind: TokenKind
    text: str
    start: int
    end: int
    values: tuple[float, ...] = ()
    unit: str = ""
    signed: bool = False
    field: Field | None = None

    @property
    def bare(self) -> bool:
        """Whether it is a number without a unit."""
        return self.kind is TokenKind.NUMBER and not self.unit


_UNITS = (
    r"kK|°\s?K|kelvins?|k|klx|klux|lux|lx|fc|ftc|foot-?candles?|footcandles|%|percent|pct|mireds?|mk-1|mk⁻¹|ccs?"
    r"|stops?|mm|cm|km|ft|feet|foot|inch|in|kw|watts?|w|volts?|v|amps?|hz|fps|min|mins|sec|secs|s|hrs?|°|deg"
    r"|grn|green|mag|magenta|g|m|nm|iso|x"
)
_NUMBER = (
    r"(?P<number>(?<![\w.])(?P<sign>[-+±]\s?)?(?:\d{1,3}(?:'\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?|\.\d+)"
    r"(?:\s?[×x*]\s?10\s?\^?\s?[-−⁻+]?[\d⁰¹²³⁴⁵⁶⁷⁸⁹]{1,2}|e[-+]?\d{1,2})?)"
    rf"(?:\s?(?P<unit>{_UNITS})(?![\w']))?(?!\w|\.\d|'\d)"
)
_TOKEN = re.compile(
    rf"(?P<gel>{GEL.pattern})|(?P<aperture>\b[fFtT]/?\s?\d{{1,2}}(?:\.\d)?(?![\w.]))|(?P<shade>\b(?-i:[GM])\s?\d{{1,2}}(?:\.\d)?(?![\w.]))"
    rf"|(?P<range>(?<![\w.])[-+]?\d{{1,2}}\s?[/:x]\s?\d{{1,3}}(?![\w.]))|{_NUMBER}"
    r"|(?P<word>[^\W\d_][\w'’.&-]*|\d[\w.]*|[uv]['′’])|(?P<mark>\s[-–—]\s|[/,;|·:=>→@()\[\]]|\+)",
    re.IGNORECASE,
)
_LONGEST_LABEL = 3
_WORDS_AS_LABELS = {"temp": Field.CCT, "ct": Field.CCT, "uv": Field.DUV, "du": Field.DUV, "dim": Field.LEVEL}
_LETTERS = words("k e x y u v u' v' ev")


def tokens(text: str) -> list[Token]:
    """Part a message into its tokens; its commas part, and its points are decimal or thousands."""
    out: list[Token] = []
    for found in _TOKEN.finditer(text):
        token = _token(found)
        if token is not None:
            out.append(token)
    return _spoken(_labelled(_with_labels_apart(out)))


def _with_labels_apart(found: list[Token]) -> list[Token]:
    """Make a unit the label of the number behind it, where one stands between two: "cct 5480 lux 850"."""
    out: list[Token] = []
    for i, token in enumerate(found):
        following = found[i + 1] if i + 1 < len(found) else None
        apart = (
            token.kind is TokenKind.NUMBER
            and token.unit in ("lux", "lx")
            and token.end - token.start > len(token.text) + len(token.unit)
        )
        label = (
            i > 0
            and found[i - 1].kind is TokenKind.WORD
            and _label(found[i - 1].text) not in (None, Field.LUX)
        )
        if apart and label and following is not None and following.bare:
            middle = token.start + len(token.text)
            out.append(replace(token, unit="", end=middle))
            out.append(Token(TokenKind.WORD, token.unit, middle + 1, token.end))
        else:
            out.append(token)
    return out


def _token(found: re.Match[str]) -> Token | None:
    start, end, text = found.start(), found.end(), found[0]
    if found["gel"]:
        return Token(TokenKind.GEL, gel_of(found), start, end)
    if found["shade"]:
        sign = 1 if text[0] in "Gg" else -1
        value = float(text[1:])
        return Token(TokenKind.NUMBER, f"{sign * value / 1000:g}", start, end, (sign * value,), "cc", True)
    if found["aperture"] or found["range"]:
        return Token(TokenKind.NUMBER, text, start, end, (), "other")
    if found["number"]:
        return _number(found, start, end)
    if found["word"]:
        word = text.rstrip(".")
        letter = len(word) == 1 and word.isupper() and start > 0  # of a name: "panel A"
        kind = TokenKind.FILLER if word.casefold() in FILLERS and not letter else TokenKind.WORD
        return Token(kind, word, start, end)
    return Token(TokenKind.MARK, text.strip(), start, end)


def _number(found: re.Match[str], start: int, end: int) -> Token:
    text = found["number"].replace("±", "").strip()
    unit = re.sub(r"\s", "", found["unit"] or "")
    if found.string[max(start - 1, 0) : start] in ("+", "-") and text[:1] not in "+-":
        return Token(TokenKind.NUMBER, text, start, end, (), "unclear")  # whose sign is it?
    if "±" in found["number"]:
        return Token(TokenKind.NUMBER, text, start, end, (), "tolerance")
    try:
        values = numbers.parse(text).values
    except numbers.NotANumber:
        return Token(TokenKind.WORD, found[0], start, end)
    # Three digits and a letter g or m may be grams or metres: green and magenta come in small numbers.
    unit = unit if unit in ("K", "k", "G", "M", "kK") else unit.casefold()
    return Token(TokenKind.NUMBER, text, start, end, values, unit, text[:1] in "+-")


def _labelled(found: list[Token]) -> list[Token]:
    """Join the words that make a label, such as "colour temp", and "set to" before what a dial says."""
    out: list[Token] = []
    at = 0
    while at < len(found):
        if found[at].kind not in (TokenKind.WORD, TokenKind.FILLER) or not _may_be_label(found[at].text):
            out.append(found[at])
            at += 1
            continue
        count = _dial(found, at)
        if count:
            last = found[at + count - 1]
            text = " ".join(t.text for t in found[at : at + count])
            out.append(Token(TokenKind.LABEL, text, found[at].start, last.end, field=Field.DIAL_CCT))
            at += count
            continue
        for count in range(min(_LONGEST_LABEL, len(found) - at), 0, -1):
            words = found[at : at + count]
            if all(t.kind in (TokenKind.WORD, TokenKind.FILLER) for t in words):
                field = _label(" ".join(t.text for t in words))
                if field is not None:
                    text = " ".join(t.text for t in words)
                    out.append(Token(TokenKind.LABEL, text, words[0].start, words[-1].end, field=field))
                    at += count
                    break
        else:
            out.append(found[at])
            at += 1
    return out


def _dial(found: list[Token], at: int) -> int:
    """Return how many words from `at` on say that the next number stands on a dial; 0 for none."""
    if found[at].text.casefold() not in ("set", "dial", "dialed", "dialled"):
        return 0
    count = 1
    while at + count < len(found) and found[at + count].text.casefold() in ("to", "at", "on", "cct", ":"):
        count += 1
    after = found[at + count] if at + count < len(found) else None
    return count if after is not None and after.kind is TokenKind.NUMBER and after.values[:1] > (999,) else 0


@lru_cache(maxsize=4096)
def _may_be_label(word: str) -> bool:
    return word.casefold() in _WORDS_AS_LABELS or mentions(word)


@lru_cache(maxsize=4096)
def _label(text: str) -> Field | None:
    known = _WORDS_AS_LABELS.get(text.casefold())
    if known is not None:
        return known
    if len(text) < 2 and text.casefold() not in _LETTERS:
        return None
    found = understand(text)
    if found is None or found.field not in NUMBERS or found.field is Field.SSI:
        return None
    return None if text.casefold() in ("level", "output") else found.field


def _spoken(found: list[Token]) -> list[Token]:
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
            out.append(Token(TokenKind.NUMBER, text, token.start, last.end, (value,), "", text[0] in "+-"))
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
