"""Lists whose lines begin with a number that is no reading: a time without its colon, a head's own number."""

import re
from collections.abc import Sequence

from ..prose.vocabulary import LIGHTS

_CLOCK = re.compile(
    r"\s*(?P<hour>[01]\d|2[0-3])(?P<minute>[0-5]\d)(?:\s?h)?[\s,;:–-]+(?=[^\W\d_]{2}[^\n]{0,200}\d{4})"
)
_COUNTED = re.compile(
    r"\s*(?P<number>\d{1,2})\s?[).:=–-]\s*(?P<rest>(?P<cct>[2-9]\d{3}|1[0-2]\d{3})\b.*|\D.*)"
)
_ALL_AT = re.compile(
    r"\b(?:all|everything|each|alle|tous|todos|tutti)\b[^,;.]{0,20}?\bat\s(full|\d{1,3}\s?%)", re.IGNORECASE
)
_WITHIN = re.compile(
    r"(?P<before>[:,;(]\s?)(?:#\s?(?=\d{1,2}\s?[:=]?\s)|(?=\d{1,2}\s?(?:[:=→]|->)))(?P<number>\d{1,2})\s?(?:=|:|->|→)?\s?(?=[2-9]\d{3}|1\d{4}|1[0-2]\d{3})"
)
_LONGEST = 500
_ARROW = re.compile(r"\s*(?:<-+|<=+|←)\s*(?P<said>[^()]{1,80})$")
_FEWEST = 2
_FEWEST_COUNTED = 3
_ABOVE = 3
"""So many lines above its first a list may have its title."""
_MOST = 2_000


def is_timed(lines: Sequence[str]) -> bool:
    """Whether several lines begin with a time without a colon, each later than the one above it."""
    times = [found[1] + found[2] for line in lines[:_MOST] if (found := _CLOCK.match(line[:300]))]
    return len(times) >= _FEWEST and times == sorted(set(times))


def with_lists_told(lines: Sequence[str]) -> list[str]:
    """Return the lines with times as they are written elsewhere, and with heads called by what they are.

    "0715 window 7400" becomes "07:15 window 7400". Beneath "Truss heads", "1) 5590" is "head 1: 5590".
    """
    out = list(lines)
    if is_timed(out):
        return [_CLOCK.sub(r"\g<hour>:\g<minute> ", line, count=1) for line in out]
    out = [_numbered(line) if len(line) <= _LONGEST else line for line in out]
    found = [_COUNTED.fullmatch(line[:300]) for line in out[:_MOST]]
    at = 0
    while at < len(found):
        run = 0
        while (
            at + run < len(found)
            and (one := found[at + run])
            and (not run or _follows(found[at + run - 1], one))
        ):
            run += 1
        told = [each for each in found[at : at + run] if each and each["cct"]]
        title = _title(out, at)
        if len(told) >= _FEWEST_COUNTED and title:
            noun, level = title
            for i in range(at, at + run):
                out[i] = _called(found[i], noun, level)
        at += run or 1
    return out


def _numbered(line: str) -> str:
    """Return a line in which numbers stand for heads, with what they are: "panels: 1 = 4050, 2 = 4120"."""
    each = list(_WITHIN.finditer(line))
    numbers = [int(found["number"]) for found in each]
    if len(each) < _FEWEST or numbers != sorted(set(numbers)):
        return line
    nouns = _nouns(line[: each[0].start() + 1])
    if not nouns:
        return line
    head, rest = line[: each[0].start()], line[each[0].start() :]
    return head + _WITHIN.sub(lambda f: f"{f['before']}{nouns[-1]} {f['number']}: ", rest)


def _nouns(text: str) -> list[str]:
    """Return what several lights are called in a text, each as one of them is: "panels" is "panel"."""
    words = re.findall(r"[^\W\d_]{3,}", text.casefold())
    return [word[:-1] for word in words if word in LIGHTS and re.search(r"[^s]s\Z", word)]


def _follows(before: re.Match[str] | None, one: re.Match[str]) -> bool:
    return before is not None and int(one["number"]) == int(before["number"]) + 1


def _title(lines: Sequence[str], at: int) -> tuple[str, str] | None:
    """Return what a list counts, by the line above it, and the level that all of it stands at."""
    for line in reversed(lines[max(at - _ABOVE, 0) : at]):
        if not line.strip():
            continue
        nouns = _nouns(line[:200])
        level = _ALL_AT.search(line[:200])
        return (nouns[0], f" at {level[1]}" if level else "") if nouns else None
    return None


def _called(found: re.Match[str] | None, noun: str, level: str) -> str:
    assert found is not None, "it is of the list"
    rest = _ARROW.sub(r" (\g<said>)", found["rest"])
    return f"{noun} {found['number']}: {rest}{level if found['cct'] else ''}"
