"""Numbers as they are spoken on set: "fifty-four hundred", "forty-three fifty", "five and a half k".

What is a number for sure becomes digits; "key two" stays a name, and so does any other small number alone.
"""

import re
from collections.abc import Sequence

_ONES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_TEENS = [
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TO_NINETEEN = (*_ONES, *_TEENS)
"""The words for numbers, each at its own: 0 is the first."""
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_DIGIT = {word: n for n, word in enumerate(_ONES)} | {"oh": 0, "nought": 0}
_TEEN = {word: n for n, word in enumerate(_TEENS, 10)}
_TEN = {word: n for n, word in enumerate(_TENS, 2)} | {"fourty": 4}
_UNITS = frozenset(
    {
        "minutes",
        "minute",
        "mins",
        "min",
        "lux",
        "lx",
        "fc",
        "foot",
        "footcandles",
        "percent",
        "per",
        "mired",
        "mireds",
        "cc",
        "points",
        "k",
    }
)
_SIGNS = frozenset({"plus", "minus", "negative", "positive", "neg", "pos"})
_SHADES = frozenset({"green", "magenta"})
_RUN = re.compile(r"[A-Za-z]+(?:(?: |-)[A-Za-z]+)*")
_WORD = re.compile(r"[A-Za-z]+")
_DOUBLE = re.compile(r"\bdouble[ -](?:oh|o|zero|nought)\b", re.IGNORECASE)
# "dove plus .003", as a phone that is spoken to hears it; "duv four", whose sign and scale nobody said.
_HEARD = re.compile(r"\b(?:dove|doves|duff|d\sove)(?=,?\s(?:plus|minus|zero|point|oh|[-+.]))", re.IGNORECASE)
_DUV_ALONE = re.compile(
    rf"\b(duv,?)\s({'|'.join(TO_NINETEEN[:13])})\b(?!\s(?:point|hundred|{'|'.join(_ONES)})\b)", re.IGNORECASE
)
_LONGEST = 12
_KELVIN = range(1000, 25001)


def in_digits(text: str) -> str:
    """Return a text whose spoken numbers are digits: "key fifty-four hundred" is "key 5400"."""
    text = _DOUBLE.sub("oh oh", _HEARD.sub("duv", text))
    text = _DUV_ALONE.sub(lambda found: f"{found[1]} {TO_NINETEEN.index(found[2].casefold())}", text)
    out, at = [], 0
    for run in _RUN.finditer(text):
        said = [(w[0].casefold(), w.start(), w.end()) for w in _WORD.finditer(text, run.start(), run.end())]
        i = 0
        while i < len(said):
            if said[i][0] == "point":  # what follows is read digit by digit, as a share
                i += 1 + len(_digits([word for word, _, _ in said[i + 1 : i + _LONGEST]]))
                continue
            number, count = _number(
                [word for word, _, _ in said[i : i + _LONGEST]], said[i - 1][0] if i else ""
            )
            if count:
                out += [text[at : said[i][1]], number]
                at = said[i + count - 1][2]
            i += count or 1
    return "".join([*out, text[at:]])


def _number(words: Sequence[str], before: str) -> tuple[str, int]:
    """Return the number that some words begin with, and how many words it takes; 0 for none."""
    for find in (_thousandths, _digit_by_digit):
        if (found := find(words))[1]:
            return found
    whole, at = _below_hundred(words)
    if not at:
        return _share(words) if before in _SIGNS else ("", 0)
    following = words[at : at + 3]
    if following[:1] == ["hundred"]:
        return _and_rest(words, whole * 100, at + 1)
    if following[:1] == ["thousand"]:
        return _thousands(words, whole * 1000, at + 1)
    if following in (["and", "a", "half"], ["and", "one", "half"]) and words[at + 3 : at + 4] in (
        ["k"],
        ["thousand"],
    ):
        return f"{whole}500", at + 4
    if following[:1] == ["k"] and 1 <= whole <= 25:
        return f"{whole}000", at + 1
    if following[:1] == ["point"] and len(following) == 3 and following[2] == "k" and following[1] in _DIGIT:
        return f"{whole}{_DIGIT[following[1]]}00", at + 3
    return _pair(words, whole, at, before)


def _pair(words: Sequence[str], whole: int, at: int, before: str) -> tuple[str, int]:
    """Read "forty-three fifty", "thirty-two oh five", "three fifty lux", "plus fifteen", "forty lux"."""
    following = words[at : at + 2]
    if whole == 1 and before in _SHADES:
        return "", 0  # "the green one"
    if whole <= 12 and (before in _SHADES or following[:1] in (["green"], ["magenta"])):
        return str(whole), at
    part, count = _below_hundred(words[at:])
    with_unit = words[at + count : at + count + 1]
    if count and part >= 10 and whole >= 10 and (whole, part) != (50, 50):
        return f"{whole}{part}", at + count
    middle, one = _below_hundred(words[at:])
    last, rest = _below_hundred(words[at + one :])
    if whole < 10 and middle < 10 and one and words[at + one : at + one + 1] == ["hundred"]:
        return f"{whole}{middle}00", at + one + 1  # "three two hundred"
    if whole < 10 and middle < 10 <= last and one and before not in _SIGNS:
        return f"{whole}{middle}{last}", at + one + rest  # "five six fifty"
    if count and part >= 10 and with_unit and with_unit[0] in _UNITS:
        return f"{whole}{part}", at + count
    if whole >= 10 and len(following) == 2 and following[0] in ("oh", "zero") and _DIGIT.get(following[1]):
        return f"{whole}0{_DIGIT[following[1]]}", at + 2
    if following and following[0] in _UNITS:
        return str(whole), at
    return (str(whole), at) if before in _SIGNS and 12 < whole <= 50 else ("", 0)


def _below_hundred(words: Sequence[str]) -> tuple[int, int]:
    """Read "fifty-four", "twelve", "seven"; no words for none."""
    first = words[0] if words else ""
    if first in _TEN:
        one = _DIGIT.get(words[1], 0) if len(words) > 1 and words[1] not in ("oh", "zero") else 0
        return _TEN[first] * 10 + one, 2 if one else 1
    if first in _TEEN:
        return _TEEN[first], 1
    return (_DIGIT[first], 1) if _DIGIT.get(first) else (0, 0)


def _and_rest(words: Sequence[str], value: int, at: int) -> tuple[str, int]:
    """Add what follows hundreds: "fifty-four hundred and eighty"; below ten it may be the Duv's."""
    joined = at + (words[at : at + 1] == ["and"])
    rest, count = _below_hundred(words[joined:])
    if rest >= 10:
        return str(value + rest), joined + count
    return str(value), at


def _thousands(words: Sequence[str], value: int, at: int) -> tuple[str, int]:
    hundreds, count = _below_hundred(words[at:])
    if count and hundreds < 10 and words[at + count : at + count + 1] == ["hundred"]:
        return _and_rest(words, value + hundreds * 100, at + count + 1)
    return _and_rest(words, value, at)


def _thousandths(words: Sequence[str]) -> tuple[str, int]:
    """Read "oh oh four" and "oh oh four two", which is how thousandths are said."""
    digits = _digits(words)
    zeros = len(digits) - len(digits.lstrip("0"))
    if 2 <= zeros <= 3 and 1 <= len(digits) - zeros <= 2:
        return f"0.{digits}", len(digits)
    return "", 0


def _digit_by_digit(words: Sequence[str]) -> tuple[str, int]:
    """Read a CCT digit by digit: "five four eight oh"."""
    digits = _digits(words)
    if len(digits) in (4, 5) and int(digits) in _KELVIN and digits[0] != "0":
        return digits, len(digits)
    return "", 0


def _digits(words: Sequence[str]) -> str:
    out = ""
    for word in words:
        if word not in _DIGIT:
            break
        out += str(_DIGIT[word])
    return out


def _share(words: Sequence[str]) -> tuple[str, int]:
    """Read what a sign may stand before and is no whole number: "plus a half"."""
    if list(words[:2]) in (["a", "half"], ["one", "half"]):
        return "0.5", 2
    return (
        ("0.5", 1)
        if list(words[:1]) == ["half"] and words[1:2] not in (["cto"], ["ctb"], ["green"])
        else ("", 0)
    )
