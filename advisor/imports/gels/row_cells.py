"""What the cells of a gel table's row say beside the name: figures, sheets, on or off, and notes."""

import re
from collections.abc import Sequence
from math import ceil

from ..gel_layouts.columns import TakenColumn
from ..gel_layouts.figures import (
    CellFigure,
    allowed_in,
    amount,
    column_of_unit,
    figure,
    is_nothing,
    said_on,
)
from ..gel_layouts.likeness import is_open
from ..gel_layouts.questions import Answers
from ..text.spreadsheet_cells import PARTS, unescape
from ..vocabulary.gel_headings import LIGHT, GelColumn, GelHeading
from ..vocabulary.gel_strengths import nominal
from .asked_names import Reckoned
from .draft_row import RowMaking

_SLIPS = str.maketrans("OolI", "0011")
"""Letters that are typed for digits."""
_ASIDE = re.compile(r"([^()]{1,40}?)\s*\(([^()]*[^\W\d_]{3}[^()]*)\)")
"""Sheets, and what is remarked of them: "1 sheet (creased)"."""
_ALIKE = 0.15
"""How far two columns of light lost may disagree by rounding. [stop]"""
_DUV_BY_CC = (0.5, 2.0)
"""How far a measured Duv may be from the CC that a gel is called by, as a share of it (our judgement)."""
_BRACKETED = re.compile(r"^\((\d+(?:[.,]\d+)?)\)$")
"""A negative number as a ledger writes it."""
_ANY_SHEETS = ("plenty", "0")
_TEXTS = {GelColumn.NOTE: "note", GelColumn.KNOWN: "known", GelColumn.SPECTRUM: "spectrum"}


class RowCells:
    """Takes the cells of one table, as somebody answered what its columns mean."""

    def __init__(
        self, columns: Sequence[TakenColumn], mark: str | None, answers: Answers, reckoned: Reckoned
    ) -> None:
        self._columns = columns
        self._reckoned = reckoned
        self._mark = mark
        self._answers = answers

    def take(self, making: RowMaking) -> None:
        """Take each cell of a row, or say what is wrong with it."""
        for column in self._columns:
            self._cell(making, column)
        if making.aside:
            told = str(making.values.get("note", ""))
            making.values["note"] = f"{making.aside}; {told}" if told else making.aside

    def _cell(self, making: RowMaking, column: TakenColumn) -> None:
        text = making.text(column)
        kind = column.column
        if kind in _TEXTS:
            if text:
                making.at[_TEXTS[kind]] = column
                making.values[_TEXTS[kind]] = unescape(text) if _TEXTS[kind] in PARTS else text
            return
        if kind is GelColumn.STOCK and (stock := figure(text, column.meant, None)) and stock.value == 0:
            self._take(making, column, stock)  # "none" is a number of sheets
            return
        if (
            kind in (GelColumn.NAME, GelColumn.FAMILY, GelColumn.FRACTION)
            or column.wave is not None
            or is_nothing(text)
        ):
            return
        if kind is GelColumn.ON:
            self._switch(making, column, text)
            return
        found = figure(text, column.meant, self._mark)
        aside = _ASIDE.fullmatch(text) if found is None and kind is GelColumn.STOCK else None
        if aside and (found := figure(aside[1], column.meant, self._mark)) is not None:
            making.aside = making.aside or aside[2].strip()
        green = "green" in str(making.values.get("family", "")).casefold()
        if kind is GelColumn.MIRED and green and column_of_unit(text) is GelColumn.CC:
            found = figure(text, GelHeading(GelColumn.CC), self._mark)  # "7M" in a column of any shift
        if found is None and kind is GelColumn.MIRED and (own := column_of_unit(text)) in LIGHT:
            found = figure(text, GelHeading(own or kind), self._mark)  # "1 stop" of an ND among shifts
        if found is None:
            self._not_understood(making, column, text)
        elif found.field == "rolls":
            self._rolls(making, column, found, text)
        else:
            self._take(making, column, found)

    def _take(self, making: RowMaking, column: TakenColumn, found: CellFigure) -> None:
        before = making.values.get(found.field)
        if found.note:
            making.row.notes.append(f"{column.shown}: {found.note}")
        if found.field == "cc" and _agree(before, found.value, column):
            making.row.notes.append(f"{column.shown} says {found.value:+.2g} CC")
        elif found.field == "cc" and isinstance(before, float) and before and found.value:
            making.refuse(column.shown, "the row says both green and magenta", "one of them", column.at)
        elif found.field == "stops" and isinstance(before, float) and found.value is not None:
            if abs(before - found.value) <= _ALIKE:  # the plainer one
                if LIGHT.index(column.column) < LIGHT.index(making.at["stops"].column):
                    making.values["stops"], making.at["stops"] = found.value, column
            else:
                says = (
                    f"{column.shown} says {found.value:.2g} stops and {making.at['stops'].shown} {before:.2g}"
                )
                making.refuse(column.shown, says, "the same light", column.at)
        elif found.field == "stock":
            self._sheets(making, column, found.value)
        elif found.value is not None and not (before and not found.value):
            making.values[found.field] = self._turned(making, found.field, found.value)
            making.at[found.field] = column

    def _sheets(self, making: RowMaking, column: TakenColumn, sheets: float | None) -> None:
        """Take sheets; where another column counts some too, as was said."""
        before = making.values.get("stock")
        if making.rolled or sheets is None:
            return
        if isinstance(before, float) and self._answers.stocks == "first":
            return
        adds = isinstance(before, float) and self._answers.stocks == "add"
        making.values["stock"] = sheets + (before if isinstance(before, float) and adds else 0.0)
        making.at["stock"] = column

    def _turned(self, making: RowMaking, name: str, value: float) -> float:
        """Return a figure with the sign and in the scale that somebody said the column has."""
        value *= self._answers.scale(name)
        way = self._answers.sign(name)
        if way == "turned":
            return -value + 0.0
        if way == "by name":
            usual = nominal(str(making.values.get("family", "")), str(making.values.get("fraction", "")))
            if usual is not None and usual[0] == name and value:
                return abs(value) if usual[1] > 0 else -abs(value)
        return value

    def _not_understood(self, making: RowMaking, column: TakenColumn, text: str) -> None:
        usual = nominal(str(making.values.get("family", "")), str(making.values.get("fraction", "")))
        if is_open(text) and usual is not None and usual[0] is column.column is not GelColumn.STOPS:
            return  # it is asked what the gel does, with the usual figure
        name = {GelColumn.TRANSMISSION: "stops", GelColumn.LOST: "stops", GelColumn.DENSITY: "stops"}.get(
            column.column
        )
        if column.column in (
            GelColumn.MIRED,
            GelColumn.CC,
            GelColumn.STOPS,
            GelColumn.REFERENCE,
            GelColumn.PERCENT,
        ):
            making.values[column.column.value] = (
                text  # the model refuses it, in the words of every other input
            )
            making.at[column.column.value] = column
        elif column.column is GelColumn.STOCK:
            making.values["stock"], making.at["stock"] = text, column
        elif name or column.column is GelColumn.FACTOR:
            allowed = allowed_in(column.column)
            making.refuse(
                column.shown,
                f"{column.shown} {text[:20]!r} is no light that a gel lets through",
                allowed,
                column.at,
            )
        else:
            making.refuse(column.shown, f"{text[:20]!r} is not a number", "a number", column.at)
        likely = _BRACKETED.sub(r"-\1", text).split("(")[0].strip(" ?!*'\"").translate(_SLIPS)
        found = amount(likely, self._mark)
        meant = f"{found.sign if found.sign == '+' else ''}{found.value:g}" if found is not None else ""
        if meant and meant != text.strip() and any(map(str.isdigit, text)):
            making.row.likely.setdefault(column.at, (meant,))
        elif column.column is GelColumn.STOCK:
            first = re.match(r"\d{1,4}(?=\D)", text)
            making.row.likely.setdefault(column.at, (first[0], *_ANY_SHEETS) if first else _ANY_SHEETS)
        elif column.column in LIGHT and is_open(text):
            making.row.likely.setdefault(column.at, ("-",))
        elif column.column in (GelColumn.MIRED, GelColumn.CC) and not any(map(str.isdigit, text)):
            own, _ = self._reckoned.gel(making.values)
            if own is not None and (told := getattr(own, column.column.value)):
                making.row.likely.setdefault(column.at, (f"{told:+g}",))

    def _rolls(self, making: RowMaking, column: TakenColumn, found: CellFigure, text: str) -> None:
        """Take rolls as was said: nobody knows how many sheets are on one."""
        before = making.values.get("stock")
        counted = before if isinstance(before, float) else 0.0
        if found.value == 0 or self._answers.rolls == "sheets":
            making.values["stock"] = counted + ceil(found.value or 0.0)
        else:
            making.rolled = True
            making.values.pop("stock", None)
            making.row.notes.append(f"{text}: plenty")
            if "note" not in making.values:
                making.values["note"] = f"{text} rolls" if text.isdecimal() else text
        making.at["stock"] = column

    def _switch(self, making: RowMaking, column: TakenColumn, text: str) -> None:
        said = said_on(text)
        making.at["on"] = column
        if said is None:
            making.refuse(
                column.shown,
                f"on {text[:20]!r} is not yes or no",
                "yes or no; empty is yes",
                column.at,
                ("yes", "no"),
            )
        else:
            making.values["on"] = said


def _agree(before: object, value: float | None, column: TakenColumn) -> bool:
    """Whether a Duv tells about the same as the CC beside it, which is what the trade calls the gel by."""
    if not isinstance(before, float) or not before or not value or column.column is not GelColumn.DUV:
        return False
    return _DUV_BY_CC[0] <= value / before <= _DUV_BY_CC[1]


def converted(making: RowMaking) -> None:
    """Take a shift from two colour temperatures, what a lamp was and what it becomes."""
    before, after = making.values.pop("from", None), making.values.pop("to", None)
    if before is None and "to" in making.at:
        before = making.at["to"].meant.kelvin or None
    if isinstance(before, float) and isinstance(after, float) and "mired" not in making.values:
        making.values["mired"] = round(1e6 / after - 1e6 / before, 1)
        making.at["mired"] = making.at["to"]
        making.values.setdefault("reference", before)
        making.row.notes.append(f"{before:g} K becomes {after:g} K")
        usual = 3200.0 if after > before else 5600.0
        if making.values["reference"] == usual:
            del making.values["reference"]
