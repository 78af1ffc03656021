"""Rows of a gel table made into gels, or what is wrong with them, each at its cell."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil

from pydantic import ValidationError

from ...model import Gel, GelTable, Known, Problem, Refused, problems_in
from ...model.basis.base import name_key
from ..gel_layouts.columns import TakenColumn, light_of
from ..gel_layouts.figures import CellFigure, allowed_in, amount, figure, is_nothing, said_on
from ..gel_layouts.questions import Answers
from ..gel_layouts.shaping import merged
from ..text.lines import Record
from ..vocabulary.gel_headings import GelColumn
from ..vocabulary.gel_names import ND, GelName, family_of, fractions_of, known_family, understand_name
from ..vocabulary.gel_strengths import STOPS_PER_DENSITY, is_far, nominal
from .cells import PARTS, plain_fraction, unescape
from .curves import Check, Curves

_FIGURES = frozenset({"mired", "cc", "stops"})
_OF_BASE = ("mired", "cc", "stops", "reference", "known", "percent", "transmittance")
_SLIPS = str.maketrans("OolI", "0011")
"""Letters that are typed for digits."""
_ALIKE = 0.15
"""How far two columns of light lost may disagree by rounding. [stop]"""
_TEXTS = {GelColumn.NOTE: "note", GelColumn.KNOWN: "known", GelColumn.SPECTRUM: "spectrum"}


@dataclass
class DraftRow:
    """A row as it was read: `gel` is None where something is `wrong` with it.

    `number` is its place among the rows, from 1. `likely` are the likeliest meanings of a wrong cell, by its
    column; `notes` say how cells were read where that is not plain; `said` are the fields that the row gives.
    `doubted` tells that the row could be taken as it is.
    """

    number: int
    line: int
    cells: list[str]
    gel: Gel | None = None
    wrong: list[Problem] = field(default_factory=list)
    likely: dict[int, tuple[str, ...]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    said: frozenset[str] = frozenset()
    doubted: bool = False


@dataclass
class _Making:
    """A row on its way to a gel."""

    row: DraftRow
    values: dict[str, object] = field(default_factory=dict)
    at: dict[str, TakenColumn] = field(default_factory=dict)
    doubts: list[Problem] = field(default_factory=list)

    def refuse(
        self, column: str, says: str, allowed: str, at: int | None = None, likely: Sequence[str] = ()
    ) -> None:
        """Add what is wrong, at a column."""
        self.row.wrong.append(placed(self.row.line, column, says, allowed))
        if at is not None and likely:
            self.row.likely[at] = tuple(likely)


def placed(line: int, column: str, says: str, allowed: str) -> Problem:
    """Return a problem at a line and, where one is named, a column."""
    where = f"line {line}" + (f", column {column}" if column else "")
    return Problem(where=where, says=says, allowed=allowed)


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
        self._mark = mark
        self._curves = curves
        self._check = check
        self._answers = answers
        self._confirmed = confirmed
        self._base = {name_key(gel.name): gel for gel in base.rows} if base is not None else {}
        self._curves_by_name = curves_by_name
        self._stands: dict[str, int] = {}
        self._family = ""
        self.from_base: list[str] = []

    def read(self, number: int, record: Record) -> DraftRow:
        """Return the row of a record, the `number`-th of the table."""
        making = _Making(DraftRow(number, record.line, list(record.cells)))
        if self._misshapen(record, making):
            return making.row
        self._name(making)
        for column in self._columns:
            self._cell(making, column)
        self._light(making)
        self._converted(making)
        self._curve_in_row(making)
        self._gel(making)
        self._doubt(making)
        self._once(making)
        return making.row

    def _misshapen(self, record: Record, making: _Making) -> bool:
        if record.broken:
            says = "a quotation mark is opened and not closed, or closed within a cell"
            making.refuse("", says, 'quotation marks around a whole cell; "" for one inside')
        elif any(record.cells[self._width :]):
            says = f"the row has {len(record.cells)} cells and the header {self._width}"
            ways = merged(record.cells, self._width)
            allowed = (
                "as many; a cell that holds the separator (a decimal comma, say) goes in quotation marks"
            )
            if len(ways) > 1:
                says += f": with decimal commas it can be read in {len(ways)} ways"
            making.refuse("", says, allowed)
        return bool(making.row.wrong)

    def _text(self, making: _Making, column: TakenColumn) -> str:
        return making.row.cells[column.at].strip() if column.at < len(making.row.cells) else ""

    def _first(self, column: GelColumn) -> TakenColumn | None:
        return next((c for c in self._columns if c.column is column), None)

    def _name(self, making: _Making) -> None:
        whole = self._first(GelColumn.NAME)
        part = self._first(GelColumn.FRACTION)
        family = self._first(GelColumn.FAMILY)
        if whole is not None:
            self._whole_name(making, whole, part)
            return
        for column, name in ((family, "family"), (part, "fraction")):
            if column is not None and (text := unescape(self._text(making, column))):
                making.at[name] = column
                making.values[name] = text
        if "family" in making.values and family is not None:
            making.values["family"] = self._family = family_of(str(making.values["family"]))
        elif family is not None and self._family and "fraction" in making.values:
            making.values["family"] = self._family  # written once, over the rows beneath it
            making.row.notes.append(f"{self._family}, as above")
        if "fraction" in making.values and part is not None:
            making.values["fraction"] = self._fraction(str(making.values["fraction"]), making, part)

    def _fraction(self, text: str, making: _Making, column: TakenColumn) -> str:
        text = plain_fraction(text)
        family = str(making.values.get("family", ""))
        known = known_family(family)
        if column.heading.casefold() == "fraction" and known != ND:
            return text if fractions_of(text)[:1] in ((), (text,)) or "." in text else fractions_of(text)[0]
        found = fractions_of(text, known or "")
        if len(found) > 1 and family:
            return self._settled(GelName(family, found[0], found[1:]), making, column)
        return found[0] if found else text

    def _whole_name(self, making: _Making, column: TakenColumn, part: TakenColumn | None) -> None:
        text = unescape(self._text(making, column))
        making.at["family"] = making.at["fraction"] = column
        name = understand_name(text)
        if name is None:
            says = f"{text[:40]!r} names no gel" if text else "family is empty"
            making.refuse(column.shown, says, "one family and its fraction, such as CTO 1/2")
            return
        fraction = self._settled(name, making, column) if name.others else name.fraction
        own = unescape(self._text(making, part)) if part is not None else ""
        if part is not None and own:
            making.at["fraction"] = part
            making.values["family"] = name.family
            said = self._fraction(own, making, part)
            if fraction and said != fraction:
                says = f"the name says {fraction} and the column {part.shown} says {said}"
                making.refuse(part.shown, says, "the same fraction in both", part.at, (fraction,))
            fraction = said
        if not fraction and known_family(name.family) == ND:
            fraction = self._density_by_light(making)
            if not fraction:
                says = f"{text[:40]!r} says no density"
                making.refuse(column.shown, says, "a density, such as ND 0.3", column.at)
        elif not fraction:
            fraction = "full"
            making.row.notes.append(f"{name.family}: no fraction, so full")
        making.values |= {"family": name.family, "fraction": fraction}

    def _density_by_light(self, making: _Making) -> str:
        lost = self._lost(making)
        return f"{lost / STOPS_PER_DENSITY:.2f}".rstrip("0").rstrip(".") if lost else ""

    def _lost(self, making: _Making) -> float | None:
        for column in light_of(self._columns):
            found = figure(self._text(making, column), column.meant, self._mark)
            if found is not None and found.value is not None:
                return found.value
        return None

    def _settled(self, name: GelName, making: _Making, column: TakenColumn) -> str:
        """Settle what a bare number behind ND means by the light that the row says is lost, or ask."""
        every = (name.fraction, *name.others)
        lost = self._lost(making)
        if lost is not None:
            return min(every, key=lambda f: abs(float(f) * STOPS_PER_DENSITY - lost))
        likely = [f"ND {f}" for f in every] if column.column is GelColumn.NAME else list(every)
        says = f"{self._text(making, column)[:40]!r} can be a density or a factor"
        making.refuse(column.shown, says, " or ".join(f"ND {f}" for f in every), column.at, likely)
        return name.fraction

    def _cell(self, making: _Making, column: TakenColumn) -> None:
        text = self._text(making, column)
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
        if found is None:
            self._not_understood(making, column, text)
        elif found.field == "rolls":
            self._rolls(making, column, found, text)
        else:
            self._take(making, column, found)

    def _take(self, making: _Making, column: TakenColumn, found: CellFigure) -> None:
        before = making.values.get(found.field)
        if found.note:
            making.row.notes.append(f"{column.shown}: {found.note}")
        if found.field == "cc" and isinstance(before, float) and before and found.value:
            making.refuse(column.shown, "the row says both green and magenta", "one of them", column.at)
        elif found.field == "stops" and isinstance(before, float) and found.value is not None:
            if abs(before - found.value) > _ALIKE:
                says = (
                    f"{column.shown} says {found.value:.2g} stops and {making.at['stops'].shown} {before:.2g}"
                )
                making.refuse(column.shown, says, "the same light", column.at)
        elif found.value is not None and not (before and not found.value):
            making.values[found.field] = self._turned(making, found.field, found.value)
            making.at[found.field] = column

    def _turned(self, making: _Making, name: str, value: float) -> float:
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

    def _not_understood(self, making: _Making, column: TakenColumn, text: str) -> None:
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
        likely = text.split("(")[0].strip(" ?!*'\"").translate(_SLIPS)
        found = amount(likely, self._mark)
        if found is not None and text:
            making.row.likely.setdefault(
                column.at, (f"{found.sign if found.sign == '+' else ''}{found.value:g}",)
            )

    def _rolls(self, making: _Making, column: TakenColumn, found: CellFigure, text: str) -> None:
        """Take rolls as was said: nobody knows how many sheets are on one."""
        if self._answers.rolls == "sheets":
            making.values["stock"] = ceil(found.value or 0.0)
        else:
            making.row.notes.append(f"{text}: plenty")
            if "note" not in making.values:
                making.values["note"] = f"{text} rolls" if text.isdecimal() else text
        making.at["stock"] = column

    def _switch(self, making: _Making, column: TakenColumn, text: str) -> None:
        said = said_on(text)
        making.at["on"] = column
        if said is None:
            making.refuse(
                column.shown,
                f"on {text[:20]!r} is neither yes nor no",
                "yes or no; empty is yes",
                column.at,
                ("yes", "no"),
            )
        else:
            making.values["on"] = said

    def _light(self, making: _Making) -> None:
        """Take the light lost from the name of an ND, which is its density."""
        usual = nominal(str(making.values.get("family", "")), str(making.values.get("fraction", "")))
        told = making.values.keys() & (_FIGURES | {"spectrum"}) or self._curve_of(making.values)
        if usual and usual[0] is GelColumn.STOPS and not told:
            making.values["stops"] = round(usual[1], 2)
            making.row.notes.append(f"{usual[1]:.2g} stops by its density")

    def _converted(self, making: _Making) -> None:
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

    def _curve_in_row(self, making: _Making) -> None:
        cells = {c.wave: self._text(making, c) for c in self._columns if c.wave is not None}
        if any(cells.values()):
            name = f"line {making.row.line}"
            head = " ".join(c.heading for c in self._columns if c.wave is not None)[:200]
            self._curves.add(
                name,
                "nm;" + head.replace(";", " ") + "\n" + "\n".join(f"{w};{v}" for w, v in cells.items() if v),
            )
            making.values.setdefault("spectrum", name)

    def _gel(self, making: _Making) -> None:
        row, values = making.row, dict(making.values)
        spectrum = str(values.pop("spectrum", "") or self._curve_of(values))
        own = self._base.get(name_key(f"{values.get('family')} {values.get('fraction')}"))
        if own is not None and not spectrum and not values.keys() & _FIGURES and self._answers.figures:
            values |= {k: v for k, v in dict(own).items() if k in _OF_BASE and k not in values}
            row.notes.append("figures as in your table")
            self.from_base.append(own.name)
        curve_column = making.at["spectrum"].shown if "spectrum" in making.at else ""
        if spectrum:
            try:
                values["transmittance"] = self._curves.read(spectrum).first
            except Refused as no:
                row.wrong += [placed(row.line, "spectrum", p.says, p.allowed) for p in no.problems]
                values["stops"] = values.get("stops", 0.0)  # the curve is at fault, not figures left to it
            else:
                if self._check and not values.keys() & _FIGURES:
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
            gel = self._check(gel) if self._check else gel
        except ValidationError as error:
            self._model_says(error, making)
        except Refused as no:
            row.wrong += [
                placed(row.line, self._shown(making, p.where), p.says, p.allowed) for p in no.problems
            ]
        row.gel = None if row.wrong else gel
        row.said = frozenset(making.values) | frozenset({"stock"} if "stock" in making.at else set())

    def _curve_of(self, values: Mapping[str, object]) -> str:
        return self._curves_by_name.get(name_key(f"{values.get('family')} {values.get('fraction')}"), "")

    def _shown(self, making: _Making, name: str) -> str:
        return making.at[name].shown if name in making.at else name

    def _model_says(self, error: ValidationError, making: _Making) -> None:
        """Put the model's problems at their line and column; a missing column was told once already."""
        columns = {c.column.value for c in self._columns} | (
            {"family", "fraction"} if self._first(GelColumn.NAME) else set()
        )
        for found in problems_in(error):
            if found.where not in ("family", "fraction") or found.where in columns:
                empty = found.where in ("family", "fraction") and found.says.endswith("is missing")
                says = f"{found.where} is empty" if empty else found.says
                making.refuse(self._shown(making, found.where), says, found.allowed)

    def _doubt(self, making: _Making) -> None:
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
            says = f"{gel.name} says {said:g} {column.value}; most have about {expected:.3g}"
            allowed = "a figure nearer to that, or this one as it is"
            likely = ""
        else:
            return
        making.row.doubted = True
        making.row.wrong.append(placed(making.row.line, at.shown, says, allowed))
        making.row.likely[at.at] = (likely,) if likely else ()

    def _once(self, making: _Making) -> None:
        gel, row = making.row.gel, making.row
        if gel is None:
            return
        first = self._stands.setdefault(name_key(gel.name), row.line)
        if first != row.line:
            says = f"{gel.name} stands on line {first} and again on line {row.line}"
            making.refuse("", says, "each family and fraction once")
            row.gel = None


def key_of(name: GelName) -> str:
    """Return what tells a gel's name from others; one without a fraction is full."""
    return name_key(f"{name.family} {name.fraction or 'full'}")


def name_of(cells: Sequence[str], columns: Sequence[TakenColumn]) -> str:
    """Return the key of the gel that the cells of a row name; empty where they name none."""
    held = {c.column: cells[c.at] for c in columns if c.at < len(cells)}
    if (whole := held.get(GelColumn.NAME)) is not None:
        name = understand_name(whole)
        if name is not None and not name.fraction and GelColumn.FRACTION in held:
            name = understand_name(f"{whole} {held[GelColumn.FRACTION]}")
    else:
        name = understand_name(f"{held.get(GelColumn.FAMILY, '')} {held.get(GelColumn.FRACTION, '')}")
    return key_of(name) if name is not None else ""
