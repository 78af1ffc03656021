"""Tables with a line for each number: a source, what was measured, and its value."""

from collections.abc import Sequence

from ..grids.head_lines import are_numbers
from ..grids.source_lines import SourceLines
from ..grids.table import FoundTables, Table
from ..text.lines import Record, Separator, cells_of_each
from ..vocabulary.headings import MEASURED, Field, is_unit, understand_each

_MOST_LINES = 5000
_FEWEST = 4
_LONGEST = 1000
_WIDTHS = range(3, 7)
_MOST_TRIED = 40
_Row = tuple[int, list[str]]


def find_long(lines: SourceLines) -> FoundTables | None:
    """Find such a table; None where there is none.

    One column says of each line what was measured, one holds the numbers, perhaps one their units; what is
    left over says of which source they are, and how it stood.
    """
    for mark in (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.COMMA, Separator.SPACES):
        texts = [
            (at, text)
            for at, text in enumerate(lines.texts[:_MOST_LINES])
            if text.strip() and len(text) < _LONGEST
        ]
        if len(texts) < _FEWEST:
            continue
        tried = cells_of_each([text for _, text in texts[:_MOST_TRIED]], mark)
        if not any(_names(cells) for cells in tried):
            continue
        rows = _parted(texts, mark)
        width = len(rows[-1][1])
        body = [row for row in rows if len(row[1]) == width and _names(row[1])]
        if width not in _WIDTHS or len(body) < _FEWEST or len(body) + 2 < len(rows):
            continue
        found = _folded(lines, mark, rows, body)
        if found is not None:
            return found
    return None


def _names(cells: Sequence[str]) -> list[int]:
    """Return the cells that say what was measured, beside numbers that it is."""
    if len(cells) not in _WIDTHS or not any(are_numbers(cells)):
        return []
    return [at for at, h in enumerate(understand_each(cells)) if h is not None and h.field in MEASURED]


def _parted(texts: Sequence[tuple[int, str]], mark: Separator) -> list[_Row]:
    """Return the place of each line with its cells."""
    cells = cells_of_each([text for _, text in texts], mark)
    return [(at, own) for (at, _), own in zip(texts, cells, strict=True)]


def _folded(
    lines: SourceLines, mark: Separator, rows: Sequence[_Row], body: Sequence[_Row]
) -> FoundTables | None:
    width = len(body[0][1])
    what = next((j for j in range(width) if all(j in _names(cells) for _, cells in body)), None)
    numbers = [j for j in range(width) if j != what and all(are_numbers([cells[j] for _, cells in body]))]
    if what is None or not numbers:
        return None
    value = numbers[-1]
    units = [
        j
        for j in range(width)
        if j not in (what, value) and all(is_unit(cells[j]) or not cells[j] for _, cells in body)
    ]
    own = [j for j in range(width) if j not in (what, value, *units)]
    told = {h.field for h in understand_each([cells[what] for _, cells in body]) if h is not None}
    if not own or len(told) < 2 or not {Field.CCT, Field.X, Field.U76, Field.MIRED} & told:
        return None
    first = body[0][0]
    head = next((cells for at, cells in reversed(rows) if at < first and len(cells) == width), [""] * width)
    names = [head[j] for j in own]
    if not any(h is not None and h.field is Field.NAME for h in understand_each(names)):
        names[0] = "name"
    headings = [*names, *dict.fromkeys(cells[what] for _, cells in body)]
    records: list[Record] = []
    before: list[str] | None = None
    for at, cells in body:
        key = [cells[j] for j in own]
        place = headings.index(cells[what], len(own))
        if key != before or records[-1].cells[place]:
            records.append(
                Record(lines.numbers[at], lines.shown[at], [*key, *[""] * (len(headings) - len(own))])
            )
            before = key
        unit = cells[units[0]].strip("()[] ") if units else ""
        records[-1].cells[place] = f"{cells[value]} {unit}".strip()
    used = {at for at, _ in body}
    left = [
        (lines.numbers[at], lines.shown[at].strip(), "")
        for at, cells in rows
        if at not in used and cells != head
    ]
    return FoundTables([Table(lines.numbers[first], mark, headings, records)], left)
