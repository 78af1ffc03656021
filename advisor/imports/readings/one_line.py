"""One reading on one line without headings, as somebody types it: ``Key 5600 K, 0.003, 900 lx``."""

import re

from ...model import numbers
from ..text.cells import Cell
from ..text.lines import Separator, split
from ..vocabulary.headings import Field, understand

_LONGEST = 300
_UNIT_WORD = re.compile(r"(?<=[\d.,])\s+(?=(?:k|°k|kelvin|lx|lux|klx|fc|ftc)\b|%\s*$)", re.IGNORECASE)
_DIMMED = re.compile(r"(?:(?:at|dim|dimmer|level)\s)?\s*(\d[\d.,]*\s?(?:%|percent)|full)", re.IGNORECASE)
_MODIFIER_WORDS = 3
_MARKS = (
    Separator.TAB,
    Separator.SEMICOLON,
    Separator.PIPE,
    ", ",
    Separator.SPACES,
    Separator.COMMA,
    Separator.SPACE,
)


def one_line(line: str, at: int) -> dict[Field, Cell] | None:
    """Understand CCT and Duv, then lux if it is there, behind an optional name.

    Only what cannot be anything else: a CCT of 1 000 to 25 000, then a Duv within ±0.05. None otherwise.
    A dim level such as ``60 %`` and a modifier such as ``modifier softbox`` may stand at the end.
    """
    if len(line) > _LONGEST:
        return None
    name, _, rest = line.rpartition(":")
    for mark in _MARKS:
        try:
            cells = _split(rest, mark)
        except ValueError:
            continue
        cells, tags = _tags(cells, at)
        for count in (3, 2):
            names, found = cells[:-count], cells[-count:]
            named = " ".join([name.strip(), *names]).strip().rstrip(",;")
            # Single spaces stand within a name; any other mark leaves one cell for it.
            spaced = mark is Separator.SPACE and not re.search(r"[,;|\t]", named)
            if len(found) == count and (spaced or len(names) <= (0 if name else 1)):
                read = _fields([named, *found], at)
                if read:
                    return read | tags
    return None


def _split(line: str, mark: str) -> list[str]:
    if mark == ", ":
        return [c.strip() for c in line.split(mark)]
    if mark == Separator.SPACE:
        line = _UNIT_WORD.sub("", line)  # "5600 K" is one cell
    return split(line, Separator(mark))


def _tags(cells: list[str], at: int) -> tuple[list[str], dict[Field, Cell]]:
    """Take the dim level and the modifier from the end of the cells; return what stands before them."""
    tags: dict[Field, Cell] = {}
    while cells:
        dimmed = _DIMMED.fullmatch(cells[-1])
        field, text = (Field.LEVEL, dimmed[1]) if dimmed else (Field.MODIFIER, _modifier(cells[-1]))
        if not text or field in tags:
            break
        tags[field] = Cell(text, f"line {at}, {field}")
        cells = cells[:-1]
    return cells, tags


def _modifier(cell: str) -> str:
    """Return the modifier from a cell that calls it one; empty for any other."""
    words = cell.split()
    for cut in range(min(_MODIFIER_WORDS, len(words) - 1), 0, -1):
        heading = understand(" ".join(words[:cut]))
        if heading is not None and heading.field is Field.MODIFIER:
            return " ".join(words[cut:])
    return ""


def _fields(cells: list[str], at: int) -> dict[Field, Cell] | None:
    """Check by range that the cells are a name (or nothing), CCT, Duv and perhaps lux."""
    if cells[0] and not re.search(r"[^\W\d_]", cells[0]):
        return None
    cct, duv = _value(cells[1], ("k", "°k", "kelvin")), _value(cells[2], ())
    if not any(1000 <= v <= 25000 for v in cct) or not any(abs(v) <= 0.05 for v in duv):
        return None
    # "5600,0,003" is not 0 and then 3 lx but a decimal comma among commas.
    if len(cells) > 3 and (
        re.match(r"0\d", cells[3]) or not _value(cells[3], ("lx", "lux", "klx", "fc", "ftc"))
    ):
        return None
    order = (Field.NAME, Field.CCT, Field.DUV, Field.LUX)
    return {f: Cell(c, f"line {at}, {f}") for f, c in zip(order, cells, strict=False) if c}


def _value(cell: str, units: tuple[str, ...]) -> tuple[float, ...]:
    try:
        parsed = numbers.parse(cell)
    except numbers.NotANumber:
        return ()
    return parsed.values if parsed.unit.casefold() in ("", *units) else ()
