"""Tables that give each measurement at several dim levels: “100 % CCT”, “100 % Duv”, “50 % CCT”."""

import re
from dataclasses import replace

from ..grids.head_lines import known
from ..grids.table import Table
from ..vocabulary.headings import MEASURED, Field

_FEWEST = 2
_LONGEST = 60
_LEVEL = re.compile(r"(?:\bat\s|@\s?)?\b(100|\d{1,2}(?:[.,]\d)?)\s?(?:%|percent\b|pct\b)", re.IGNORECASE)


def with_levels_beneath(table: Table) -> Table:
    """Give a table a row for each dim level that its headings name; the table as it is where they name none.

    Each level must have the same measurements, a CCT or x among them.
    """
    own: dict[str, list[int]] = {}
    heads: dict[int, str] = {}
    for at, heading in enumerate(table.headings):
        found = _LEVEL.search(heading) if len(heading) <= _LONGEST else None
        if found is None:
            continue
        rest = re.sub(r"[()\[\]]\s*[)\]]?", " ", heading[: found.start()] + heading[found.end() :]).strip(
            " -–:/,@"
        )
        measured = known(rest)
        if measured is None or measured.field not in MEASURED:
            continue
        own.setdefault(found[1], []).append(at)
        heads[at] = rest
    alike = {tuple(sorted(heads[i] for i in places)) for places in own.values()}
    if len(own) < _FEWEST or len(alike) != 1:
        return table
    fields = [h.field for head in next(iter(alike)) if (h := known(head)) is not None]
    if not {Field.CCT, Field.X, Field.MIRED} & set(fields) or len(set(fields)) < len(fields):
        return table
    shared = [i for i in range(len(table.headings)) if i not in heads]
    first = next(iter(own.values()))
    rows = []
    for row in table.rows:
        for level, places in own.items():
            cells = [row.cells[i] if i < len(row.cells) else "" for i in [*shared, *places]]
            if any(cells[len(shared) :]):
                rows.append(replace(row, cells=[*cells[: len(shared)], f"{level} %", *cells[len(shared) :]]))
    headings = [*(table.headings[i] for i in shared), "dim level", *(heads[i] for i in first)]
    return replace(table, headings=headings, rows=rows)
