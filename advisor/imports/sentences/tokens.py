"""A message in tokens: numbers with units, labels, words, gels, and what parts them."""

import re
from dataclasses import replace
from functools import lru_cache

from ...model.basis import numbers
from ..vocabulary.headings import NUMBERS, Field, mentions, understand
from ..vocabulary.hung import GEL, gel_of
from ..vocabulary.spoken import FILLERS
from ..vocabulary.words import words
from .shades import signed
from .token import Token, TokenKind

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
    rf"(?P<gel>{GEL.pattern})|(?P<clock>(?<![\w.:])\d{{1,2}}:[0-5]\d(?:\s?[ap]m\b)?(?![\w:]))|(?P<aperture>\b[fFtT]/?\s?\d{{1,2}}(?:\.\d)?(?![\w.]))|(?P<shade>\b(?-i:[GM])\s?\d{{1,2}}(?:\.\d)?(?![\w.]))"
    rf"|(?P<range>(?<![\w.])[-+]?\d{{1,2}}(?:\s?[/x]\s?|:|\s:\s)\d{{1,3}}(?![\w.]|\s?%))|{_NUMBER}"
    r"|(?P<word>[^\W\d_][\w'’.&-]*|\d[\w.]*|[uv]['′’])|(?P<mark>\s[-–—]\s|[!?]|[/,;|·:=>→@()\[\]]|\+)",
    re.IGNORECASE,
)
_ENDS = re.compile(r"\.\s+[^\W\d_a-z]")
_SHORT = 4
"""How long a word with a point may be that is shortened, and ends no sentence: "cam. left". [sign]"""
_LONGEST_LABEL = 3
_DIALS = words("set dial dialed dialled")
_WORDS_AS_LABELS = {
    "temp": Field.CCT,
    "ct": Field.CCT,
    "uv": Field.DUV,
    "dv": Field.DUV,
    "du": Field.DUV,
    "dim": Field.LEVEL,
}
_MAY_BE_WORDS = words("du u v k e x y")
_LETTERS = words("k e x y u v u' v' ev")


def tokens(text: str) -> list[Token]:
    """Part a message into its tokens; its commas part, and its points are decimal or thousands."""
    out: list[Token] = []
    for found in _TOKEN.finditer(text):
        token = _token(found)
        if token is not None:
            out.append(token)
        if found["word"] and _ENDS.match(text, found.end() - 1) and found.end() - found.start() > _SHORT:
            out.append(Token(TokenKind.MARK, ".", found.end() - 1, found.end()))
    return signed(_labelled(_with_labels_apart(out)))


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
        apart = apart or (following is not None and following.bare and _is_small(token))
        signed = apart and following is not None and following.text in ("=", ":")  # "duv=.004 lux=850"
        if signed or (apart and (label or _is_small(token)) and following is not None and following.bare):
            middle = token.start + len(token.text)
            out.append(replace(token, unit="", end=middle))
            out.append(Token(TokenKind.WORD, token.unit, middle + 1, token.end))
        else:
            out.append(token)
    return out


def _is_small(token: Token) -> bool:
    """Whether a number cannot be the light that its unit says: "+.004 lux 850"."""
    return token.unit in ("lux", "lx") and (token.signed or token.text.startswith(("0.", ".")))


def _token(found: re.Match[str]) -> Token | None:
    start, end, text = found.start(), found.end(), found[0]
    if found["gel"]:
        return Token(TokenKind.GEL, gel_of(found), start, end)
    if found["clock"]:
        return Token(TokenKind.MARK, ",", start, end)
    if found["shade"]:
        sign = 1 if text[0] in "Gg" else -1
        value = float(text[1:])
        return Token(TokenKind.NUMBER, f"{sign * value:g}", start, end, (sign * value,), "cc", True)
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
        spoken = found[at].kind in (TokenKind.WORD, TokenKind.FILLER)
        if not spoken or not (found[at].text.casefold() in _DIALS or _may_be_label(found[at].text)):
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
                following = found[at + count] if at + count < len(found) else None
                if field is not None and words[0].text.casefold() in _MAY_BE_WORDS and _is_word(following):
                    field = None  # "portes du quai", "if u need more"
                if field is not None:
                    text = " ".join(t.text for t in words)
                    out.append(Token(TokenKind.LABEL, text, words[0].start, words[-1].end, field=field))
                    at += count
                    break
        else:
            out.append(found[at])
            at += 1
    return out


def _is_word(token: Token | None) -> bool:
    return token is not None and token.kind in (TokenKind.WORD, TokenKind.FILLER)


def _dial(found: list[Token], at: int) -> int:
    """Return how many words from `at` on say that the next number stands on a dial; 0 for none."""
    if found[at].text.casefold() not in _DIALS:
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
