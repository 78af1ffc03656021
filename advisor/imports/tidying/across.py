"""Tables that name their sources in the headings: “Key CCT”, “Key Duv”, “Fill CCT”, “Fill Duv”."""

import re
from dataclasses import replace

from ..grids.table import Table
from ..vocabulary.headings import MEASURED, Field, Heading, understand_each
from ..vocabulary.qualifiers import Qualifier, qualified

_FEWEST = 2
_LONGEST = 60


def with_sources_beneath(table: Table) -> list[Table]:
    """Part a table into one for each source that its headings name; the table as it is where they name none.

    Each must have a CCT, or x, and something beside it, and no column may hold names.
    """
    own: dict[str, list[int]] = {}
    fields: dict[str, list[Field]] = {}
    heads: dict[int, str] = {}
    if any(head is not None and head.field in MEASURED | {Field.NAME} for head in table.known):
        return [table]
    for at, heading in enumerate(table.headings):
        found = _named(heading) if table.known[at] is None else None
        if found is None:
            continue
        name, rest, field = found
        own.setdefault(name, []).append(at)
        fields.setdefault(name, []).append(field)
        heads[at] = rest
    alike = {tuple(sorted(each)) for each in fields.values()}
    if len(own) < _FEWEST or len(alike) != 1 or not {Field.CCT, Field.X} & set(next(iter(alike))):
        return [table]
    if len(next(iter(alike))) < _FEWEST or len(set(next(iter(alike)))) < len(next(iter(alike))):
        return [table]
    shared = [i for i in range(len(table.headings)) if i not in heads]
    return [
        _of(table, name, indexes, heads, shared, part) for part, (name, indexes) in enumerate(own.items())
    ]


def _named(heading: str) -> tuple[str, str, Field] | None:
    """Return the source's name in a heading, the rest of it, and what that gives."""
    if len(heading) > _LONGEST:
        return None
    found = qualified(heading)
    if found is None or found.quality is not Qualifier.OTHER:
        return None
    parts = re.split(r"\s*[\s_:/.–-]\s*", heading.strip())
    cuts = [
        (name, " ".join(rest))
        for cut in range(len(parts) - 1, 0, -1)
        for name, rest in ((parts[:cut], parts[cut:]), (parts[-cut:], parts[:-cut]))
    ]
    for (name, rest), measured in zip(cuts, understand_each([rest for _, rest in cuts]), strict=True):
        if _is(measured, found.heading) and all(re.search(r"[^\W\d_]", n) for n in name[:1]):
            return " ".join(name), rest, found.heading.field
    return None


def _is(one: Heading | None, other: Heading) -> bool:
    return one is not None and one.field is other.field


def _of(
    table: Table, name: str, indexes: list[int], heads: dict[int, str], shared: list[int], part: int
) -> Table:
    headings = ["name", *(heads[i] for i in indexes), *(table.headings[i] for i in shared)]
    rows = []
    for row in table.rows:
        cells = [row.cell(i) for i in [*indexes, *shared]]
        if any(cells[: len(indexes)]):
            rows.append(replace(row, cells=[name, *cells]))
    return replace(table, headings=headings, rows=rows, part=part)
