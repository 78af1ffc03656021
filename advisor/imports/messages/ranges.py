"""Two CCTs told for one reading, "between 6000 and 6300", "6500 to 6900": which is meant is asked."""

import re
from dataclasses import dataclass

_CCT = r"(?:1?\d|2[0-5])'?\d{3}"
_BETWEEN = r"\b(?:between|from|zwischen|von|entre|de|tra|fra|da|tussen|van|między|od|mellan|från)\s"
_TO = r"-|–|—|->|=>|→|\b(?:to|bis|à|a|until|and)\b"
_TWO = re.compile(
    rf"(?:{_BETWEEN}(?={_CCT}\s?[kK]?\s{{0,2}}(?:{_TO}|\b(?:und|et|y|e|en|i|och|till)\b)))?(?<![\w.+-])(?P<first>{_CCT})\s?[kK]?\s{{0,2}}"
    rf"(?:{_TO}|(?<=[\dkK]\s)(?:und|et|y|e|en|i|och|till)\b)\s{{0,2}}(?P<second>{_CCT})(?P<unit>\s?[kK]\b)?(?![\w.]\d|\d)",
    re.IGNORECASE,
)
_LED = re.compile(_BETWEEN, re.IGNORECASE)
_PLAIN = re.compile(rf"\d\s?[kK]?\s{{0,2}}(?:{_TO})", re.IGNORECASE)


@dataclass(frozen=True)
class TwoCcts:
    """A range of CCTs as it was told, `first` and `second` in kelvin, and what stands in for it."""

    first: str
    second: str
    instead: str


def without_ranges(text: str) -> tuple[str, list[TwoCcts]]:
    """Return a message with the middle of each range of CCTs in its place, and the ranges."""
    found: list[TwoCcts] = []

    def middle(two: re.Match[str]) -> str:
        if not _LED.match(two[0]) and not _PLAIN.search(two[0]):
            return two[0]  # "6120 und 2780" are two readings
        first, second = two["first"].replace("'", ""), two["second"].replace("'", "")
        instead = f"{(int(first) + int(second)) // 2}"
        found.append(TwoCcts(first, second, instead))
        return f"{instead}{two['unit'] or ''}"

    return _TWO.sub(middle, text), found
