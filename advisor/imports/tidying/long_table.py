"""Tables with a line for each number: a source, what was measured, and its value."""

from collections.abc import Sequence

from ..grids.head_lines import are_numbers
from ..grids.source_lines import SourceLines
from ..grids.table import FoundTables, Table
from ..text.lines import Record, Separator, by_separator, cells_of_each
from ..vocabulary.headings import MEASURED, Field, are_units, understand_each

_MOST_LINES = 5000
_FEWEST = 4
_LONGEST = 1000
_WIDTHS = range(3, 7)
_MARKS = (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.COMMA, Separator.SPACES)
_MOST_TRIED = 40
_Row = tuple[int, list[str]]


def find_long(lines: SourceLines) -> FoundTables | None:
    """Find such a table; None where there is none.

    One column says of each line what was measured, one holds the numbers, perhaps one their units; what is
    left over says of which source they are, and how it stood.
    """
    texts = [
        (at, text)
        for at, text in enumerate(lines.texts[:_MOST_LINES])
        if text.strip() and len(text) < _LONGEST
    ]
    if len(texts) < _FEWEST:
        return None
    tried = by_separator([text for _, text in texts[:_MOST_TRIED]])
    named = _names_each([cells for mark in _MARKS for cells in tried[mark]])
    for begin, mark in enumerate(_MARKS):
        if not any(named[begin * len(tried[mark]) : (begin + 1) * len(tried[mark])]):
            continue
        parted = cells_of_each([text for _, text in texts], mark)
        rows = [(at, cells) for (at, _), cells in zip(texts, parted, strict=True)]
        width = len(rows[-1][1])
        alike = [row for row in rows if len(row[1]) == width]
        if width not in _WIDTHS or len(alike) < _FEWEST or len(alike) + 2 < len(rows):
            continue
        names = _names_each([cells for _, cells in alike])
        body = [row for row, own in zip(alike, names, strict=True) if own]
        if len(body) < _FEWEST or len(body) + 2 < len(rows):
            continue
        found = _folded(lines, mark, rows, body, [own for own in names if own])
        if found is not None:
            return found
    return None


def _names_each(rows: Sequence[list[str]]) -> list[list[int]]:
    """Return of each row the cells that say what was measured, beside numbers that it is."""
    fit = [cells if len(cells) in _WIDTHS else [] for cells in rows]
    every = list(dict.fromkeys(cell for cells in fit for cell in cells))
    figures = dict(zip(every, are_numbers(every), strict=True))
    fit = [cells if any(figures[cell] for cell in cells) else [] for cells in fit]
    every = list(dict.fromkeys(cell for cells in fit for cell in cells))
    heads = dict(zip(every, understand_each(every), strict=True))
    return [
        [at for at, cell in enumerate(cells) if (h := heads[cell]) is not None and h.field in MEASURED]
        for cells in fit
    ]


def _folded(
    lines: SourceLines,
    mark: Separator,
    rows: Sequence[_Row],
    body: Sequence[_Row],
    named: Sequence[list[int]],
) -> FoundTables | None:
    width = len(body[0][1])
    columns = [[cells[j] for _, cells in body] for j in range(width)]
    what = next((j for j in range(width) if all(j in own for own in named)), None)
    numbers = [j for j in range(width) if j != what and all(are_numbers(columns[j]))]
    if what is None or not numbers:
        return None
    value = numbers[-1]
    units = [
        j
        for j in range(width)
        if j not in (what, value) and all(are_units([cell for cell in columns[j] if cell]))
    ]
    own = [j for j in range(width) if j not in (what, value, *units)]
    told = {h.field for h in understand_each(columns[what]) if h is not None}
    if not own or len(told) < 2 or not {Field.CCT, Field.X, Field.U76, Field.MIRED} & told:
        return None
    first = body[0][0]
    head = next((cells for at, cells in reversed(rows) if at < first and len(cells) == width), [""] * width)
    names = [head[j] for j in own]
    if not any(h is not None and h.field is Field.NAME for h in understand_each(names)):
        names[0] = "name"
    headings = [*names, *dict.fromkeys(columns[what])]
    records: list[Record] = []
    before: list[str] | None = None
    for at, cells in body:
        key = [cells[j] for j in own]
        column = headings.index(cells[what], len(own))
        if key != before or records[-1].cells[column]:
            records.append(
                Record(lines.numbers[at], lines.shown[at], [*key, *[""] * (len(headings) - len(own))])
            )
            before = key
        unit = cells[units[0]].strip("()[] ") if units else ""
        records[-1].cells[column] = f"{cells[value]} {unit}".strip()
    used = {at for at, _ in body}
    left = [
        (lines.numbers[at], lines.shown[at].strip(), "")
        for at, cells in rows
        if at not in used and cells != head
    ]
    return FoundTables([Table(lines.numbers[first], mark, headings, records)], left)
