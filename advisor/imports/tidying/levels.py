"""Tables that give each measurement at several dim levels: “100 % CCT”, “100 % Duv”, “50 % CCT”."""

import re

from ..grids.table import Table
from ..vocabulary.headings import MEASURED, Field, understand_each
from .beneath import rows_beneath

_FEWEST = 2
_LONGEST = 60
_LEVEL = re.compile(r"(?:\bat\s|@\s?)?\b(100|\d{1,2}(?:[.,]\d)?)\s?(?:%|percent\b|pct\b)", re.IGNORECASE)


def with_levels_beneath(table: Table) -> Table:
    """Give a table a row for each dim level that its headings name; the table as it is where they name none.

    Each level must have the same measurements, a CCT or x among them.
    """
    found = [_LEVEL.search(heading) if len(heading) <= _LONGEST else None for heading in table.headings]
    if sum(level is not None for level in found) < _FEWEST:
        return table
    rests = [_without(heading, level) for heading, level in zip(table.headings, found, strict=True)]
    own: dict[str, list[int]] = {}
    heads: dict[int, str] = {}
    known = understand_each(rests)
    for at, (level, measured) in enumerate(zip(found, known, strict=True)):
        if level is not None and measured is not None and measured.field in MEASURED:
            own.setdefault(level[1], []).append(at)
            heads[at] = rests[at]
    alike = {tuple(sorted(heads[i] for i in indexes)) for indexes in own.values()}
    if len(own) < _FEWEST or len(alike) != 1:
        return table
    fields = [h.field for at in next(iter(own.values())) if (h := known[at]) is not None]
    if not {Field.CCT, Field.X, Field.MIRED} & set(fields) or len(set(fields)) < len(fields):
        return table
    first = next(iter(own.values()))
    by_level = {f"{share} %": indexes for share, indexes in own.items()}
    return rows_beneath(table, "dim level", by_level, [heads[i] for i in first])


def _without(heading: str, level: re.Match[str] | None) -> str:
    """Return a heading without the dim level in it."""
    if level is None:
        return heading
    rest = re.sub(r"[()\[\]]\s*[)\]]?", " ", heading[: level.start()] + heading[level.end() :])
    return rest.strip(" -–:/,@")
