"""Tables with readings bare and behind gels that their headings name: "CCT bare", "CCT with ½ CTO"."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..grids.table import Table
from ..vocabulary.headings import MEASURED, Field, Heading, understand
from ..vocabulary.hung import GEL, gel_of
from ..vocabulary.qualifiers import Qualifier, qualified, qualified_each
from .beneath import rows_beneath

_BARE = ""
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
    """Give a table a row for what was read bare and one for each gel; as it is where they name none."""
    may_be = len(table.headings) <= _LONGEST and _share_a_word(table.headings)
    named = may_be and any(len(heading) <= _LONGEST and GEL.search(heading) for heading in table.headings)
    columns = _columns(table.headings) if named else None
    if columns is None:
        return table
    behind = list(dict.fromkeys(column.behind for column in columns))
    fields = list(dict.fromkeys(column.field for column in columns))
    own = {(column.behind, column.field): column.at for column in columns}
    by_gel = {gel: [own.get((gel, field)) for field in fields] for gel in behind}
    return rows_beneath(table, "gel", by_gel, [_PLAIN[field] for field in fields])


def with_both_beneath(table: Table) -> Table:
    """Give a table that has each reading bare and behind the gel of its row a row for both.

    As it is where it names no gels, or where what was read bare and behind them is not told by its headings.
    """
    known = table.known
    gels = [at for at, head in enumerate(known) if head is not None and head.field is Field.GEL]
    bare: dict[Field, int] = {}
    behind: dict[Field, int] = {}
    for at, said in enumerate(qualified_each(table.headings)):
        if known[at] is None and said is not None and _is_plain(said.heading):
            own = {Qualifier.BARE: bare, Qualifier.GELLED: behind}.get(said.quality)
            if own is not None and own.setdefault(said.heading.field, at) != at:
                return table
    if len(gels) != 1 or Field.CCT not in bare.keys() & behind.keys():
        return table
    fields = list(dict.fromkeys([*bare, *behind]))
    used = {gels[0], *bare.values(), *behind.values()}
    shared = [at for at in range(len(table.headings)) if at not in used]
    rows = []
    for row in table.rows:
        for own, gel in ((bare, ""), (behind, row.cell(gels[0]))):
            cells = [row.cell(own[field]) if field in own else "" for field in fields]
            if any(cells):
                rows.append(replace(row, cells=[*(row.cell(at) for at in shared), gel, *cells]))
    headings = [*(table.headings[at] for at in shared), "gel", *(_PLAIN[field] for field in fields)]
    return replace(table, headings=headings, rows=rows)


def _share_a_word(headings: Sequence[str]) -> bool:
    """Whether a word stands twice in headings, as "CCT" does where it was read bare and behind a gel."""
    said = [word for heading in headings for word in re.findall(r"[^\W\d_]+", heading.casefold())]
    return len(said) > len(set(said))


def _columns(headings: Sequence[str]) -> list[_Column] | None:
    """Return the columns of measurements; None where they are not those of one light bare and behind gels."""
    columns = list[_Column]()
    for at, heading in enumerate(headings):
        said = _column(at, heading)
        if said is None:
            return None
        columns += [said] if said.field in _PLAIN else []
    bare = {column.field for column in columns if column.behind == _BARE and not column.plain}
    gelled = {column.behind for column in columns} - {_BARE}
    told = {(column.behind, column.field) for column in columns}
    twice = any(column.plain and column.field in bare for column in columns) or len(told) < len(columns)
    if twice or not gelled or len(told) == len({field for _, field in told}):
        return None
    return columns if all({(gel, Field.CCT), (gel, Field.X)} & told for gel in gelled) else None


def _column(at: int, heading: str) -> _Column | None:
    """Return what a column holds; None of a gel's reading in no plain form, and of a column of gels."""
    text = heading[:_LONGEST]
    if gels := [gel_of(found) for found in GEL.finditer(text)]:
        rest = GEL.sub(" ", text)
        found = understand(rest.strip(" -–:/,@+()[]")) or _field_in(rest)
        return _Column(at, found.field, " + ".join(gels)) if found is not None and _is_plain(found) else None
    known = understand(text)
    if known is not None and known.field in MEASURED:
        return _Column(at, known.field, _BARE, plain=True) if _is_plain(known) else None
    if known is not None:
        return None if known.field is Field.GEL else _Column(at, known.field, _BARE, plain=True)
    said = qualified(text)
    if said is None:
        return _Column(at, Field.NOTE, _BARE, plain=True)
    bare = said.quality is Qualifier.BARE and _is_plain(said.heading)
    return _Column(at, said.heading.field, _BARE) if bare else None


def _field_in(rest: str) -> Heading | None:
    found = qualified(rest)
    return (
        found.heading if found is not None and found.quality in (Qualifier.GELLED, Qualifier.OTHER) else None
    )


def _is_plain(heading: Heading) -> bool:
    return heading.field in _PLAIN and heading.factor == 1.0
