"""Heads that are called by number: "heads 1, 3 and 5: 5600", "2 and 4: 5450", "strips 1-8"."""

import re

from ..messages.lettered import JOINT
from .vocabulary import LIGHTS, is_stop

_JOINS = (
    r"\s?(?:,\s?(?:and|und|et|y|e|&)?|&|\+|-|–|—"
    r"|\b(?:and|und|et|y|e|en|i|och|to|through|thru|bis|à|a|al|tot|do|till)\b)\s?"
)
_LIST = rf"\d{{1,2}}(?:{_JOINS}\d{{1,2}}(?!\d|[.']\d|,\d{{3}}|\s?%|\s?k\b))+"
_NAMED = re.compile(
    rf"(?<![\w.])(?P<noun>[^\W\d_]{{2,20}})\s(?:(?:numbers?|nos?\.?|nr\.?|#)\s?)?(?P<list>{_LIST})(?![\w%]|\s?%)",
    re.IGNORECASE,
)
_ALONE = re.compile(
    rf"(?P<before>^|[,;.]\s|\b(?:and|und|et|y|e|but|check|checked|except)\s)(?:(?:numbers?|nos?\.?|nr\.?|#)\s?)?(?P<list>{_LIST}|\d{{1,2}})"
    r"(?=\s?(?::|=|is\b|are\b|was\b|were\b|reads?\b|at\b|all\b|both\b|ist\b|sind\b|est\b|sont\b|es\b|son\b|è\b|sono\b|that's\b)[^\d]{0,20}\d{4})",
    re.IGNORECASE,
)
_NUMBERED = re.compile(r"\bnumbers?\s\d", re.IGNORECASE)
_RANGE = re.compile(
    r"(\d{1,2})\s?(?:-|–|—|\b(?:to|through|thru|bis|à|a|al|tot|do|till)\b)\s?(\d{1,2})", re.IGNORECASE
)
_NO_NOUNS = frozenset(
    [
        "at",
        "is",
        "are",
        "and",
        "to",
        "the",
        "only",
        "get",
        "got",
        "in",
        "on",
        "about",
        "around",
        "plus",
        "minus",
        "for",
        "from",
        "all",
        "by",
        "said",
        "was",
        "point",
        "just",
        "lux",
        "with",
        "be",
        "duv",
        "cct",
        "cc",
        "lx",
        "fc",
        "over",
        "under",
        "of",
        "in",
        "t",
        "f",
    ]
)
_MOST = 24


def with_series_held(text: str, noun: str) -> tuple[str, str]:
    """Return the line with each series of heads joined into one word, and the noun of the last series.

    `noun` is the noun of an earlier series. Numbers without a noun get it: "2 and 4: 5450".
    """

    def named(found: re.Match[str]) -> str:
        nonlocal noun
        word = found["noun"]
        numbers = numbers_of(found["list"])
        if _is_no_noun(word) or not numbers:
            return found[0]
        noun = word[:-1] if word.casefold().endswith("s") and len(word) > 3 else word
        return _held(noun, numbers)

    text = _NAMED.sub(named, text)
    if not noun:
        single = re.search(r"(?<![\w.])([^\W\d_]{2,20})\s\d{1,2}(?![\w.%]|\s?%)", text)
        noun = single[1] if single and not _is_no_noun(single[1]) else ""
    if noun or _NUMBERED.search(text):
        noun = noun or "number"
        text = _ALONE.sub(lambda f: f["before"] + _held(noun, numbers_of(f["list"])), text)
    return text, noun


def is_series(text: str) -> bool:
    """Whether a line calls heads by number: "heads 1, 3 and 5: 5600"."""
    found = _NAMED.search(text)
    return found is not None and not _is_no_noun(found["noun"]) and bool(numbers_of(found["list"]))


def numbers_of(said: str) -> list[int]:
    """Return the numbers of a list such as "1, 3 and 5" or "1 to 4".

    None where "4 to 1" falls, where a number comes twice, or where there are more than `_MOST`.
    """
    out: list[int] = []
    ranged = _RANGE.fullmatch(said.strip())
    if ranged:
        first, last = int(ranged[1]), int(ranged[2])
        return list(range(first, last + 1)) if first < last <= first + _MOST else []
    for part in re.findall(rf"{_RANGE.pattern}|(\d{{1,2}})", said, re.IGNORECASE):
        out += list(range(int(part[0]), int(part[1]) + 1)) if part[0] else [int(part[2])]
    return out if len(set(out)) == len(out) <= _MOST else []


def names_of(name: str) -> list[str]:
    """Return the name of each head of a series that was joined; a name that is no series comes back alone."""
    found = re.search(rf"(\S+?)((?:{JOINT}\d{{1,2}})+)", name)
    if not found:
        return [name]
    return [
        f"{name[: found.start()]}{found[1]} {number}{name[found.end() :]}".strip()
        for number in found[2].split(JOINT)[1:]
    ]


def _is_no_noun(word: str) -> bool:
    """Whether a word before numbers does not mean heads: "check 1 and 8", "Duv 0"."""
    folded = word.casefold()
    return folded in _NO_NOUNS or (is_stop(folded) and folded not in LIGHTS)


def _held(noun: str, numbers: list[int]) -> str:
    return noun + "".join(f"{JOINT}{number}" for number in numbers)
