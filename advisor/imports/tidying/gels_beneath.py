"""Tables with readings bare and behind gels beside each other: "CCT bare", "CCT with ½ CTO"."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..grids.table import Table
from ..vocabulary.headings import MEASURED, Field, Heading, understand, understand_each
from ..vocabulary.hung import GEL, gel_of
from ..vocabulary.qualifiers import Qualifier, qualified

_BARE, _GELLED = "", "gelled"
_LONGEST = 60
_PLAIN = {
    Field.CCT: "CCT",
    Field.DUV: "Duv",
    Field.X: "x",
    Field.Y: "y",
    Field.U76: "u′",
    Field.V76: "v′",
    Field.LUX: "lux",
}


@dataclass(frozen=True)
class _Column:
    """A column of a measurement: which, and behind which gel; `plain` where its heading says no more."""

    at: int
    field: Field
    behind: str
    plain: bool = False


def with_gels_beneath(table: Table) -> Table:
    """Give a table a row for what was read bare and one for each gel; as it is where its headings name none.

    Without the gel's name in the headings a column of gels must say it.
    """
    if len(table.headings) > _LONGEST or not any(_may_say(heading) for heading in table.headings):
        return table
    columns = _columns(table.headings)
    if columns is None:
        return table
    gels = [
        n for n, h in enumerate(understand_each(table.headings)) if h is not None and h.field is Field.GEL
    ]
    behind = list(dict.fromkeys(column.behind for column in columns))
    if (_GELLED in behind and len(gels) != 1) or (_GELLED not in behind and gels):
        return table
    fields = list(dict.fromkeys(column.field for column in columns))
    own = {(column.behind, column.field): column.at for column in columns}
    taken = {column.at for column in columns} | set(gels)
    shared = [at for at in range(len(table.headings)) if at not in taken]
    rows = []
    for row in table.rows:
        cells = [*row.cells, *[""] * (len(table.headings) - len(row.cells))]
        for state in behind:
            told = [cells[own[state, field]] if (state, field) in own else "" for field in fields]
            gel = cells[gels[0]] if state == _GELLED else state
            if any(told):
                rows.append(replace(row, cells=[*(cells[at] for at in shared), gel, *told]))
    headings = [*(table.headings[at] for at in shared), "gel", *(_PLAIN[field] for field in fields)]
    return replace(table, headings=headings, rows=rows)


def _may_say(heading: str) -> bool:
    if len(heading) > _LONGEST:
        return False
    if GEL.search(heading):
        return True
    found = qualified(heading) if understand(heading) is None else None
    return found is not None and found.quality is Qualifier.GELLED


def _columns(headings: Sequence[str]) -> list[_Column] | None:
    """Return the columns of measurements; None where they are not those of one light bare and behind gels."""
    columns = [c for at, heading in enumerate(headings) if (c := _column(at, heading)) is not None]
    bare = {column.field for column in columns if column.behind == _BARE and not column.plain}
    gelled = {column.behind for column in columns} - {_BARE}
    told = [(column.behind, column.field) for column in columns]
    if not gelled or any(column.plain and column.field in bare for column in columns):
        return None
    if len(set(told)) < len(told) or len(set(told)) == len({field for _, field in told}):
        return None
    whole = all({(state, Field.CCT), (state, Field.X)} & set(told) for state in gelled)
    return columns if whole and (_GELLED not in gelled or gelled == {_GELLED}) else None


def _column(at: int, heading: str) -> _Column | None:
    text = heading[:_LONGEST]
    if gels := [gel_of(found) for found in GEL.finditer(text)]:
        rest = GEL.sub(" ", text)
        found = understand(rest.strip(" -–:/,@+()[]")) or _field_in(rest)
        return _Column(at, found.field, " + ".join(gels)) if found is not None and _is_plain(found) else None
    known = understand(text)
    if known is not None:
        return _Column(at, known.field, _BARE, plain=True) if _is_plain(known) else None
    said = qualified(text)
    if said is None or not _is_plain(said.heading) or said.quality not in (Qualifier.BARE, Qualifier.GELLED):
        return None
    return _Column(at, said.heading.field, _BARE if said.quality is Qualifier.BARE else _GELLED)


def _field_in(rest: str) -> Heading | None:
    found = qualified(rest)
    return (
        found.heading if found is not None and found.quality in (Qualifier.GELLED, Qualifier.OTHER) else None
    )


def _is_plain(heading: Heading) -> bool:
    return heading.field in MEASURED and heading.field in _PLAIN and heading.factor == 1.0
