"""Tables of one source, whose name stands above them: “Fixture: Panel 60”."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ..grids.table import Table
from ..vocabulary.headings import Field, understand

_LONGEST = 120
_PAIR = re.compile(r"([^:=\t;]{1,60}?)\s*(?:[:=]|\t|;)\s*(\S.*?)[\s;,\t]*")


def with_title(table: Table, left: Sequence[tuple[int, str, str]]) -> Table:
    """Give the rows of a table without names the name that a line above it says; `left` are such lines."""
    if any(h is not None and h.field is Field.NAME for h in table.known):
        return table
    for line, text, _ in reversed(left):
        if line >= table.line:
            continue
        found = _PAIR.fullmatch(text) if len(text) <= _LONGEST else None
        heading = understand(found[1].strip().strip('"')) if found else None
        if found is not None and heading is not None and heading.field is Field.NAME:
            name = found[2].strip().strip('"')
            rows = [
                replace(row, cells=[*row.cells, *[""] * (len(table.headings) - len(row.cells)), name])
                for row in table.rows
            ]
            return replace(table, headings=[*table.headings, "name"], rows=rows)
    return table
