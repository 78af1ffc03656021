"""What each column of a table holds: by its heading, by its cells, and by what the other columns are."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..text.cells import filled, plain_numbers
from ..vocabulary.headings import ABOUT, Field, Heading, understand_each
from ..vocabulary.languages import folded
from ..vocabulary.noted import level_in
from ..vocabulary.qualifiers import Qualified, Qualifier, is_ten, qualified_each
from .contents import by_content, is_number_name, kind_in

Cells = Sequence[Sequence[str]]
"""The cells of each column, from the top."""
_SAMPLED = 50
_WHY = {
    Qualifier.ERROR: "it says how far off, not what was read",
    Qualifier.TARGET: "it says what is wanted, not what was read",
}


@dataclass(frozen=True)
class Recognised:
    """What each column was `found` to hold, None where it is not used.

    The indexes in `likely` are of columns that nobody named so: somebody has to confirm them. `notes` say by
    index why a column is left out.
    """

    found: list[Heading | None]
    likely: set[int] = field(default_factory=set)
    notes: dict[int, str] = field(default_factory=dict)


@dataclass
class _Work:
    """Columns on their way; those in `said` hold what somebody said, and are left alone."""

    headings: Sequence[str]
    cells: Cells
    said: Collection[int]
    found: list[Heading | None]
    likely: set[int] = field(default_factory=set)
    notes: dict[int, str] = field(default_factory=dict)

    def free(self, at: int) -> bool:
        """Whether it is open what a column holds."""
        return self.found[at] is None and at not in self.said and at not in self.notes

    def has(self, what: Field) -> bool:
        return any(heading is not None and heading.field is what for heading in self.found)

    def filled(self, at: int) -> list[str]:
        """Return the cells of a column in which something is."""
        return filled(self.cells[at])


def recognise(headings: Sequence[str], cells: Cells, said: Mapping[int, Heading | None]) -> Recognised:
    """Recognise all columns of a table together; `said` is what somebody said of some, by index.

    None there leaves a column out.
    """
    found = _tell_tristimulus(headings, understand_each(headings))
    found = [said.get(i, heading) for i, heading in enumerate(found)]
    work = _Work(headings, cells, said, found)
    _qualify(work)
    _free_light(work)
    for i, proposed in by_content(headings, _without_gaps(work), cells).items():
        work.found[i] = proposed
        work.likely.add(i)
    _tell_gels(work)
    _tell_green(work)
    _take_numbers(work)
    _propose_levels(work)
    return Recognised(work.found, work.likely, work.notes)


def _free_light(work: _Work) -> None:
    """Take no column for names or levels that holds lux with their unit: "Light" may head either."""
    for i, heading in enumerate(work.found):
        named = heading is not None and heading.field in (Field.NAME, Field.LEVEL)
        if named and i not in work.said and kind_in(work.filled(i)[:_SAMPLED]) is Field.LUX:
            work.found[i] = None
        shared = heading is not None and heading.field is Field.POWER and i not in work.said
        if shared and (cells := work.filled(i)) and all(cell.endswith("%") for cell in cells):
            work.found[i] = Heading(Field.LEVEL)  # "Power: 50 %" is how far it was dimmed


def _tell_gels(work: _Work) -> None:
    """Take a column of modifiers for gels where it names nothing else: a "Filter" may be either."""
    if work.has(Field.GEL):
        return
    for i, heading in enumerate(work.found):
        shapes = heading is not None and heading.field is Field.MODIFIER
        if shapes and i not in work.said and kind_in(work.filled(i)[:_SAMPLED]) is Field.GEL:
            work.found[i] = Heading(Field.GEL)


def _tell_green(work: _Work) -> None:
    """Take green and magenta for Duv where all of it are small shares: no meter reads such a CC."""
    for i, heading in enumerate(work.found):
        shade = heading is not None and heading.field is Field.CC
        if shade and i not in work.said and kind_in(work.filled(i)[:_SAMPLED]) is Field.DUV:
            work.found[i] = Heading(Field.DUV)
            work.likely.add(i)


def _take_numbers(work: _Work) -> None:
    """Take numbers of channels or units for names, where nothing else names the rows."""
    if work.has(Field.NAME):
        return
    for i, heading in enumerate(work.headings):
        if work.free(i) and is_number_name(heading, work.cells[i]):
            work.found[i] = Heading(Field.NAME, rank=900)
            return


def _propose_levels(work: _Work) -> None:
    """Take up a column that gives a dim level in another way than per cent, where no plain one does."""
    if work.has(Field.LEVEL):
        return
    for i, heading in enumerate(work.headings):
        if work.free(i):
            cells = work.filled(i)
            values = [value for value in plain_numbers(cells) if value is not None]
            found = level_in(folded(heading[:60]), cells, values)
            if found is not None:
                work.found[i] = Heading(Field(found.what.value), found.factor)
                work.likely.add(i)
                return


def _without_gaps(work: _Work) -> list[Heading | None]:
    """Return what was found; what was said to be left out, or was, is no gap to be filled."""
    gone = {*work.said, *work.notes}
    return [
        heading if heading is not None or i not in gone else Heading(Field.NOTE, rank=999)
        for i, heading in enumerate(work.found)
    ]


def _qualify(work: _Work) -> None:
    """Take up headings that say more than a field: "CCT target", "Duv with gel"."""
    free = [i for i, heading in enumerate(work.headings) if work.free(i) and not is_ten(heading)]
    if not free:
        return
    said = qualified_each([work.headings[i] for i in free])
    unknown = {i: found for i, found in zip(free, said, strict=True) if found is not None}
    exact = {heading.field for heading in work.found if heading is not None}
    for what in {found.heading.field for found in unknown.values()}:
        of_field = {i: found for i, found in unknown.items() if found.heading.field is what}
        errors = [i for i, found in of_field.items() if found.quality is Qualifier.ERROR]
        work.notes |= dict.fromkeys(errors, _WHY[Qualifier.ERROR])
        rest = {i: found for i, found in of_field.items() if i not in errors and _fits(work.cells[i], found)}
        if what not in exact and len(rest) == 1:
            ((i, found),) = rest.items()
            if found.quality is Qualifier.TARGET:
                work.notes[i] = _WHY[Qualifier.TARGET]
                continue
        for i, found in rest.items():
            work.found[i] = found.heading
            work.likely.add(i)


def _fits(cells: Sequence[str], found: Qualified) -> bool:
    """Whether the cells of a column can be what its heading seems to say."""
    return found.quality is not Qualifier.OTHER or any(re.search(r"\d", cell) for cell in cells)


def _tell_tristimulus(headings: Sequence[str], found: Sequence[Heading | None]) -> list[Heading | None]:
    """Tell X, Y, Z from x, y by case, the one place where case matters.

    Only all three in capitals are tristimulus values. Without them, Y beside a small y is a luminance
    (as in "x, y, Y") and z is not needed: both are left out.
    """
    big = {Field.X: Field.BIG_X, Field.Y: Field.BIG_Y, Field.BIG_Z: Field.BIG_Z}
    capitals = {
        i: big[heading.field]
        for i, (text, heading) in enumerate(zip(headings, found, strict=True))
        if heading is not None and heading.field in big and re.search("[XYZ]", _letters(text))
    }
    out = list(found)
    small_y = any(h is not None and h.field is Field.Y and i not in capitals for i, h in enumerate(found))
    for i, heading in enumerate(found):
        if heading is None:
            continue
        if i in capitals and set(capitals.values()) == set(big.values()):
            out[i] = replace(heading, field=capitals[i])
        elif heading.field is Field.BIG_Z or (capitals.get(i) is Field.BIG_Y and small_y):
            out[i] = None
    return out


def _letters(heading: str) -> str:
    """Return a heading without the words about it, so that the Y of "CIE 1931 Y" stands alone."""
    return "".join(w for w in re.findall(r"[^\W\d_]+", heading) if w.casefold() not in ABOUT)
