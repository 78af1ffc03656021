"""Numbers as people and meters write them.

One parser for form fields, the API, pasted text and gel tables: decimal comma or point, thousands
separators, typographic minus, powers of ten such as ``×10⁻³``, and a unit after the number.
"""

import math
import re
from dataclasses import dataclass

_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_MINUS = str.maketrans(dict.fromkeys("−–‒﹣－", "-"))
_SPACES = re.compile(r"[\s\u00a0\u2007\u2009\u202f_'’]+")
_NUMBER = re.compile(
    r"""^(?P<sign>[+-]?)\s*
        (?P<digits>\d[\d.,\s\u00a0\u2007\u2009\u202f_'’]*|[.,]\d+)
        (?:\s*(?:[eE]|[×x*·]\s*10\s*(?:\^|\*\*)?\s*)(?P<power>[+-]?\d{1,3}))?
        \s*(?P<unit>[^\d.,\s][^\d]*|)$""",
    re.VERBOSE,
)
_GROUPED = r"[1-9]\d{0,2}(?:SEP\d{3})+"


class NotANumber(ValueError):
    """The text is not one number; `reason` says what stands in the way, in words for a person."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True)
class Parsed:
    """What a piece of text can mean as a number.

    `values` holds one value, or two where a single separator could be a decimal mark or a thousands
    separator ("5,600"): the likelier one, thousands, comes first. `unit` is the text behind it.
    """

    values: tuple[float, ...]
    unit: str

    def within(self, low: float, high: float) -> float:
        """Return the reading of the text that lies in [low, high]; the likelier one if none or both do."""
        return next((v for v in self.values if low <= v <= high), self.values[0])


def parse(text: str) -> Parsed:
    """Read one number, with the unit behind it if there is one.

    Raises NotANumber for empty text, for two numbers, and for letters among the digits.
    """
    shown = text.strip()
    if not shown:
        raise NotANumber("is empty")
    if len(shown) > 60:
        raise NotANumber(f"{shown[:20]}… is too long for one number")
    plain = shown.translate(_MINUS).translate(_SUPERSCRIPTS)
    match = _NUMBER.match(plain)
    if match is None or re.fullmatch(r"[oOlI]+", match["unit"]):
        raise NotANumber(f"{shown!r} is not a number" + _suspect(plain))
    power = 10.0 ** int(match["power"] or 0)
    sign = -1.0 if match["sign"] == "-" else 1.0
    values = tuple(sign * value * power for value in _readings(match["digits"], shown))
    if not all(math.isfinite(v) for v in values):
        raise NotANumber(f"{shown!r} is too large")
    return Parsed(values, match["unit"].strip())


def _suspect(plain: str) -> str:
    """Name the likeliest slip: a letter typed for a digit."""
    if re.search(r"\d[.,\s]*[oO]", plain):
        return " (a letter O where a zero should be?)"
    if re.search(r"\d[lI]|[lI]\d", plain):
        return " (a letter where a 1 should be?)"
    return ""


def _readings(digits: str, shown: str) -> tuple[float, ...]:
    """Return what the digits can mean: [thousands first, then decimal] where both are possible."""
    digits = _SPACES.sub(" ", digits.strip()).strip()
    if " " in digits:
        whole = re.split(r"[.,]", digits)[0]
        if not re.fullmatch(_GROUPED.replace("SEP", " "), whole):
            raise NotANumber(f"{shown!r} holds more than one number")
        digits = digits.replace(" ", "")
    marks = [c for c in digits if c in ".,"]
    if not marks:
        return (float(digits),)
    if len(set(marks)) == 2:
        # Two kinds of mark: the last one is the decimal mark and stands once.
        decimal, group = marks[-1], marks[0]
        whole, _, part = digits.rpartition(decimal)
        if marks.count(decimal) > 1 or not re.fullmatch(_GROUPED.replace("SEP", re.escape(group)), whole):
            raise NotANumber(f"{shown!r} mixes points and commas in no order that a number has")
        return (float(whole.replace(group, "") + "." + part),)
    mark = marks[0]
    grouped = bool(re.fullmatch(_GROUPED.replace("SEP", re.escape(mark)), digits))
    if len(marks) > 1:
        if not grouped:
            raise NotANumber(f"{shown!r} is not a number")
        return (float(digits.replace(mark, "")),)
    as_decimal = float("0" + digits.replace(mark, "."))
    return (float(digits.replace(mark, "")), as_decimal) if grouped else (as_decimal,)
