"""Rows of a gel table made into gels, or what is wrong with them, each at its cell."""

from collections.abc import Mapping, Sequence

from pydantic import ValidationError

from ...model import Gel, GelTable, Known, Refused, problems_in
from ...model.basis.base import name_key
from ..gel_layouts.columns import TakenColumn
from ..gel_layouts.questions import Answers
from ..gel_layouts.shaping import merged
from ..text.lines import Record
from ..vocabulary.gel_headings import GelColumn
from ..vocabulary.gel_names import family_within, known_family, side_alone
from ..vocabulary.gel_strengths import is_far, nearest, nominal
from .asked_names import Reckoned
from .curves import Check, Curves
from .draft_row import DraftRow, RowMaking, placed
from .naming import RowNaming
from .row_cells import RowCells, converted

_FIGURES = frozenset({"mired", "cc", "stops"})
_COLOUR = frozenset({GelColumn.MIRED, GelColumn.FROM, GelColumn.TO, GelColumn.CC, GelColumn.DUV})
"""The columns that tell what a gel does to the colour."""
_OF_BASE = ("mired", "cc", "stops", "reference", "known", "percent", "transmittance")


class RowReader:
    """Makes gels of the rows of one table, whose columns are known.

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
        self._confirmed = confirmed
        self._reckoned = Reckoned(base)
        self._curves_by_name = curves_by_name
        self._stands: dict[str, int] = {}
        self._naming = RowNaming(self._columns, mark)
        self._cells = RowCells(self._columns, mark, answers, self._reckoned)
        self.from_base: list[str] = []

    def read(self, records: Sequence[Record]) -> list[DraftRow]:
        """Return the rows of the records of a table."""
        makings = [self._made(n, record) for n, record in enumerate(records, 1)]
        self._checked([making for making in makings if making.row.gel is not None])
        for making in makings:
            self._doubt(making)
            self._doubt_words(making)
            self._once(making)
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
        self._light(making)
        converted(making)
        self._curve_in_row(making)
        self._gel(making)
        return making

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
            head = " ".join(c.heading for c in self._columns if c.wave is not None)[:200]
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
            self.from_base.append(own.name)
        if (
            (lacks := self._lacking(values, spectrum)) is not None
            and own is not None
            and self._answers.figures
        ):
            values[lacks] = getattr(own, lacks)
            row.notes.append(f"{lacks} {whence}")
            if not self._tells_colour:
                self.from_base.append(own.name)
        elif lacks is not None and not row.wrong and not self._tells_colour:
            says = f"nothing says what it does in {lacks}"
            row.wrong.append(
                placed(row.line, "", says, f"a column of {lacks}, or a table in force that has it")
            )
        curve_column = making.at["spectrum"].shown if "spectrum" in making.at else ""
        if spectrum:
            try:
                values["transmittance"] = self._curves.read(spectrum).first
            except Refused as no:
                row.wrong += [placed(row.line, "spectrum", p.says, p.allowed) for p in no.problems]
                values["stops"] = values.get("stops", 0.0)  # the curve is at fault, not figures left to it
            else:
                if self._check and not any(values.get(figure) for figure in _FIGURES):
                    values["stops"] = 0.0
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

    def _doubt(self, making: RowMaking) -> None:
        """Ask about a figure of another sign or size than the trade's gel of that name has."""
        gel = making.row.gel
        usual = nominal(gel.family, gel.fraction) if gel is not None else None
        labelled = bool(making.values.keys() & _FIGURES)
        if gel is None or usual is None or gel.known not in (None, Known.GENERIC, Known.MEASURED):
            return  # it is from its swatch book, or somebody taught it
        if gel.transmittance is not None and labelled:
            return  # a curve that contradicts its label is asked about by itself
        column, expected = usual
        said = getattr(gel, column.value)
        at = making.at.get(column.value) or making.at.get("family")
        if not said or at is None or (making.row.number, at.at) in self._confirmed:
            return
        if said * expected < 0:
            does = {"mired": ("warms", "cools"), "cc": ("adds green", "adds magenta")}[column.value]
            is_, reads = does if expected > 0 else does[::-1]
            likely = f"{abs(said) if expected > 0 else -abs(said):+g}" if column.value in making.at else ""
            says, allowed = f"{gel.name} {is_}; {said:+.3g} {reads}", f"{likely or 'another'}, or as it is"
        elif is_far(column, said, expected):
            likely = f"{expected:+.3g}" if column is not GelColumn.STOPS else f"{expected:.2g}"
            says = f"{gel.name} says {said:g} {column.value}, and most have about {expected:.3g}"
            allowed = "a figure nearer to that, or this one as it is"
            likely = ""
        else:
            return
        making.row.doubted = True
        making.row.wrong.append(placed(making.row.line, at.shown, says, allowed))
        making.row.likely[at.at] = (likely,) if likely else ()

    def _doubt_words(self, making: RowMaking) -> None:
        """Ask about a name of the trade with a word beside it that may be a strength which nobody knows."""
        gel, at = making.row.gel, making.at.get("family")
        if gel is None or at is None or making.at.get("fraction") is not at or known_family(gel.family):
            return
        known = family_within(gel.family) or side_alone(gel.family)
        if known is None or (making.row.number, at.at) in self._confirmed:
            return
        fraction = gel.fraction if gel.fraction != "full" else nearest(known, gel.mired, gel.cc) or "full"
        likely = f"{known} {fraction}"
        says = f"{making.text(at)[:40]!r} holds a word that is no strength known here"
        making.row.doubted = True
        making.row.wrong.append(placed(making.row.line, at.shown, says, f"{likely}, or as it is"))
        making.row.likely[at.at] = (likely,)

    def _once(self, making: RowMaking) -> None:
        gel, row = making.row.gel, making.row
        if gel is None:
            return
        first = self._stands.setdefault(name_key(gel.name), row.line)
        if first != row.line:
            says = f"{gel.name} stands on line {first} and again on line {row.line}"
            making.refuse("", says, "each family and fraction once")
            row.gel = None
