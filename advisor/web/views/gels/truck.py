"""Which gels are on the truck: a field of the stock for each, and what a swatch book says of it."""

from dataclasses import dataclass

from ....model import Gel, Problem
from ....model.gels.series import in_series
from ....model.sets.phrases import signed
from ....store import StoredTable
from ...forms.form import Form
from ...forms.truck_form import SERIES, AskedRow, families_of, fields_of
from ...wording.values import capitalize_first
from ...wording.values import gel as gel_words
from ..choices import OfferedChoice

_FIGURES = {"cc": ("Green", "CC"), "mired": ("Shift", "mired")}


@dataclass(frozen=True)
class SwatchFigure:
    """A figure that a swatch book has: its field, what it is and how it is now, in words, and its unit.

    `keypad` tells that its sign need not be typed.
    """

    id: str
    gel: str
    words: str
    unit: str
    keypad: bool


@dataclass(frozen=True)
class TruckRow:
    """A gel: its `name` for the form, its words, and its fraction, which stands below its family's name.

    `better` says how it is known where that is better than a swatch book knows it.
    """

    number: int
    name: str
    words: str
    fraction: str
    on: bool
    stock: str
    better: str
    figures: tuple[SwatchFigure, ...]


@dataclass(frozen=True)
class TruckFamily:
    """The gels of a family, and its field; `series` is empty where nobody has to say which it is."""

    id: str
    name: str
    on: bool
    series: tuple[OfferedChoice, ...]
    rows: tuple[TruckRow, ...]


@dataclass(frozen=True)
class TruckView:
    """The form; `book` tells that the figures of a swatch book are in sight, `first` that none was sent."""

    version: int
    elsewhere: tuple[Problem, ...]
    book: bool
    families: tuple[TruckFamily, ...]
    first: bool


def view_of(now: StoredTable, form: Form, *, first: bool) -> TruckView:
    """Return the form of the table in force, with what was typed in `form`."""
    asked = families_of(now.table)
    series = _series(form) if any(in_series(gel) for gel in now.table.rows) else ()
    families = tuple(
        TruckFamily(
            id=f"family_{number}",
            name=name,
            on=name in form.chosen("families"),
            series=series if name.lower() == "cto" else (),
            rows=tuple(_row(row, form) for row in rows),
        )
        for number, (name, rows) in enumerate(asked.items())
    )
    shown = [row for family in families for row in family.rows]
    figures = [figure.id for row in shown for figure in row.figures]
    beside = [*figures, *(row.stock for row in shown), *(family.id for family in families), "series"]
    return TruckView(
        version=now.version,
        elsewhere=tuple(form.elsewhere(beside)),
        book=bool(form.value("book")) or _typed(form, fields_of(now.table), figures),
        families=families,
        first=first,
    )


def _typed(form: Form, shown: Form, figures: list[str]) -> bool:
    """Whether anything was typed from the book, or is wrong about it: that is never folded away."""
    return any(form.wrong(name) or form.value(name) != shown.value(name) for name in figures)


def _series(form: Form) -> tuple[OfferedChoice, ...]:
    return tuple(OfferedChoice(own, words, form.value("series") == own) for own, words in SERIES.items())


def _row(row: AskedRow, form: Form) -> TruckRow:
    gel = row.gel
    return TruckRow(
        number=row.number,
        name=gel.name,
        words=gel_words(gel.name),
        fraction=row.said,
        on=gel.name in form.chosen("on"),
        stock=f"stock_{row.number}",
        better=_known(gel) if row.better else "",
        figures=tuple(_figure(row, name) for name in row.swatch),
    )


def _known(gel: Gel) -> str:
    assert gel.knowledge is not None, "it is known better than a swatch book knows it"
    return f"{capitalize_first(gel.knowledge.words)}. Another figure here replaces that."


def _figure(row: AskedRow, name: str) -> SwatchFigure:
    words, unit = _FIGURES[name]
    return SwatchFigure(
        id=f"{name}_{row.number}",
        gel=gel_words(row.gel.name),
        words=f"{words}, now {signed(getattr(row.gel, name))}",
        unit=unit,
        keypad=not row.signed(name),
    )
