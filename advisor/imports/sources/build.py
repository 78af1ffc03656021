"""Readings: from the cells of rows to sources, with everything that is wrong with them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pydantic import ValidationError
from pydantic_core import PydanticCustomError

from ...model import Kind, Problem, Role, Source, problems_in
from ...model.sets.source import sources_of
from ..text.cells import Cell, FilledCells, in_rows, numbers_in, problem
from ..vocabulary.headings import FIGURES, Field
from ..vocabulary.hung import gels_in
from ..vocabulary.kinds import kind_in_name, kinds_of, role_of
from .colour import Colour, colours_of_each
from .tags import tags_of_each


@dataclass
class Built:
    """A source, or why there is none; `way` is how its colour was given.

    `named` tells whether the text names it, `time` when it was read, as the text says it.
    """

    source: Source | None
    problems: list[Problem]
    way: tuple[Field, ...] | None
    named: bool = True
    time: str = ""


@dataclass(frozen=True)
class Given:
    """What a table says about all its rows: headings' `factors`, its decimal `mark`, SSI's reference."""

    factors: Mapping[Field, float]
    mark: str | None
    ssi_reference: str | None = None


@dataclass(frozen=True)
class RowOfCells:
    """What a row says about each field, and `where` it is.

    A row that has no name goes by `title`, which stands above it, or by `name`, which is made up. With
    `duv_assumed` its Duv is one that nobody read.
    """

    cells: Mapping[Field, Cell]
    where: str
    name: str
    title: str = ""
    duv_assumed: bool = False


def build(row: RowOfCells, table: Given) -> Built:
    """Make a source of one row, as `build_each` does."""
    return build_each([row], table)[0]


def build_each(rows: Sequence[RowOfCells], table: Given) -> list[Built]:
    """Make sources of what the rows of a table say about each field.

    All their numbers are read together, and all their sources made together. A colour rendering figure or a
    power that cannot be read is left out with a remark, since the colour stands without it. A tag that cannot
    be read refuses the row, since nobody could tell how the source stood.
    """
    told = in_rows([row.cells for row in rows])
    given = [each.given for each in told]
    read = numbers_in(given, factors={**table.factors, **dict.fromkeys(FIGURES, 1.0)}, mark=table.mark)
    tags = tags_of_each(given, read)
    kinds = kinds_of([cells[Field.KIND].text if Field.KIND in cells else "" for cells in given])
    colours = colours_of_each(given, read, [row.where for row in rows])
    drafts = [
        _draft(row, told[n], read[n], colours[n], tags[n], kinds[n], table) for n, row in enumerate(rows)
    ]
    made = iter(sources_of([draft.fields for draft in drafts if draft.fields is not None]))
    return [draft.built(None if draft.fields is None else next(made)) for draft in drafts]


_Read = Mapping[Field, float | PydanticCustomError]


@dataclass
class _Draft:
    """What a row says, as the `fields` of a source; None where it makes none, and `problems` say why."""

    row: RowOfCells
    given: Mapping[Field, Cell]
    problems: list[Problem]
    way: tuple[Field, ...] | None = None
    fields: dict[str, object] | None = None
    named: bool = True

    def built(self, source: Source | ValidationError | None) -> Built:
        """Return what came of it; `source` is made of the fields."""
        if source is None:
            return Built(None, self.problems, self.way)
        if isinstance(source, ValidationError):
            return Built(None, [self._placed(p) for p in problems_in(source)], self.way)
        gels = gels_in(self.given[Field.GEL].text) if Field.GEL in self.given else []
        if gels:  # a source is made of its bare reading; `joined` finds which that is
            reading = source.reading.model_copy(update={"gels": gels})
            source = source.model_copy(update={"reading": reading})
        time = " ".join(self.given[f].text.strip() for f in (Field.DATE, Field.TIME) if f in self.given)
        return Built(source, self.problems, self.way, named=self.named, time=time)

    def _placed(self, found: Problem) -> Problem:
        """Say where in the text the model's problem with a field stands."""
        fields = _FIELDS_OF.get(found.where, (Field.NAME,))
        cell = next((self.given[field] for field in fields if field in self.given), None)
        return found.model_copy(update={"where": cell.where if cell else self.row.where})


_FIELDS_OF = {"note": (Field.NOTE,), "reading.level": (Field.LEVEL, Field.STOPS_DOWN)}


def _draft(
    row: RowOfCells,
    told: FilledCells,
    read: _Read,
    colour: Colour,
    tags: tuple[dict[str, object], list[Problem]],
    kind: Kind | None,
    table: Given,
) -> _Draft:
    """Return what a row says; `kind` is what the words for it are known to say."""
    given, way = told.given, colour.way
    remarks = [_unread(field, told.unread[field]) for field in sorted(told.unread)]
    problems = [] if way is None else [*colour.unread, *tags[1]]
    if colour.wrong is not None and not problems:
        problems = [colour.wrong] if way else [*remarks, colour.wrong]
    if problems:
        return _Draft(row, given, problems, way)
    figures, of_figures = _figures(given, read, table)
    remarks += of_figures
    if kind is None and Field.KIND in given and role_of(given[Field.KIND].text) is None:
        says = f"kind {given[Field.KIND].text.strip()[:40]!r} is not known, and is left open"
        remarks.append(Problem(where=given[Field.KIND].where, says=says, allowed=", ".join(Kind)))
    role = _role(given, kind)
    if role is None and Field.ROLE in given:
        says = f"role {given[Field.ROLE].text.strip()[:40]!r} is not known, and is left open"
        remarks.append(Problem(where=given[Field.ROLE].where, says=says, allowed=", ".join(Role)))
    watts = read.get(Field.POWER)
    if isinstance(watts, PydanticCustomError):
        remarks.append(_left_out(given[Field.POWER], watts))
    named = given[Field.NAME].text if Field.NAME in given else row.title
    kind = (kind or Kind.UNKNOWN) if Field.KIND in given else kind_in_name(named)
    fields: dict[str, object] = {
        "name": named or row.name,
        "kind": kind,
        "reading": {**colour.fields, **figures, **tags[0], "duv_assumed": row.duv_assumed},
        "watts": None if isinstance(watts, PydanticCustomError) else watts,
    }
    if role is not None:
        fields |= {"role": role[0], "on_subject": role[1]}
    if Field.NOTE in given:
        fields["note"] = given[Field.NOTE].text
    return _Draft(row, given, remarks, way, fields, bool(named))


def _role(given: Mapping[Field, Cell], kind: Kind | None) -> tuple[Role, bool | None] | None:
    """Return the role that a row says; a column of kinds may hold it too: “Type: key”."""
    if Field.ROLE in given:
        return role_of(given[Field.ROLE].text)
    return role_of(given[Field.KIND].text) if kind is None and Field.KIND in given else None


def _unread(field: Field, cell: Cell) -> Problem:
    says = f"{field} {cell.text.strip()[:40]!r} is not a number, so it is left empty"
    return Problem(where=cell.where, says=says, allowed="a number, or nothing")


def _figures(
    given: Mapping[Field, Cell], read: _Read, table: Given
) -> tuple[dict[str, object], list[Problem]]:
    """Return Ra, R9, Rf, Rg and SSI, as the fields of a reading, with remarks on those left out."""
    figures: dict[str, object] = {}
    remarks: list[Problem] = []
    for field in sorted(FIGURES & set(given)):
        value = read[field]
        if isinstance(value, PydanticCustomError):
            remarks.append(_left_out(given[field], value))
        else:
            figures[field.lower()] = value
    if "ssi" in figures:
        figures["ssi_reference"] = table.ssi_reference
    return figures, remarks


def _left_out(cell: Cell, error: PydanticCustomError) -> Problem:
    found = problem(cell.where, error)
    return found.model_copy(update={"says": f"{found.says}, and is left out"})
