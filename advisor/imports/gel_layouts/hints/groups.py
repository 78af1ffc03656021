"""Tables side by side: found by the names that stand in several columns, or by families over strengths."""

from collections.abc import Sequence

from ...vocabulary.gel_headings import EFFECTS, GelColumn, understand_gel_heading
from ...vocabulary.gel_names import fractions_of, is_whole_name
from .titles import title_family

_MOST = 0.7
"""The share of a column's cells that has to be of one sort (our own judgement)."""
_FEWEST = 2
_PARTS = (GelColumn.FRACTION, GelColumn.NAME, GelColumn.FAMILY)


def with_names_headed(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Return headings with "gel" over each column of gels' names: "Warm, Mired, Stops, Cool, Mired, Stops".

    As they are where fewer than two columns hold names, or where one of them heads nothing that gels do.
    """
    starts = [at for at in range(len(heads)) if _are_names(rows, at)]
    if len(starts) < _FEWEST or starts[0] != 0:
        return list(heads)
    ends = [*starts[1:], len(heads)]
    if not all(any(map(_is_told, heads[a + 1 : b])) for a, b in zip(starts, ends, strict=True)):
        return list(heads)
    return ["gel" if at in starts else cell for at, cell in enumerate(heads)]


def with_families_headed(
    heads: Sequence[str], rows: Sequence[Sequence[str]], above: Sequence[str]
) -> list[str]:
    """Return headings with families over their strengths, where the line `above` names a family for each."""
    told = {at: title_family(cell) for at, cell in enumerate(above) if cell.strip()}
    if len(told) < _FEWEST or 0 not in told or not all(told.values()) or max(told) >= len(heads):
        return list(heads)
    for at, family in told.items():
        said = understand_gel_heading(heads[at])
        cells = [row[at] for row in rows if at < len(row) and row[at].strip()]
        headed = not heads[at].strip() or (said is not None and said.column in _PARTS)
        if not headed or not cells or not all(fractions_of(cell, family) for cell in cells):
            return list(heads)
    return [told.get(at, cell) for at, cell in enumerate(heads)]


def _are_names(rows: Sequence[Sequence[str]], at: int) -> bool:
    cells = [row[at] for row in rows if at < len(row) and row[at].strip()]
    named = sum(map(is_whole_name, cells))
    return named >= _FEWEST and named >= _MOST * len(cells)


def _is_told(heading: str) -> bool:
    said = understand_gel_heading(heading)
    return said is not None and said.column in (*EFFECTS, GelColumn.STOCK)
