"""Numbers as people and meters write them.

One parser for form fields, the API, pasted text and gel tables: decimal comma or point, thousands
separators, typographic minus, powers of ten such as ``×10⁻³``, and a unit after the number.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_MINUS = str.maketrans(dict.fromkeys("−–‒﹣－", "-"))
_SPACES = re.compile(r"[\s\u00a0\u2007\u2009\u202f_'’]+")
_NUMBER = re.compile(
    r"""^(?P<sign>[+-]?)\s*
        (?P<digits>\d[\d.,\s\u00a0\u2007\u2009\u202f_'’]*|[.,]\d+)
        (?:\s*(?:[eE]|[×x*·]\s*10\s*(?:\^|\*\*)?\s*)(?P<power>[+-]?\d{1,3}|[⁺⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]{1,3}))?
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
    plain = shown.translate(_MINUS)
    match = _NUMBER.match(plain)
    if match is None or re.fullmatch(r"[oOlI]+", match["unit"]):
        raise NotANumber(f"{shown!r} is not a number" + _suspect(plain))
    # Raised digits count only as a power: "10³" by itself is not 103, and "MK⁻¹" is a unit.
    power = (match["power"] or "").translate(_SUPERSCRIPTS)
    written = _readings(match["digits"], shown)
    if power:
        written = written[-1:]  # nobody writes thousands separators before a power of ten
    values = tuple(float(f"{match['sign']}{digits}e{power or 0}") for digits in written)
    if not all(math.isfinite(v) for v in values):
        raise NotANumber(f"{shown!r} is too large")
    return Parsed(values, match["unit"].strip())


def parse_each(texts: Sequence[str]) -> list[Parsed | NotANumber]:
    """Read each of several texts, as `parse` does; NotANumber stands where it would be raised."""
    found: list[Parsed | NotANumber] = []
    for text in texts:
        try:
            found.append(parse(text))
        except NotANumber as no:
            found.append(no)
    return found


def same_as_written(text: str, value: float | None) -> bool:
    """Whether a text says a value as far as it is written out: “+43” says 43.27; an empty text says None."""
    if not text.strip() or value is None:
        return not text.strip() and value is None
    try:
        said = parse(text)
    except NotANumber:
        return False
    part = re.search(r"[.,](\d+)\D*$", text)
    half = 0.5 * 10.0 ** -(len(part[1]) if part else 0)
    return any(abs(number - value) <= half + 1e-9 for number in said.values)


def _suspect(plain: str) -> str:
    """Name the likeliest slip: a letter typed for a digit."""
    if re.search(r"\d[.,\s]*[oO]", plain):
        return " (a letter O where a zero should be?)"
    if re.search(r"\d[lI]|[lI]\d", plain):
        return " (a letter where a 1 should be?)"
    return ""


def _readings(digits: str, shown: str) -> tuple[str, ...]:
    """Return what the digits can mean, as Python writes it: thousands first, then decimal, if both can."""
    digits = _SPACES.sub(" ", digits.strip()).strip()
    if " " in digits:
        whole = re.split(r"[.,]", digits)[0]
        if not re.fullmatch(_GROUPED.replace("SEP", " "), whole):
            raise NotANumber(f"{shown!r} holds more than one number")
        digits = digits.replace(" ", "")
    marks = [c for c in digits if c in ".,"]
    if not marks:
        return (digits,)
    if len(set(marks)) == 2:
        # Two kinds of mark: the last one is the decimal mark and stands once.
        decimal, group = marks[-1], marks[0]
        whole, _, part = digits.rpartition(decimal)
        if marks.count(decimal) > 1 or not re.fullmatch(_GROUPED.replace("SEP", re.escape(group)), whole):
            raise NotANumber(f"{shown!r} mixes points and commas in no order that a number has")
        return (whole.replace(group, "") + "." + part,)
    mark = marks[0]
    grouped = bool(re.fullmatch(_GROUPED.replace("SEP", re.escape(mark)), digits))
    if len(marks) > 1:
        if not grouped:
            raise NotANumber(f"{shown!r} is not a number")
        return (digits.replace(mark, ""),)
    as_decimal = "0" + digits.replace(mark, ".")
    return (digits.replace(mark, ""), as_decimal) if grouped else (as_decimal,)
