"""One reading: from the cells of a row to a source, with everything that is wrong with it."""

from collections.abc import Mapping
from dataclasses import dataclass

from pydantic import ValidationError
from pydantic_core import PydanticCustomError

from ...model import Kind, Problem, Source, problems_in
from ..text.cells import Cell, in_row, number, problem
from ..vocabulary.headings import FIGURES, Field
from ..vocabulary.hung import gels_in
from ..vocabulary.kinds import kind_in_name, kind_of
from .colour import FROM, WAYS, no_colour, reading_of
from .tags import tags_in


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


def build(cells: Mapping[Field, Cell], table: Given, *, where: str, name: str, title: str = "") -> Built:
    """Make a source from what a row says about each field.

    `where` is the row's own place. A row that has no name goes by `title`, which stands above it, or by
    `name`, which is made up. A colour rendering figure that cannot be read is left out with a
    remark, and so is the power, since the colour stands without them; a tag that cannot be read refuses the
    row, since nobody could tell how the source stood.
    """
    given, unread = in_row(cells)
    remarks = [_unread(field, unread[field]) for field in sorted(unread)]
    has = set(given) | {field for field, other in FROM.items() if other in given}
    way = next((w for w in WAYS if set(w) <= has), None)
    if way is None:
        return Built(None, [*remarks, no_colour(given, where)], None)
    problems: list[Problem] = []
    values: dict[Field, float] = {}
    for field in [*way, *([Field.LUX] if Field.LUX in given else [])]:
        try:
            values[field] = _value(field, given, table)
        except PydanticCustomError as error:
            problems.append(problem(given[field if field in given else FROM[field]].where, error))
    tags, wrong_tags = tags_in(given, table.mark, table.factors)
    problems += wrong_tags
    if problems:
        return Built(None, problems, way)
    reading = reading_of(way, values, where)
    if isinstance(reading, Problem):
        return Built(None, [reading], way)
    figures, of_figures = _figures(given, table)
    reading = reading.model_copy(update={**figures, **tags})
    kind, of_kind = _kind(given.get(Field.KIND))
    watts, of_power = _power(given.get(Field.POWER), table)
    remarks += of_figures + of_kind + of_power
    note = given[Field.NOTE].text if Field.NOTE in given else ""
    named = given[Field.NAME].text if Field.NAME in given else title
    kind = kind if kind is not Kind.UNKNOWN or Field.KIND in given else kind_in_name(named)
    time = " ".join(given[f].text.strip() for f in (Field.DATE, Field.TIME) if f in given)
    try:
        source = Source(name=named or name, kind=kind, reading=reading, note=note, watts=watts)
    except ValidationError as error:
        return Built(None, [_placed(p, given, where) for p in problems_in(error)], way)
    gels = gels_in(given[Field.GEL].text) if Field.GEL in given else []
    if gels:  # a source is made of its bare reading; `joined` finds which that is
        source = source.model_copy(update={"reading": reading.model_copy(update={"gels": gels})})
    return Built(source, remarks, way, named=bool(named), time=time)


def _value(field: Field, given: Mapping[Field, Cell], table: Given) -> float:
    """Read a number, or work it out: CCT from mired, Duv from CC (1000 × Duv, our definition)."""
    other = field if field in given else FROM[field]
    value = number(given[other], other, factor=table.factors.get(other, 1.0), mark=table.mark)
    if other is field:
        return value
    return 1e6 / value if other is Field.MIRED else value / 1000


def _unread(field: Field, cell: Cell) -> Problem:
    says = f"{field} {cell.text.strip()[:40]!r} is no number, and is left empty"
    return Problem(where=cell.where, says=says, allowed="a number, or nothing")


def _figures(given: Mapping[Field, Cell], table: Given) -> tuple[dict[str, object], list[Problem]]:
    """Read Ra, R9, Rf, Rg and SSI, as the fields of a reading, with what is to be said of those left out."""
    figures: dict[str, object] = {}
    remarks: list[Problem] = []
    for field in sorted(FIGURES & set(given)):
        try:
            figures[field.lower()] = number(given[field], field, factor=1.0, mark=table.mark)
        except PydanticCustomError as error:
            remarks.append(_left_out(given[field], error))
    if "ssi" in figures:
        figures["ssi_reference"] = table.ssi_reference
    return figures, remarks


def _power(cell: Cell | None, table: Given) -> tuple[float | None, list[Problem]]:
    """Read what the source draws [W]; None where it says nothing, or what no head draws."""
    if cell is None:
        return None, []
    try:
        factor = table.factors.get(Field.POWER, 1.0)
        return number(cell, Field.POWER, factor=factor, mark=table.mark), []
    except PydanticCustomError as error:
        return None, [_left_out(cell, error)]


def _left_out(cell: Cell, error: PydanticCustomError) -> Problem:
    found = problem(cell.where, error)
    return found.model_copy(update={"says": f"{found.says}, and is left out"})


def _kind(cell: Cell | None) -> tuple[Kind, list[Problem]]:
    if cell is None:
        return Kind.UNKNOWN, []
    kind = kind_of(cell.text)
    if kind is not None:
        return kind, []
    says = f"kind {cell.text.strip()[:40]!r} is not known, and is left open"
    return Kind.UNKNOWN, [Problem(where=cell.where, says=says, allowed=", ".join(Kind))]


def _placed(found: Problem, given: Mapping[Field, Cell], where: str) -> Problem:
    """Say where in the text the model's problem with a name or note stands."""
    cell = given.get(Field.NOTE if found.where == "note" else Field.NAME)
    return found.model_copy(update={"where": cell.where if cell else where})
