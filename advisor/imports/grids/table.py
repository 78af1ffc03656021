"""The tables of a text: one, or several one beneath the other."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from ..text.cells import Cell, bare
from ..text.lines import Record, Separator, cells_at, cells_in, records
from ..text.plain import plain
from ..vocabulary.headings import NUMBERS, Heading, is_unit, understand_each
from ..vocabulary.languages import (
    ABOUT_SUMMARIES,
    MEANS,
    SUMMARIES,
    SUMMARY_SIGNS,
    TARGETS,
    folded,
    folded_each,
)
from .groups import under_headings, with_groups
from .head_lines import (
    PLACEHOLDERS,
    HeadLine,
    head_lines,
    is_number,
    said_to_be,
    with_units,
)
from .source_lines import SourceLines
from .widths import cut_at_blanks, without_index

_MOST_TRIED = 400
_FEWEST_COLUMNS = 3
_MOST_WORDS = 6
_NAME_AND_NUMBER = re.compile(r"\D*[^\W\d_]\D*\s[-+]?\d[\d.,]*")
_COUNTED = re.compile(r"\d{1,3}\.?\s(?!kelvin|lux|mired|klx)[^\W\d_]{3,}\W{0,2}(?:\d{2,4})?", re.IGNORECASE)
_FOOTER = re.compile(
    r"[.:;!©]|\b(?:by|with|all|page|checked|measured|read|taken|meter|date|note|signed|end|gemessen|mesure|von|par)\b"
    r"|(?-i:^[a-zà-þ])\S*\s\S+\s\S+",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Table:
    """A table: the line of its headings, from 1, its cells' separator, its headings and its rows.

    `part` counts tables that stand side by side, from 0. `joined` are the headings of two columns that were
    made one name.
    """

    line: int
    mark: Separator
    headings: list[str]
    rows: list[Record]
    part: int = 0
    joined: tuple[str, ...] = ()

    @cached_property
    def known(self) -> list[Heading | None]:
        """What each heading means; None where that is not known."""
        return understand_each(self.headings)

    @cached_property
    def cells(self) -> list[list[str]]:
        """The cells of each column, from the top; "" where a row is too short."""
        return cells_at(self.rows, *range(len(self.headings)))


@dataclass
class FoundTables:
    """The tables of a text, in its order, and the lines that are no rows of them: number, text, why."""

    tables: list[Table] = field(default_factory=list)
    left: list[tuple[int, str, str]] = field(default_factory=list)


def find_tables(lines: SourceLines, headings: int | None = None, most: int = 500) -> FoundTables:
    """Find the tables under lines that read as headings; none if there is no such line.

    `headings` is the index of the line that somebody said holds them. At most `most` + 2 rows of a table are
    read.
    """
    if headings is not None and headings < len(lines.texts) and lines.texts[headings].strip():
        heads = [said_to_be(lines.texts, headings)]
    else:
        heads = list(_heads(lines.texts))
    sheet = FoundTables()
    for at in range(heads[0].at if heads else 0):
        if lines.texts[at].strip():
            sheet.left.append((lines.numbers[at], lines.shown[at].strip(), ""))
    for head, end in zip(heads, [*(each.at for each in heads[1:]), len(lines.texts)], strict=False):
        sheet.tables.append(_table(lines, with_groups(lines.texts, head), end, most, sheet))
    if any(table.rows for table in sheet.tables):
        empty = [lines.numbers.index(table.line) for table in sheet.tables if not table.rows]
        sheet.left += [(lines.numbers[at], lines.shown[at].strip(), "no rows beneath it") for at in empty]
        sheet.tables = [table for table in sheet.tables if table.rows]
    return sheet


def _heads(texts: Sequence[str]) -> Iterator[HeadLine]:
    """Yield the lines of headings; those behind the first must hold little else."""
    first: HeadLine | None = None
    filled = [(at, text) for at, text in enumerate(texts) if text.strip()]
    for head in head_lines(filled[:_MOST_TRIED]):
        if first is None or _is_another(head, first, texts):
            first = head
            yield head


def _is_another(head: HeadLine, before: HeadLine, texts: Sequence[str]) -> bool:
    """Whether a line of headings begins another table: it is no row of units, and numbers follow."""
    if not head.plain or (head.mark, head.headings) == (before.mark, before.headings):
        return False
    if all(is_unit(cell) or cell in PLACEHOLDERS for cell in head.headings if cell):
        return False
    below = [text for text in texts[head.at + 1 : head.at + 9] if text.strip()][:2]
    return any(is_number(cell) for text in below for cell in cells_in(text, head.mark))


def _table(lines: SourceLines, head: HeadLine, end: int, most: int, sheet: FoundTables) -> Table:
    headings, rows = head.headings, []
    # The headings come again where a table runs over several pages.
    again = cells_in(lines.texts[head.at], head.mark)
    repeated = {i for i, text in enumerate(lines.texts[:end]) if text == lines.texts[head.at]}
    for record in records(lines.texts[:end], head.mark, start=head.at + 1, but=again, most=most + 3):
        at, count = record.line - 1, record.text.count("\n") + 1
        shown = "\n".join(lines.shown[at : at + count])
        below = at + count in repeated or at + count + 1 in repeated
        if below and _is_title_between(record.cells, headings):
            sheet.left.append((lines.numbers[at], shown.strip(), "no reading"))
        else:
            rows.append(replace(record, line=lines.numbers[at], text=shown))
    units = rows[0].cells if rows else []
    if rows and head.mark is Separator.SPACES and len(units) < len(headings) and all(map(is_unit, units)):
        units = under_headings(lines.texts[head.at], headings, lines.texts[lines.numbers.index(rows[0].line)])
    joined = with_units(headings, units) if rows else None
    if joined is not None:
        unit_row = rows.pop(0)
        sheet.left.append((unit_row.line, unit_row.text.strip(), "units"))
    if head.mark in (Separator.SPACES, Separator.SPACE) and (bare := without_index(rows, len(headings))):
        rows = bare
    elif head.mark is Separator.SPACES:
        rows = _in_columns(lines, head, rows)
    elif head.mark is Separator.SPACE:
        rows = [_with_name(row, headings) for row in rows]
    kept = []
    for row, why in _sorted_out(headings, rows):
        if why:
            sheet.left.append((row.line, row.text.strip(), why))
        else:
            kept.append(row)
    return Table(lines.numbers[head.at], head.mark, joined or headings, kept)


def _is_title_between(cells: Sequence[str], headings: Sequence[str]) -> bool:
    """Whether a row before the headings of a further table is its title: "Day 2", few cells, no figure."""
    told = [cell for cell in cells if cell]
    figures = any(re.search(r"\d{3}|\d[.,]\d", cell) for cell in told)
    return 0 < 2 * len(told) <= len(headings) and not figures and not told[0].isdecimal()


def _in_columns(lines: SourceLines, head: HeadLine, rows: list[Record]) -> list[Record]:
    """Cut rows at the blanks that all lines share, where some have fewer cells than there are headings."""
    count = len(head.headings)
    if all(len(row.cells) == count for row in rows):
        return rows
    long = [row for row in rows if len(row.cells) > 1 and "\n" not in row.text]
    cut = cut_at_blanks([lines.texts[head.at], *(plain(row.text) for row in long)], count)
    found = understand_each(head.headings)
    numeric = [i for i, heading in enumerate(found) if heading is not None and heading.field in NUMBERS]
    if cut is None or any(not _may_be_number(cells[i]) for cells in cut[1:] for i in numeric):
        return [_split_last(row, count) for row in rows]
    by_line = {row.line: cells for row, cells in zip(long, cut[1:], strict=True)}
    return [replace(row, cells=by_line.get(row.line, row.cells)) for row in rows]


def _may_be_number(text: str) -> bool:
    cell = Cell(text, "")
    return cell.empty or cell.unread or is_number(bare(text))


def _split_last(row: Record, count: int) -> Record:
    """Part a name from the number behind it, and numbers, where one space alone stands between them."""
    cells: list[str] = []
    for cell in row.cells if len(row.cells) < count else ():
        parts = cell.split()
        if len(parts) > 1 and all(map(_may_be_number, parts)):
            cells += parts
        elif _NAME_AND_NUMBER.fullmatch(cell):
            cells += cell.rsplit(None, 1)
        else:
            cells.append(cell)
    if len(cells) == count:
        return replace(row, cells=cells)
    whole = [part for cell in row.cells for part in (cell.split() if not _has_words(cell) else [cell])]
    return replace(row, cells=whole) if len(row.cells) < len(whole) == count else row


def _has_words(cell: str) -> bool:
    return re.search(r"[^\W\d_]{2,}", cell) is not None


def _with_name(row: Record, headings: Sequence[str]) -> Record:
    """Join the words of a name in front, where single spaces part the cells."""
    over = len(row.cells) - len(headings)
    if over <= 0 or not any(is_number(cell) for cell in row.cells[over + 1 :]):
        return row
    if not all(is_number(cell) for cell in row.cells[over + 1 :]) or is_number(row.cells[over]):
        return row
    return replace(row, cells=[" ".join(row.cells[: over + 1]), *row.cells[over + 1 :]])


def _sorted_out(headings: Sequence[str], rows: Sequence[Record]) -> Iterator[tuple[Record, str]]:
    """Yield each row with why it is none: a title, a summary, a remark; empty where it is one."""
    wide = sum(1 for heading in headings if heading) >= _FEWEST_COLUMNS
    lone = _of_words_alone(rows) if wide else set()
    every = [[cell for cell in row.cells if cell] for row in rows]
    plain = folded_each(
        [filled[0][:60] if filled else "" for filled in every]
        + list(dict.fromkeys(cell.strip(" .:") for filled in every for cell in filled))
    )
    firsts, wanted = plain[: len(every)], TARGETS.intersection(plain[len(every) :])
    for at, (row, filled) in enumerate(zip(rows, every, strict=True)):
        first = filled[0] if filled else ""
        closes = first.startswith("#") and not re.match(r"#\s?\d", first) and len(filled) < len(headings)
        if first.startswith(("# ", "//")) or closes:
            yield row, "a remark"
        elif at in lone or (wide and len(row.cells) == 1 and not row.broken and _is_talk(first)):
            yield row, "no reading"
        elif len(filled) > 1 and _sums_up(first, said := _words(firsts[at])):
            yield row, "left out, it is a summary"
        elif len(filled) > 1 and (
            _are(said, TARGETS)
            or (wanted and not wanted.isdisjoint(folded_each([cell.strip(" .:") for cell in filled])))
        ):
            yield row, "left out, it is a target"
        else:
            yield row, ""


def _of_words_alone(rows: Sequence[Record]) -> set[int]:
    """Return the indices of rows that hold words in their first cell and nothing else, and name no source.

    They say what the rows beneath them are ("Ground floor"), or end the table ("checked by T."). One of them
    between others is a source that nobody read.
    """
    alone = [
        at
        for at, row in enumerate(rows)
        if not row.broken and row.cells[0] and not any(row.cells[1:]) and _is_talk(row.cells[0])
    ]
    above = [at for at in alone if at + 1 < len(rows) and at + 1 not in alone and rows[at + 1].cells[0]]
    groups = set(above) if 0 in above or len(above) > 1 else set()
    last = max((at for at in range(len(rows)) if at not in alone), default=-1)
    return groups | {at for at in alone if at > last and _FOOTER.search(rows[at].cells[0])}


def _is_talk(cell: str) -> bool:
    """Whether a cell is no number: "Afternoon", "3 heads in all"."""
    return (
        not is_number(cell)
        or _COUNTED.fullmatch(cell) is not None
        or len(re.findall(r"[^\W\d_]{2,}", cell)) > 1
    )


def is_summary(cell: str) -> bool:
    """Whether a name says figures about other rows: "Average:", "Ø"."""
    return _sums_up(cell, _words(folded(cell[:60])))


def _sums_up(cell: str, said: Sequence[str]) -> bool:
    """Whether a cell whose words are `said` is such a name."""
    mean = bool(said) and said[0] in MEANS and len(said) < _MOST_WORDS
    return mean or cell.strip(" :.") in SUMMARY_SIGNS or _are(said, SUMMARIES)


def _are(said: Sequence[str], words: frozenset[str]) -> bool:
    """Whether a cell says nothing but some words: "Average:", "Mean of all", "Max. CCT"."""
    return bool(said) and said[0] in words and all(w in words or w in ABOUT_SUMMARIES for w in said)


def _words(plain: str) -> list[str]:
    return re.findall(r"[^\W\d_]+", plain)
