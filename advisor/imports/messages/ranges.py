"""Two figures told for one, "between 6000 and 6300", "+4-5", "300-350 lx": which is meant is asked."""

import re

from ..sentences.spoken import Range
from ..vocabulary.headings import Field

_CCT = r"(?:1?\d|2[0-5])'?\d{3}"
_BETWEEN = r"\b(?:between|from|zwischen|von|entre|de|tra|fra|da|tussen|van|między|od|mellan|från)\s"
_TO = r"-|–|—|->|=>|→|\b(?:to|bis|à|a|until|and|or|or\smaybe|oder|ou|lub|eller)\b"
_TWO = re.compile(
    rf"(?:{_BETWEEN}(?={_CCT}\s?[kK]?\s{{0,2}}(?:{_TO}|\b(?:und|et|y|e|en|i|och|till)\b)))?(?<![\w.+-])(?P<first>{_CCT})\s?[kK]?\s{{0,2}}"
    rf"(?:{_TO}|(?<=[\dkK]\s)(?:und|et|y|e|en|i|och|till)\b)\s{{0,2}}(?P<second>{_CCT})(?P<unit>\s?[kK]\b)?(?![\w.]\d|\d)",
    re.IGNORECASE,
)
_LED = re.compile(_BETWEEN, re.IGNORECASE)
_PLAIN = re.compile(rf"\d\s?[kK]?\s{{0,2}}(?:{_TO})", re.IGNORECASE)
_SMALL_DUV = re.compile(
    r"(?:\b(?:anywhere\s)?(?:from|between|von|zwischen|de|entre|tra|van|tussen)\s)?(?<![\w.])"
    r"(?P<first>[+-]?\s?0?\.0\d{1,3})\s?(?:-|–|\b(?:to|and|or|bis|und|oder|à|et|ou|a|y|o|e|tot|en|of|till)\b)\s?"
    r"(?P<second>[+-]?\s?0?\.0\d{1,3})(?![\w.]\d|\d)",
    re.IGNORECASE,
)
_LIGHT = re.compile(
    r"(?<![\w.+'-])(?P<first>\d{1,6}(?:\.\d)?)\s?(?:lx|lux|fc)?\s?(?:-|–|—|~|\bto\b|\bbis\b|\bor\b|\boder\b|\bou\b|\bà\b|\ba\b)\s?"
    r"(?P<second>\d{1,6}(?:\.\d)?)(?P<unit>\s?(?:lx|lux|fc)\b)",
    re.IGNORECASE,
)
_DUV = re.compile(
    r"(?<=[\dkK][\s,/])(?P<sign>[+-]|plus\s|minus\s)\s?(?P<first>\d{1,2}(?:\.\d)?)(?:(?:-|–)|\s(?:to|or|bis|oder|ou|à|lub|eller|or\smaybe)\s)"
    r"(?P<plus>[+-]?)(?P<second>\d{1,2}(?:\.\d)?)(?![\w.]|\s?(?:lx|lux|fc|%))",
    re.IGNORECASE,
)


def without_ranges(text: str, *, ccts: bool = True) -> tuple[str, list[Range]]:
    """Return a message with the middle of each range in its place, and the ranges: CCT, Duv, light.

    Without `ccts` two CCTs stay two.
    """
    found: list[Range] = []

    def middle(two: re.Match[str]) -> str:
        if not _LED.match(two[0]) and not _PLAIN.search(two[0]):
            return two[0]  # "6120 und 2780" are two readings
        first, second = two["first"].replace("'", ""), two["second"].replace("'", "")
        instead = f"{(int(first) + int(second)) // 2}"
        found.append(Range(Field.CCT, first, second, instead))
        return f"{instead}{two['unit'] or ''}"

    def light(two: re.Match[str]) -> str:
        low, high = float(two["first"]), float(two["second"])
        if not low < high < 10 * low:
            return two[0]
        unit = two["unit"].strip()
        instead = f"{(low + high) / 2:g}"
        found.append(Range(Field.LUX, f"{low:g} {unit}", f"{high:g} {unit}", f"{instead} {unit}"))
        return f" {instead} {unit}"

    def duv(two: re.Match[str]) -> str:
        sign = "-" if two["sign"][0] in "-mM" else "+"
        first = float(sign + two["first"])
        second = float((two["plus"] or sign) + two["second"])
        instead = f"{(first + second) / 2:+g}"
        found.append(Range(Field.CC, f"{first:+g}", f"{second:+g}", instead))
        return instead

    def small(two: re.Match[str]) -> str:
        first, second = (float(two[end].replace(" ", "")) for end in ("first", "second"))
        if first < 0 < second and "+" not in two["second"]:
            second = -second
        instead = f"{(first + second) / 2:+.5f}".rstrip("0")
        found.append(Range(Field.DUV, f"{first:+g}", f"{second:+g}", instead))
        return instead

    text = _SMALL_DUV.sub(small, text)
    return _DUV.sub(duv, _LIGHT.sub(light, _TWO.sub(middle, text) if ccts else text)), found
