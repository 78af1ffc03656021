"""The cells of a row that are to be mended, each with what it probably means.

A zero too many, a mark that was forgotten, a letter for a digit.
"""

import re
from collections.abc import Callable, Mapping

from ...model.basis import numbers
from ...model.basis.quantities import MINUS, tidy
from ..sources.colour import NO_COLOUR
from ..text.cells import Cell
from ..vocabulary.headings import MEASURED, NUMBERS, Field
from .answers import cell_key
from .result import PastedCell, PastedRow, Reply

_LETTERS = str.maketrans("oOlI", "0011")
_CCT = (1000.0, 25000.0)
_COLOURS = MEASURED - {Field.LUX}
_PLAIN_DUV = 0.02
"""Hardly a light on set is further off the locus. From memory."""


def likely(field: Field, text: str) -> Reply | None:
    """Return what a cell of a column most likely means; None where nothing is likely.

    A Duv that nobody gave is likely 0: many meters show none.
    """
    ask = _ASKED.get(field)
    if ask is None:
        return None
    if not text.strip():
        return Reply(value="0", words="Duv 0") if field is Field.DUV else None
    try:
        parsed = numbers.parse(_without_letters(text))
    except numbers.NotANumber:
        return None
    return ask(parsed.values[-1])


def _without_letters(text: str) -> str:
    """Put a digit where a letter stands between digits: “56OO” is 5600."""
    return re.sub(
        r"(?<=[\d.,])[oOlI]+(?=[\doOlI.,]*(?:\s|$))", lambda found: found[0].translate(_LETTERS), text
    )


def _cct(value: float) -> Reply | None:
    for by in (1.0, 1000.0, 0.1, 10.0):
        if _CCT[0] <= value * by <= _CCT[1]:
            return Reply(value=f"{value * by:.0f}", words=f"{tidy(value * by, 0)} K")
    return None


def _duv(value: float) -> Reply | None:
    for places in range(5):
        small = value / 10**places
        if abs(small) <= _PLAIN_DUV:
            sign = MINUS if small < 0 else "+"
            return Reply(value=f"{small:.5f}".rstrip("0"), words=f"Duv {sign}{abs(small):.4f}")
    return None


def _level(value: float) -> Reply | None:
    if 0 < value < 1:
        return Reply(value=f"{value * 100:g}", words=f"{tidy(value * 100, 0)} %")
    return None


_ASKED: dict[Field, Callable[[float], Reply | None]] = {
    Field.CCT: _cct,
    Field.DIAL_CCT: _cct,
    Field.DUV: _duv,
    Field.LEVEL: _level,
}


def cells_to_mend(row: PastedRow, cells: Mapping[Field, Cell]) -> list[PastedCell]:
    """Return the cells of a row that was not understood in which something is wrong, or all its numbers.

    Where cells cannot be told apart there are none: the line is to be typed anew.
    """
    if not cells or any(
        f"line {row.line}" == p.where and "cells and the heading" in p.says for p in row.problems
    ):
        return []
    wrong = {p.where: p.says for p in row.problems}
    given = {f: cell for f, cell in cells.items() if f in NUMBERS and not cell.empty}
    shown = {f: cell for f, cell in cells.items() if cell.where in wrong} or given
    if Field.CCT in given and not {Field.DUV, Field.CC} & given.keys() and shown is given:
        shown = {Field.DUV: Cell("", f"line {row.line}, Duv")}
    if shown is given and not _COLOURS & given.keys() and any(p.says == NO_COLOUR for p in row.problems):
        shown = {f: Cell("", f"line {row.line}, {f}") for f in (Field.CCT, Field.DUV)}
    return [_cell(row.key, f, cell, wrong.get(cell.where, "")) for f, cell in shown.items()]


def _cell(row: str, field: Field, cell: Cell, says: str) -> PastedCell:
    text = cell.text.strip()
    means = likely(field, text) if says or not text else None
    return PastedCell(key=cell_key(row, field), heading=field.value, text=text, says=says, likely=means)
