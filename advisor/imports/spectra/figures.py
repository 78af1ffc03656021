"""The figures that a meter printed beside a spectrum, so that they can be compared with it."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from pydantic_core import PydanticCustomError

from ..grids.name_value import pairs_in
from ..text.cells import Cell, number
from ..vocabulary.headings import FIGURES, Field, Heading, understand
from .cells import mark_of
from .samples import Sample

#: The fields that are kept, under their names in lower case.
FIELDS = frozenset({Field.CCT, Field.DUV, Field.LUX}) | FIGURES
_KEYS = {Field.LUX: "lux"}


@dataclass
class UncheckedSpectrum:
    """One spectrum of a text, before it is checked: its samples, what stands beside it, and where it is."""

    where: str
    name: str = ""
    samples: list[Sample] = field(default_factory=list)
    figures: dict[str, float] = field(default_factory=dict)
    ssi: dict[str, float] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def add_figure(self, heading: Heading, cell: Cell, mark: str | None) -> None:
        """Take a figure from a cell; say so if it is none. The first of several counts."""
        if cell.empty or heading.field not in FIELDS:
            return
        try:
            value = number(cell, heading.field, factor=heading.factor, mark=mark)
        except PydanticCustomError as error:
            self.notes.append(f"{cell.where}: {(error.context or {})['says']}; it is left out")
            return
        if heading.field is not Field.SSI:
            self.figures.setdefault(_KEYS.get(heading.field, heading.field.lower()), value)
        elif heading.reference is not None:
            self.ssi.setdefault(heading.reference, value)


def add_pairs(lines: Iterable[tuple[int, str]], found: list[UncheckedSpectrum]) -> str:
    """Take ``name: value`` lines (numbered from 1) around a table; return the first line that is no pair.

    Of several spectra it is not said which one the figures belong to: they are left out, with a note.
    """
    title = ""
    pairs = []
    for at, line in lines:
        on_line = [(at, understand(heading), value) for heading, value in pairs_in(line)]
        if not on_line and not title:
            title = line.strip(" \t#;,|")
        pairs += on_line
    mark = mark_of(value for _, heading, value in pairs if heading is not None and heading.field in FIELDS)
    told = False
    for at, heading, value in pairs:
        if heading is None:
            continue
        if heading.field is Field.NAME and len(found) == 1:
            found[0].name = found[0].name or value
        elif heading.field in FIELDS and len(found) == 1:
            found[0].add_figure(heading, Cell(value, f"line {at}"), mark)
        elif heading.field in FIELDS and not told:
            told = True
            says = f"line {at}: it is not clear to which spectrum {heading.field} belongs; it is left out"
            for each in found:
                each.notes.append(says)
    return title
