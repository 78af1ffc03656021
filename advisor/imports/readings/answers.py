"""What a person can say of a pasted text: what a column holds, where headings are, what a cell should say.

An answer goes by a key: that of a column, of a cell, of a question, or one of those below.
"""

import re
from collections.abc import Mapping, Sequence
from itertools import zip_longest

from ...model.basis.quantities import MINUS
from ...model.basis.units import FOOT_CANDLE
from ..text.lines import Separator, cells_in
from ..vocabulary.headings import Field, Heading
from ..vocabulary.noted import EIGHT_BITS, SHARE
from .result import Answers, PasteQuestion, Reply

TURNED = "turned"
"""Key of “yes” where rows and columns are swapped."""
HEADINGS = "headings"
"""Key of the number of the line that holds the headings, from 1."""
LEFT_OUT = "-"
"""Of a column: it is not used."""
FIGURES_SHOWN = (Field.CCT, Field.DUV, Field.LUX)
"""What can be said otherwise of a row that was understood."""
PLAIN = "="
"""Stands before a number in kelvin, Duv or lux."""
_LINE = re.compile(r"line-([1-9]\d{0,5})")
_LONGEST_LINE = 5000
_MOST_COLUMNS = 600

_MEANINGS: dict[str, tuple[str, Heading | None]] = {
    "name": ("name", Heading(Field.NAME)),
    "cct": ("CCT, K", Heading(Field.CCT)),
    "cct-k": ("CCT × 1 000, K", Heading(Field.CCT, 1000.0)),
    "duv": ("Duv", Heading(Field.DUV)),
    "duv-m": ("Duv ÷ 1 000", Heading(Field.DUV, 0.001)),
    "duv-10m": ("Duv ÷ 10 000", Heading(Field.DUV, 0.0001)),
    "x": ("x", Heading(Field.X)),
    "y": ("y", Heading(Field.Y)),
    "u76": ("u′", Heading(Field.U76)),
    "v76": ("v′", Heading(Field.V76)),
    "u60": ("u, of 1960", Heading(Field.U60)),
    "v60": ("v, of 1960", Heading(Field.V60)),
    "lux": ("illuminance, lx", Heading(Field.LUX)),
    "lux-k": ("illuminance × 1 000, lx", Heading(Field.LUX, 1000.0)),
    "fc": ("illuminance, fc", Heading(Field.LUX, FOOT_CANDLE)),
    "level": ("dim level, %", Heading(Field.LEVEL)),
    "level-1": ("dim level, share of 1", Heading(Field.LEVEL, SHARE)),
    "level-255": ("dim level, of 255", Heading(Field.LEVEL, EIGHT_BITS)),
    "stops-down": ("stops below full", Heading(Field.STOPS_DOWN)),
    "modifier": ("modifier", Heading(Field.MODIFIER)),
    "dial-cct": ("CCT on its dial, K", Heading(Field.DIAL_CCT)),
    "dial-green": ("green on its dial", Heading(Field.DIAL_GREEN)),
    "mired": ("mired", Heading(Field.MIRED)),
    "cc": ("green or magenta, CC", Heading(Field.CC)),
    "gel": ("gel that hung", Heading(Field.GEL)),
    "time": ("time of day", Heading(Field.TIME)),
    "date": ("date", Heading(Field.DATE)),
    "watts": ("power, W", Heading(Field.POWER)),
    "watts-k": ("power × 1 000, W", Heading(Field.POWER, 1000.0)),
    "kind": ("kind of source", Heading(Field.KIND)),
    "role": ("role in the shot", Heading(Field.ROLE)),
    "note": ("note", Heading(Field.NOTE)),
    LEFT_OUT: ("left out", None),
}
MEANINGS: tuple[Reply, ...] = tuple(Reply(value=v, words=words) for v, (words, _) in _MEANINGS.items())
"""What a column can be said to hold, the likeliest first."""


def column_key(at: int) -> str:
    """Name a column, which is number `at` from 0, for an answer."""
    return f"column-{at + 1}"


def column_keys(first: int, count: int) -> list[str]:
    """Name so many columns, of which the first is number `first` from 0."""
    return [column_key(first + at) for at in range(count)]


def cell_key(row: str, field: Field) -> str:
    """Name the cell of a row that gives `field`; the row by its own key."""
    return f"cell-{row}-{field.value}"


def figure_keys(rows: Sequence[str]) -> list[list[str]]:
    """Name of each row, by its own key, the cells of `FIGURES_SHOWN`."""
    return [[cell_key(row, field) for field in FIGURES_SHOWN] for row in rows]


def mended_cells(
    row: str, answers: Answers, factors: Mapping[Field, float], mark: str | None
) -> dict[Field, str]:
    """Return what was typed in place of a row's cells, as its table would have it; the row by its own key.

    Behind `PLAIN` it was said in kelvin, Duv or lux, and not in the scale of its column: `factors` are those
    of the columns, and `mark` is the table's decimal mark.
    """
    typed = {field: answers[key] for field in Field if (key := cell_key(row, field)) in answers}
    return {field: _as_written(text, factors.get(field, 1.0), mark) for field, text in typed.items()}


def _as_written(text: str, factor: float, mark: str | None) -> str:
    if not text.startswith(PLAIN):
        return text
    text = text.removeprefix(PLAIN).strip()
    try:
        value = float(text.replace(MINUS, "-").replace(",", "."))
    except ValueError:
        return text  # it says a unit, or is none
    said = f"{value / factor:.10f}".rstrip("0").rstrip(".")
    return said.replace(".", ",") if mark == "," else said


def columns_said(answers: Answers, first: int, count: int) -> dict[int, str]:
    """Return what columns were said to hold, a value of `MEANINGS` each, by their numbers from 0.

    The first of the `count` columns has the number `first` for answers.
    """
    said = {at: answers.get(column_key(first + at), "") for at in range(count)}
    return {at: value for at, value in said.items() if value in _MEANINGS}


def heading_said(value: str) -> Heading | None:
    """Return the heading that stands for a value of `MEANINGS`; None where the column is left out."""
    return _MEANINGS[value][1]


def keys_and_values(headings: Sequence[Heading | None], first: int) -> list[tuple[str, str]]:
    """Return of each column its key, and the value of `MEANINGS` that says what its heading says.

    That is empty where none does. The first column is number `first` from 0.
    """
    values = {(h.field, h.factor): value for value, (_, h) in reversed(_MEANINGS.items()) if h}
    said = [values.get((heading.field, heading.factor), "") if heading else "" for heading in headings]
    return list(zip(column_keys(first, len(said)), said, strict=True))


def headings_line(answers: Answers) -> int | None:
    """Return the index of the line that was said to hold the headings, from 0; None where nobody said."""
    said = answers.get(HEADINGS, "")
    return int(said) - 1 if said.isascii() and said.isdigit() and 0 < int(said) <= 20_000 else None


def is_turned(answers: Answers) -> bool:
    """Whether rows and columns are to be swapped."""
    return answers.get(TURNED) == "yes"


def about_shape(lines: list[str], at: int | None, answers: Answers) -> list[PasteQuestion]:
    """Return what can be said of a text as a whole; `at` is the line of its headings as read, from 0.

    Lines are counted in the text as it is read, that is once rows and columns are swapped.
    """
    first = [i for i, line in enumerate(lines[:200]) if line.strip()][:8]
    words = {i: " ".join(lines[i].split())[:60] for i in first}
    swap = Reply(value="" if is_turned(answers) else "yes", words="Swap rows and columns")
    return [
        PasteQuestion(
            key=TURNED,
            says="Rows and columns are swapped" if is_turned(answers) else "Each row is one reading",
            choices=[swap],
            answer=answers.get(TURNED, ""),
            blocks=False,
            lasting=True,
        ),
        PasteQuestion(
            key=HEADINGS,
            says="Say which line holds the headings" if at is None else f"Headings are in line {at + 1}",
            choices=[Reply(value=str(i + 1), words=f"Line {i + 1}: {words[i]}") for i in first if i != at],
            answer=answers.get(HEADINGS, ""),
            blocks=False,
            lasting=True,
        ),
    ]


def _with_lines(lines: list[str], answers: Answers) -> list[str]:
    """Return the lines with those that were typed anew."""
    out = list(lines)
    for key, text in answers.items():
        found = _LINE.fullmatch(key)
        if found and int(found[1]) <= len(out):
            out[int(found[1]) - 1] = " ".join(text.splitlines())[:_LONGEST_LINE]
    return out


def as_said(lines: list[str], answers: Answers) -> list[str]:
    """Return the lines with those that were typed anew, rows and columns swapped where that was said."""
    typed = _with_lines(lines, answers)
    return turned(typed) if is_turned(answers) else typed


def turned(lines: list[str]) -> list[str]:
    """Return a table with its rows as columns, tabs between its cells; as it is where it has no cells."""
    filled = [line for line in lines if line.strip() and len(line) <= 20 * _LONGEST_LINE]
    parted = [[cells_in(line, mark) for line in filled] for mark in Separator]
    best = max(parted, key=_alike, default=[])
    if max(map(len, best), default=0) < 2 or len(best) > _MOST_COLUMNS:
        return lines
    return [
        "\t".join(" ".join(cell.split()) for cell in column) for column in zip_longest(*best, fillvalue="")
    ]


def _alike(rows: list[list[str]]) -> int:
    """Count the rows that have as many cells as the longest, more than one."""
    longest = max(map(len, rows), default=0)
    return sum(len(row) == longest for row in rows) if longest > 1 else 0
