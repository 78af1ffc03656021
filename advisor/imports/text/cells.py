"""A number from a cell: its unit, the heading's unit, and the decimal mark of the table around it."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pydantic_core import PydanticCustomError

from ...model import Problem
from ...model.basis import numbers, quantities
from ...model.basis.problems import wrong
from ...model.basis.quantities import Quantity, quantity_of
from ...model.basis.units import FOOT_CANDLE
from ..vocabulary.headings import NUMBERS, Field

_CHROMATICITY = {f: Quantity(f.value, "", 0.0, 1.0) for f in (Field.U76, Field.V76, Field.U60, Field.V60)}
#: The widest range in which mired and CC are a white's. [MK⁻¹; CC = 1000 × Duv, our definition]
_DERIVED = {Field.MIRED: Quantity("Mired", "MK⁻¹", 40, 1000), Field.CC: Quantity("CC", "CC", -50, 50)}
_TRISTIMULUS = {f: Quantity(f.value, "", 0.0, 1e6) for f in (Field.BIG_X, Field.BIG_Y, Field.BIG_Z)}
_KELVIN = {"k": 1.0, "kelvin": 1.0, "kelvins": 1.0, "°k": 1.0, "kk": 1000.0}
_LUX = {"lx": 1.0, "lux": 1.0, "klx": 1000.0, "klux": 1000.0, "lm/m²": 1.0, "lm/ft²": FOOT_CANDLE}
_FOOTCANDLE = dict.fromkeys(("fc", "ftc", "ft-c", "foot-candle", "foot-candles", "footcandles"), FOOT_CANDLE)


_QUANTITIES: dict[Field, Quantity] = {
    Field.CCT: quantity_of(quantities.CCT),
    Field.DUV: quantity_of(quantities.Duv),
    Field.X: quantity_of(quantities.ChromaticityX),
    Field.Y: quantity_of(quantities.ChromaticityY),
    Field.LUX: quantity_of(quantities.Lux),
    Field.RA: quantity_of(quantities.Ra),
    Field.R9: quantity_of(quantities.R9),
    Field.RF: quantity_of(quantities.Rf),
    Field.RG: quantity_of(quantities.Rg),
    Field.SSI: quantity_of(quantities.SSI),
    Field.LEVEL: quantity_of(quantities.DimLevel),
    Field.STOPS_DOWN: Quantity("Stops below full", "stops", -10, 10),
    Field.DIAL_CCT: quantity_of(quantities.DialCCT),
    Field.DIAL_GREEN: quantity_of(quantities.DialGreen),
    Field.POWER: quantity_of(quantities.Watts),
    **_CHROMATICITY,
    **_TRISTIMULUS,
    **_DERIVED,
}
_UNITS: dict[Field, dict[str, float]] = {
    Field.CCT: _KELVIN,
    Field.LUX: _LUX | _FOOTCANDLE,
    Field.LEVEL: {"%": 1.0, "percent": 1.0},
    Field.STOPS_DOWN: dict.fromkeys(("stop", "stops", "f"), 1.0),
    Field.DIAL_CCT: _KELVIN,
    Field.POWER: {"w": 1.0, "watt": 1.0, "watts": 1.0, "kw": 1000.0},
    Field.MIRED: dict.fromkeys(("mired", "mireds", "mk-1", "mk⁻¹", "1/mk"), 1.0),
    Field.CC: {"cc": 1.0, "ccs": 1.0},
    Field.DUV: {"‰": 1e-3, "e-3": 1e-3},
}

#: Words that stand for numbers: no green and no magenta; a dim level.
_SAID = {
    **{(field, word): 0.0 for field in (Field.CC, Field.DUV) for word in ("neutral", "zero", "nil", "null")},
    **{(Field.LEVEL, word): 100.0 for word in ("full", "at full", "max", "voll", "plein", "100")},
    **{(Field.LEVEL, word): 50.0 for word in ("half", "½", "1/2", "halb", "moitié", "mitad", "metà")},
    **{(Field.LEVEL, word): 25.0 for word in ("quarter", "a quarter", "¼", "1/4", "viertel")},
    **{(Field.LEVEL, word): 75.0 for word in ("three quarters", "three quarter", "¾", "3/4")},
}

#: The side of a green or magenta that is written behind its size: "9G", "2 M".
_SHADES = {"g": 1.0, "green": 1.0, "m": -1.0, "magenta": -1.0}

#: What people and meters write where there is nothing to write.
_NOTHING = frozenset(
    {"", "-", "--", "---", "–", "—", "−", "…", "...", "n/a", "na", "n.a.", "none", "null", "?", "*"}
    | {
        "k. a.",
        "k.a.",
        "s/o",
        "s. o.",
        "n/d",
        "n.d.",
        "nan",
        "#n/a",
        "#n/v",
        "tbd",
        "--.--",
        "-.-",
        "―",
        "ー",
        "なし",
    }
)
#: What a spreadsheet writes where it could work out nothing: "#VALUE!", "#DIV/0!", "#ИМЯ?".
_SHEET_ERROR = re.compile(r"#[^\W\d_]{2,12}(?:/[^\W_]{1,2})?[!?]?|#{2,20}")
#: What stands in a column of numbers where a meter could read none.
_UNREAD = re.compile(
    r"(?:over|under|out of)?[\s-]*(?:range|flow|load)|o\.?l\.?|u\.?l\.?|over|under|err(?:or)?|e\d"
    r"|fail(?:ed)?|hi(?:gh)?|lo(?:w)?|too (?:dark|bright|low|high|dim)|no reading|not (?:read|measured|taken)"
    r"|invalid|saturated|[<>≥≤]\s?=?\s?[\d.,\s']+\s?\S{0,3}|überlauf|außer bereich|hors plage|hors gamme"
    r"|fuera de rango|fuori scala|fora de escala|buiten bereik|poza zakresem|範囲外",
    re.IGNORECASE,
)
_ABOUT = re.compile(r"(?:[~≈≃∼≅±]|(?:ca|approx|about|circa|env|c)\.?\s(?=\d))\s*", re.IGNORECASE)
_TOLERANCE = re.compile(r"\s*\(?(?:±|\+/[-−]|\+-)\s*[\d.,]+\s*(?:%|K\b|lx\b)?\s*\)?")
_FLAGS = re.compile(r"[\s*†‡#]+$|\s*\([a-z]\)$")


@dataclass(frozen=True)
class Cell:
    """A piece of the text: what stands there, and where, in words for a person."""

    text: str
    where: str

    @property
    def empty(self) -> bool:
        """Whether nothing is said in it."""
        text = self.text.strip()
        return text.casefold() in _NOTHING or (
            text.startswith("#") and _SHEET_ERROR.fullmatch(text) is not None
        )

    @property
    def unread(self) -> bool:
        """Whether it says that a number could not be read: over range, or a bound in place of a number."""
        return len(self.text) <= 40 and _UNREAD.fullmatch(self.text.strip()) is not None


class FilledCells(NamedTuple):
    """The cells of a row in which something is said; `unread` are of numbers that a meter could not read."""

    given: dict[Field, Cell]
    unread: dict[Field, Cell]


def in_row(cells: Mapping[Field, Cell]) -> FilledCells:
    """Tell the cells of a row that say something from those that hold no number where one should stand."""
    filled = {field: cell for field, cell in cells.items() if not cell.empty}
    unread = {field: cell for field, cell in filled.items() if field in NUMBERS and cell.unread}
    return FilledCells({field: cell for field, cell in filled.items() if field not in unread}, unread)


# Words in brackets behind a number, which are no unit: "3480 (dimmed)".
_REMARK = re.compile(r"(?<=[\dKk])\s\((?!(?:lux|klx|fc|kelvin)\))[^\W\d_]{3,}[^()\d]{0,30}\)$")


def bare(text: str) -> str:
    """Return a number without what stands around it: “~5480*” is “5480”, “5 480 ± 30 K” is “5 480 K”."""
    text = text.strip()
    if len(text) > 60 or not re.search(r"[~≈≃∼≅±*†‡#(+]|^[a-zA-Z]", text):
        return text
    text = _REMARK.sub("", _FLAGS.sub("", text))
    text = _ABOUT.sub("", text, count=1) if _ABOUT.match(text) else text
    return (
        _TOLERANCE.sub(" ", text, count=1).strip()
        if re.search(r"\d\s?\w{0,3}\s?\(?(?:±|\+/?[-−])", text)
        else text
    )


def bare_each(texts: Sequence[str]) -> list[str]:
    """Return each number without what stands around it, as `bare` does."""
    return [bare(text) for text in texts]


def number(cell: Cell, field: Field, *, factor: float, mark: str | None) -> float:
    """Read a cell of a column into the field's unit (K, lx or none).

    `factor` is the heading's (a unit such as fc, a scale such as ×10⁻³) and holds unless the cell
    brings its own unit. `mark` is the table's decimal mark, None if it shows none. Raises the
    pydantic error that says what is wrong.
    """
    quantity = _QUANTITIES[field]
    text = bare(cell.text)
    if (said := _SAID.get((field, text.casefold()))) is not None:
        return said
    try:
        parsed = numbers.parse(text)
    except numbers.NotANumber:
        return quantity.check(text)  # which says so, in the words of every other input
    units = _UNITS.get(field, {})
    unit = re.sub(r"\s+", "", parsed.unit).casefold()
    if field is Field.CCT and unit in _UNITS[Field.MIRED]:
        return 1e6 / _QUANTITIES[Field.MIRED].check(parsed.values[0])
    if field is Field.CCT and parsed.unit == "k" and 1 <= parsed.values[-1] <= 25:
        return quantity.check(round(parsed.values[-1] * 1000, 6))  # "5.6k" can mean nothing else
    if field is Field.LUX and parsed.unit == "k":
        return quantity.check(round(parsed.values[-1] * 1000, 6))  # "98k", in a column of lux
    if field is Field.CC and unit in _SHADES and not text.startswith(("+", "-", "−")):
        return quantity.check(parsed.values[-1] * _SHADES[unit])
    if unit and unit not in units:
        return quantity.check(text)
    by = units[unit] if unit else factor
    if by == 1.0 and len(parsed.values) == 1:
        return quantity.check(text if not unit or unit in ("k", "lx", "%") else parsed.values[0])
    mark = mark or ("." if field in _TRISTIMULUS else None)
    scaled = [_times(v, by) for v in _likely_first(parsed, text, mark)]
    value = next((v for v in scaled if quantity.low <= v <= quantity.high), scaled[0])
    try:
        return quantity.check(value)
    except PydanticCustomError as error:
        context = error.context or {}
        raise wrong(f"{context['says']} (the text says {cell.text.strip()!r})", context["allowed"]) from None


def _times(value: float, by: float) -> float:
    """Multiply; dividing by 1000 keeps 4.1 ×10⁻³ at 0.0041, where multiplying by 0.001 would not."""
    whole = round(1 / by) if 0 < by < 1 else 0
    return value / whole if whole and abs(whole * by - 1) < 1e-9 else value * by


def _likely_first(parsed: numbers.Parsed, cell: str, mark: str | None) -> tuple[float, ...]:
    """Order the two senses of "5,600": thousands first, unless its comma is the table's decimal mark."""
    return parsed.values[::-1] if mark is not None and mark in cell else parsed.values


def plain_numbers(cells: Sequence[str], mark: str | None, *, bare_only: bool = False) -> list[float | None]:
    """Return the `plain_number` of each cell of a column; with `bare_only`, None where it has a unit."""
    return [None if bare_only and has_unit(cell) else plain_number(cell, mark) for cell in cells]


def plain_number(cell: str, mark: str | None = None) -> float | None:
    """Return the number in a cell as it is written, without its unit; None where there is none."""
    try:
        parsed = numbers.parse(bare(cell))
    except numbers.NotANumber:
        return None
    return parsed.values[-1] if mark is not None and mark in cell else parsed.values[0]


def has_unit(cell: str) -> bool:
    """Whether a cell says its own scale: "4.2 ‰"."""
    try:
        return bool(numbers.parse(bare(cell)).unit)
    except numbers.NotANumber:
        return False


def decimal_mark(cells: Sequence[tuple[Field, str]]) -> str | None:
    """Find the decimal mark of a table from the cells that leave no doubt; None if they show none or both."""
    found = {mark for field, cell in cells if (mark := _mark_of(cell, field))}
    return found.pop() if len(found) == 1 else None


def _mark_of(cell: str, field: Field) -> str | None:
    match = re.match(r"\s*[-+−–]?\s*(\d[\d.,\s'’]{0,40}|[.,]\d{1,40})", cell)
    marks = re.findall("[.,]", match[1].rstrip(" .,")) if match else []
    if match is None or not marks:
        return None
    other = "." if marks[0] == "," else ","
    if len(marks) > 1:
        return str(marks[-1]) if len(set(marks)) == 2 else other
    if not re.match(r"[1-9]\d{0,2}[.,]\d{3}(?!\d)", match[1]):
        return str(marks[0])
    return (
        other if field in (Field.CCT, Field.DIAL_CCT) else None
    )  # "5,600" K is thousands; of lux it can be either


def problem(where: str, error: PydanticCustomError) -> Problem:
    """Turn a quantity's error into a problem at a place in the text."""
    context = error.context or {}
    return Problem(where=where, says=context["says"], allowed=context["allowed"])
