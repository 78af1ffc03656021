"""Rows of a gel table made into gels, or what is wrong with them, each at its cell."""

import re
from collections.abc import Mapping, Sequence

from pydantic import ValidationError

from ...model import Gel, GelTable, Refused, Transmittance, problems_in
from ...model.basis.base import name_key
from ..gel_layouts.columns import TakenColumn
from ..gel_layouts.questions import Answers
from ..gel_layouts.shaping import merged
from ..text.lines import Record
from ..vocabulary.gel_headings import GelColumn
from ..vocabulary.gel_names import family_within, known_family
from ..vocabulary.gel_strengths import nominal
from ..vocabulary.gel_words.diffusion import is_diffusion
from .asked_names import Reckoned
from .curves import Check, Curves
from .doubts import RowDoubts
from .draft_row import DraftRow, RowMaking, placed
from .naming import RowNaming
from .row_cells import RowCells, converted

_FIGURES = frozenset({"mired", "cc", "stops"})
_COLOUR = frozenset({GelColumn.MIRED, GelColumn.FROM, GelColumn.TO, GelColumn.CC, GelColumn.DUV})
"""The columns that tell what a gel does to the colour."""
_ALL_LIGHT = 0.995
_WAVE = re.compile(r"\d+(?:[.,]\d+)?\s*(?:nm)?", re.IGNORECASE)
_NAMES = (GelColumn.NAME, GelColumn.FAMILY, GelColumn.FRACTION)
_OF_BASE = ("mired", "cc", "stops", "reference", "known", "percent", "transmittance")


class RowReader:
    """Makes gels of the rows of one table, whose columns are known.

    `from_base` are the gels, each with the figure that its row lacks, or "" of all, which are those of the
    table in force; `left` are the lines of what is no gel.

    `confirmed` are the cells, by row and column, that somebody looked at: they are taken as they are
    written.
    """

    def __init__(
        self,
        columns: Sequence[TakenColumn],
        mark: str | None,
        curves: Curves,
        check: Check | None,
        answers: Answers,
        confirmed: frozenset[tuple[int, int]],
        base: GelTable | None,
        curves_by_name: Mapping[str, str],
    ) -> None:
        self._columns = [c for c in columns if c.column is not GelColumn.UNUSED or c.wave is not None]
        self._width = len(columns)
        self._tells_colour = not _COLOUR.isdisjoint(c.column for c in self._columns)
        self._curves = curves
        self._check = check
        self._answers = answers
        self._reckoned = Reckoned(base)
        self._curves_by_name = curves_by_name
        self._naming = RowNaming(self._columns, mark)
        self._cells = RowCells(self._columns, mark, answers, self._reckoned)
        self.doubts = RowDoubts(columns, confirmed, answers)
        self.from_base: list[tuple[str, str]] = []
        self.left: list[tuple[int, str]] = []

    def read(self, records: Sequence[Record]) -> list[DraftRow]:
        """Return the rows of the records of a table."""
        makings = [self._made(n, record) for n, record in enumerate(records, 1)]
        self._checked([making for making in makings if making.row.gel is not None])
        self.doubts.ask(makings)
        return [making.row for making in makings]

    def _checked(self, makings: Sequence[RowMaking]) -> None:
        """Take for each row what the check says, of all at once."""
        if self._check is None:
            return
        found = self._check([making.row.gel for making in makings if making.row.gel is not None])
        for making, gel in zip(makings, found, strict=True):
            if isinstance(gel, Refused):
                self._says(gel, making)
                making.row.gel = None
            else:
                making.row.gel = gel

    def _made(self, number: int, record: Record) -> RowMaking:
        making = RowMaking(DraftRow(number, record.line, list(record.cells)))
        if self._misshapen(record, making):
            return making
        self._naming.take(making)
        self._cells.take(making)
        if self._is_no_gel(making):
            return making
        self._light(making)
        converted(making)
        self._curve_in_row(making)
        self._gel(making)
        return making

    def _is_no_gel(self, making: RowMaking) -> bool:
        """Whether a row is one of diffusion, which is left out: without colour it would pass for an ND."""
        name = " ".join(making.text(c) for c in self._columns if c.column in _NAMES).strip()
        colour = making.values.get("mired") or making.values.get("cc") or "spectrum" in making.values
        if colour or known_family(name) or family_within(name) is not None or not is_diffusion(name):
            return False
        making.row.wrong.clear()
        making.row.likely.clear()
        self.left.append((making.row.line, f"{name[:40]}: no gel that corrects, left out"))
        return True

    def _misshapen(self, record: Record, making: RowMaking) -> bool:
        if record.broken and '"' not in record.text:
            says = f"the row has {len(record.cells)} cells and the header {self._width}"
            making.refuse("", says, "a cell under each heading, and - where nothing is said")
        elif record.broken:
            says = "a quotation mark is opened and not closed, or closed within a cell"
            making.refuse("", says, 'quotation marks around a whole cell, and "" for one inside')
        elif any(record.cells[self._width :]):
            says = f"the row has {len(record.cells)} cells and the header {self._width}"
            ways = merged(record.cells, self._width)
            allowed = (
                "as many. A cell that holds the separator (a decimal comma, say) goes in quotation marks"
            )
            if len(ways) > 1:
                says += f": with decimal commas it can be read in {len(ways)} ways"
            making.refuse("", says, allowed)
        return bool(making.row.wrong)

    def _light(self, making: RowMaking) -> None:
        """Take the light lost from the name of an ND, which is its density."""
        usual = nominal(str(making.values.get("family", "")), str(making.values.get("fraction", "")))
        told = making.values.keys() & (_FIGURES | {"spectrum"}) or self._curve_of(making.values)
        if usual and usual[0] is GelColumn.STOPS and not told:
            making.values["stops"] = round(usual[1], 2)
            making.row.notes.append(f"{usual[1]:.2g} stops by its density")

    def _curve_in_row(self, making: RowMaking) -> None:
        cells = {c.wave: making.text(c) for c in self._columns if c.wave is not None}
        if any(cells.values()):
            name = f"line {making.row.line}"
            head = " ".join(
                _WAVE.sub("", c.heading) for c in self._columns if c.wave is not None or c.column in _NAMES
            )[:200]
            self._curves.add(
                name,
                "nm;" + head.replace(";", " ") + "\n" + "\n".join(f"{w};{v}" for w, v in cells.items() if v),
            )
            making.values.setdefault("spectrum", name)

    def _gel(self, making: RowMaking) -> None:
        row, values = making.row, dict(making.values)
        spectrum = str(values.pop("spectrum", "") or self._curve_of(values))
        if "family" in values:  # as the table in force calls it
            values["family"] = self._reckoned.family(str(values["family"]))
        own, whence = self._reckoned.gel(values)
        if own is not None and not spectrum and not values.keys() & _FIGURES and self._answers.figures:
            values |= {
                k: v for k, v in dict(own).items() if k in _OF_BASE and k not in values and v is not None
            }
            row.notes.append(f"figures {whence}")
            self.from_base.append((own.name, ""))
        if (
            (lacks := self._lacking(values, spectrum)) is not None
            and own is not None
            and self._answers.figures
        ):
            values[lacks] = getattr(own, lacks)
            row.notes.append(f"{lacks} {whence}")
            if not self._tells_colour:
                self.from_base.append((own.name, ""))
            elif self._is_left_open(lacks):
                self.from_base.append((own.name, lacks))
        elif lacks is not None and not row.wrong and (not self._tells_colour or self._is_left_open(lacks)):
            says = f"nothing says what it does in {lacks}"
            row.wrong.append(
                placed(row.line, "", says, f"a column of {lacks}, or a table in force that has it")
            )
        curve_column = making.at["spectrum"].shown if "spectrum" in making.at else ""
        if spectrum:
            try:
                curve = self._curves.read(spectrum)
                values["transmittance"] = curve.first
                row.notes += curve.notes
            except Refused as no:
                name = f"{values.get('family')} {values.get('fraction')}"
                if values.keys() & _FIGURES and self._curves.without(spectrum, name, f"line {row.line}", no):
                    spectrum = ""
                else:
                    row.wrong += [placed(row.line, "spectrum", p.says, p.allowed) for p in no.problems]
                    # The curve is at fault, not figures left to it.
                    values["stops"] = values.get("stops", 0.0)
            else:
                if self._check and not any(values.get(figure) for figure in _FIGURES):
                    values["stops"] = 0.0
                if self._is_open_light(values, row.line):
                    return
        if "known" in values:
            values["known"] = str(values["known"]).casefold()
        gel = None
        if making.row.wrong and not {"family", "fraction"} <= values.keys():
            return
        try:
            gel = Gel.model_validate(values)
            if spectrum and not row.wrong:
                where = f"line {row.line}, column spectrum" if curve_column else f"line {row.line}"
                gel = self._curves.settle(gel, spectrum, where)
        except ValidationError as error:
            self._model_says(error, making)
        except Refused as no:
            self._says(no, making)
        row.gel = None if row.wrong else gel
        row.said = frozenset(making.values) | frozenset({"stock"} if "stock" in making.at else set())

    def _is_open_light(self, values: Mapping[str, object], line: int) -> bool:
        """Whether a curve is that of the light without a gel, against which the others were measured."""
        curve = values["transmittance"]
        plain = isinstance(curve, Transmittance) and min(curve.values) >= _ALL_LIGHT
        if not plain or values.keys() & {"mired", "cc"} or known_family(str(values.get("family"))):
            return False
        self.left.append((line, f"{values.get('family')}: lets all light through, left out"))
        return True

    def _is_left_open(self, figure: str) -> bool:
        """Whether a column tells this figure of other gels."""
        return any(c.column.value == figure for c in self._columns)

    def _lacking(self, values: Mapping[str, object], spectrum: str) -> str | None:
        """Return the figure for which a gel of its name is hung, where the row does not tell it."""
        usual = nominal(str(values.get("family", "")), str(values.get("fraction", "")))
        if usual is None or spectrum or not values.keys() & _FIGURES:
            return None
        column = usual[0].value
        return column if column in ("mired", "cc") and column not in values else None

    def _says(self, no: Refused, making: RowMaking) -> None:
        making.row.wrong += [
            placed(making.row.line, self._shown(making, p.where), p.says, p.allowed) for p in no.problems
        ]

    def _curve_of(self, values: Mapping[str, object]) -> str:
        return self._curves_by_name.get(name_key(f"{values.get('family')} {values.get('fraction')}"), "")

    def _shown(self, making: RowMaking, name: str) -> str:
        return making.at[name].shown if name in making.at else name

    def _model_says(self, error: ValidationError, making: RowMaking) -> None:
        """Put the model's problems at their line and column; a missing column was told once already."""
        columns = {c.column.value for c in self._columns} | (
            {"family", "fraction"} if self._naming.in_one else set()
        )
        for found in problems_in(error):
            if found.where not in ("family", "fraction") or found.where in columns:
                empty = found.where in ("family", "fraction") and found.says.endswith("is missing")
                says = f"{found.where} is empty" if empty else found.says
                making.refuse(self._shown(making, found.where), says, found.allowed)
