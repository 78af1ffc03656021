"""A number from a cell: its unit, the heading's unit, and the decimal mark of the table around it."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pydantic_core import PydanticCustomError

from ...model import Problem
from ...model.basis import numbers
from ...model.basis.problems import wrong
from ...model.basis.quantities import Quantity
from ..vocabulary.headings import NUMBERS, Field
from .units import AGAINST, QUANTITIES, SAID, SHADES, TRISTIMULUS, UNITS

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


def filled(column: Sequence[str]) -> list[str]:
    """Return the cells of a column in which something is said."""
    return [cell for cell in column if not Cell(cell, "").empty]


def telling(column: Sequence[str]) -> list[str]:
    """Return the cells of a column in which something is said, and which a meter could read."""
    return [cell for cell in column if not (Cell(cell, "").empty or Cell(cell, "").unread)]


class FilledCells(NamedTuple):
    """The cells of a row in which something is said; `unread` are of numbers that a meter could not read."""

    given: dict[Field, Cell]
    unread: dict[Field, Cell]


def in_row(cells: Mapping[Field, Cell]) -> FilledCells:
    """Tell the cells of a row that say something from those that hold no number where one should stand."""
    filled = {field: cell for field, cell in cells.items() if not cell.empty}
    unread = {field: cell for field, cell in filled.items() if field in NUMBERS and cell.unread}
    return FilledCells({field: cell for field, cell in filled.items() if field not in unread}, unread)


def in_rows(rows: Sequence[Mapping[Field, Cell]]) -> list[FilledCells]:
    """Tell the cells of several rows apart, as `in_row` does."""
    return [in_row(cells) for cells in rows]


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
    found = numbers_in([{field: cell}], factors={field: factor}, mark=mark)[0][field]
    if isinstance(found, PydanticCustomError):
        raise found
    return found


def numbers_in(
    rows: Sequence[Mapping[Field, Cell]], *, factors: Mapping[Field, float], mark: str | None
) -> list[dict[Field, float | PydanticCustomError]]:
    """Read all cells of numbers in some rows, as `number` does; where one cannot be read, why.

    A field without a factor has 1.
    """
    asked = [{f: cell.text for f, cell in cells.items() if f in QUANTITIES} for cells in rows]
    texts = {text: bare(text) for row in asked for text in row.values()}
    parsed = dict(zip(texts, numbers.parse_each(list(texts.values())), strict=True))
    return [
        {f: _number(f, texts[text], parsed[text], factors.get(f, 1.0), mark, text) for f, text in row.items()}
        for row in asked
    ]


def _number(
    field: Field,
    text: str,
    parsed: numbers.Parsed | numbers.NotANumber,
    factor: float,
    mark: str | None,
    cell: str,
) -> float | PydanticCustomError:
    """Read a `text`, which stands in a cell among other signs."""
    if (said := SAID.get((field, text.casefold()))) is not None:
        return said
    quantity = QUANTITIES[field]
    if isinstance(parsed, numbers.NotANumber):
        return _checked(quantity, text)  # which says so, in the words of every other input
    units = UNITS.get(field, {})
    unit = re.sub(r"\s+", "", parsed.unit).casefold()
    if field is Field.CCT and unit in UNITS[Field.MIRED]:
        mired = _checked(QUANTITIES[Field.MIRED], parsed.values[0])
        return mired if isinstance(mired, PydanticCustomError) else 1e6 / mired
    if field is Field.CCT and parsed.unit == "k" and 1 <= parsed.values[-1] <= 25:
        return _checked(quantity, round(parsed.values[-1] * 1000, 6))  # "5.6k" can mean nothing else
    if field is Field.LUX and parsed.unit == "k":
        return _checked(quantity, round(parsed.values[-1] * 1000, 6))  # "98k", in a column of lux
    if field is Field.CC and unit in SHADES and not text.startswith(AGAINST[unit]):
        return _checked(quantity, abs(parsed.values[-1]) * SHADES[unit])
    if unit and unit not in units:
        return _checked(quantity, text)
    by = units[unit] if unit else factor
    if by == 1.0 and len(parsed.values) == 1:
        value = parsed.values[0]
        plain = (not unit or unit in ("k", "lx", "%")) and not quantity.low <= value <= quantity.high
        return _checked(quantity, text if plain else value)
    mark = mark or ("." if field in TRISTIMULUS else None)
    scaled = [_times(v, by) for v in _likely_first(parsed, text, mark)]
    found = _checked(quantity, next((v for v in scaled if quantity.low <= v <= quantity.high), scaled[0]))
    if isinstance(found, PydanticCustomError):
        context = found.context or {}
        return wrong(f"{context['says']} (the text says {cell.strip()!r})", context["allowed"])
    return found


def _checked(quantity: Quantity, value: float | str) -> float | PydanticCustomError:
    """Return a value in the range of its quantity, or why it is none."""
    if isinstance(value, float) and quantity.low <= value <= quantity.high:
        return value
    try:
        return quantity.check(value)
    except PydanticCustomError as error:
        return error


def _times(value: float, by: float) -> float:
    """Multiply; dividing by 1000 keeps 4.1 ×10⁻³ at 0.0041, where multiplying by 0.001 would not."""
    whole = round(1 / by) if 0 < by < 1 else 0
    return value / whole if whole and abs(whole * by - 1) < 1e-9 else value * by


def _likely_first(parsed: numbers.Parsed, cell: str, mark: str | None) -> tuple[float, ...]:
    """Order the two senses of "5,600": thousands first, unless its comma is the table's decimal mark."""
    return parsed.values[::-1] if mark is not None and mark in cell else parsed.values


def plain_numbers(
    cells: Sequence[str], mark: str | None = None, *, bare_only: bool = False
) -> list[float | None]:
    """Return the number in each cell as it is written, without its unit; None where there is none.

    With `bare_only`, None too where a cell says its own scale: "4.2 ‰".
    """
    return [
        None
        if isinstance(parsed, numbers.NotANumber) or (bare_only and parsed.unit)
        else parsed.values[-1 if mark is not None and mark in cell else 0]
        for cell, parsed in zip(cells, numbers.parse_each(bare_each(cells)), strict=True)
    ]


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
    """Turn a quantity's error into a problem that says `where` in the text it is."""
    context = error.context or {}
    return Problem(where=where, says=context["says"], allowed=context["allowed"])
