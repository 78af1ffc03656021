"""The figures that a meter printed beside a spectrum, so that they can be compared with it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from pydantic_core import PydanticCustomError

from ...model import Refused
from ..grids.name_value import pairs_in
from ..read import read_readings
from ..text.cells import Cell, number
from ..vocabulary.headings import FIGURES, Field, Heading, understand
from .cells import mark_of
from .sample import Sample

#: The fields that are kept, under their names in lower case.
FIELDS = frozenset({Field.CCT, Field.DUV, Field.LUX}) | FIGURES
_MOST_TRIED = 40
"""Lines beside a spectrum of which it is tried whether they tell a reading."""
_LIGHT = re.compile(r"\d[\d.,' ]*(?:k?lx|lux|fc)", re.IGNORECASE)
"""An illuminance alone on its line: "850 lx"."""
_LONGEST = 20
UNNAMED = "Spectrum"
"""What a spectrum is called whose label says only what was measured."""
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
            self.notes.append(f"{cell.where}: {(error.context or {})['says']}, and is left out")
            return
        if heading.field is not Field.SSI:
            self.figures.setdefault(_KEYS.get(heading.field, heading.field.lower()), value)
        elif heading.reference is not None:
            self.ssi.setdefault(heading.reference, value)


def _told(line: str, found: list[UncheckedSpectrum]) -> bool:
    """Take the reading that a line tells of the only spectrum, or of the one that it names."""
    if not any(c.isdigit() for c in line):
        return False
    try:
        sources = read_readings(line).sources
    except Refused:
        return False
    if len(sources) != 1:
        return False
    (source,) = sources
    named = [f for f in found if f.name and f.name.casefold() == source.name.casefold()]
    own = found[0] if len(found) == 1 else named[0] if len(named) == 1 else None
    if own is None or source.reading.cct is None:
        return False
    own.name = own.name or source.name
    for key in ("cct", "duv", "lux"):
        if (value := getattr(source.reading, key)) is not None:
            own.figures.setdefault(key, value)
    return True


def add_pairs(lines: Iterable[tuple[int, str]], found: list[UncheckedSpectrum], first: int) -> str:
    """Take ``name: value`` lines (numbered from 1) around a table whose data begin at `first`.

    Also a reading told in a line, as in "Table lamp: 2900 K, Duv 0.0000, 45 lx". Returns the title: the one
    line above the data that is no pair; several are a preamble. Of several spectra it is not said which one
    the figures belong to: they are left out, with a note.
    """
    titles = []
    pairs = []
    tried = 0
    for at, line in lines:
        on_line = [(at, understand(heading), value) for heading, value in pairs_in(line)]
        if _LIGHT.fullmatch(line.strip()[:_LONGEST]):
            on_line = [(at, understand("lux"), line.strip())]
        if not any(known for _, known, _ in on_line) and tried < _MOST_TRIED:
            tried += 1
            if _told(line, found):
                continue
        if not on_line and at < first:
            titles.append(line.strip(" \t#;,|"))
        pairs += on_line
    title = titles[0] if len(titles) == 1 else ""
    mark = mark_of(value for _, heading, value in pairs if heading is not None and heading.field in FIELDS)
    told = False
    for at, heading, value in pairs:
        if heading is None:
            continue
        if heading.field is Field.NAME and len(found) == 1:
            found[0].name = value if found[0].name in ("", UNNAMED) else found[0].name
        elif heading.field in FIELDS and len(found) == 1:
            found[0].add_figure(heading, Cell(value, f"line {at}"), mark)
        elif heading.field in FIELDS and not told:
            told = True
            says = f"line {at}: it is not clear to which spectrum {heading.field} belongs, so it is left out"
            for each in found:
                each.notes.append(says)
    return title
