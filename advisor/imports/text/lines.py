"""Lines of a text into cells: quoted CSV, tabs, semicolons, pipes, or columns set apart by spaces."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

#: How far a quoted cell may run on over the lines behind it. [sign]
_LONGEST_RECORD = 4096


class Separator(StrEnum):
    """What stands between two cells."""

    TAB = "\t"
    SEMICOLON = ";"
    PIPE = "|"
    COMMA = ","
    SPACES = "  "
    SPACE = " "


@dataclass(frozen=True)
class Record:
    """One row: its first line (from 1), its own text, and its cells.

    `broken` tells that its quotation marks do not pair; the cells are then split without them.
    """

    line: int
    text: str
    cells: list[str]
    broken: bool = False

    def cell(self, at: int) -> str:
        """Return the cell number `at`, from 0; "" where the row is too short."""
        return self.cells[at] if at < len(self.cells) else ""


def cells_at(rows: Sequence[Record], *indexes: int) -> list[list[str]]:
    """Return the cells of columns, each as `Record.cell` does."""
    return [[row.cell(at) for row in rows] for at in indexes]


class _BadQuotes(ValueError):
    """Quotation marks that do not pair on this line."""


def records(
    lines: list[str],
    mark: Separator,
    *,
    start: int = 0,
    comment: str | None = None,
    but: Sequence[str] = (),
    most: int | None = None,
) -> list[Record]:
    """Read the rows from `lines[start:]`, at most so many where `most` is given.

    Leaves out blank rows, the rules of drawn tables, rows with the cells `but` and, with `comment`, the lines
    that begin with that sign. A quoted cell may hold line breaks. Takes time in proportion to the text.
    """
    at = start
    found: list[Record] = []
    while at < len(lines) and (most is None or len(found) < most):
        record = _record(lines, at, mark, comment)
        at += record.text.count("\n") + 1
        if not any(record.cells) or (comment and record.cells[0].startswith(comment)):
            continue
        if record.cells != but:
            found.append(record)
    return found


def _record(lines: list[str], at: int, mark: Separator, comment: str | None) -> Record:
    text = lines[at]
    if re.fullmatch(r"[\s|+:=-]*", text) or (comment and text.lstrip().startswith(comment)):
        return Record(at + 1, text, [])
    try:
        return Record(at + 1, text, split(text, mark))
    except _BadQuotes:
        pass
    # A well-formed record holds an even number of quotation marks: add lines until this one does.
    quotes, length, end = text.count('"'), len(text), at
    while quotes % 2 and length <= _LONGEST_RECORD and end + 1 < len(lines):
        end += 1
        quotes, length = quotes + lines[end].count('"'), length + len(lines[end]) + 1
    if end > at and quotes % 2 == 0:
        whole = "\n".join(lines[at : end + 1])
        try:
            return Record(at + 1, whole, split(whole, mark))
        except _BadQuotes:
            pass
    return Record(at + 1, text, [c.strip().strip('"') for c in text.split(mark)], broken=True)


def cells_in(line: str, mark: Separator) -> list[str]:
    """Split a line into its cells; none if its quotation marks do not pair."""
    try:
        return split(line, mark)
    except ValueError:
        return []


def cells_of_each(lines: Iterable[str], mark: Separator) -> list[list[str]]:
    """Split lines into their cells, as `cells_in` does."""
    return [cells_in(line, mark) for line in lines]


def trimmed(cells: list[str]) -> list[str]:
    """Return the cells up to the last that holds anything: spreadsheets write empty columns at the end."""
    last = next((i for i in range(len(cells), 0, -1) if cells[i - 1]), 0)
    return cells[:last]


def trimmed_each(rows: Iterable[list[str]]) -> list[list[str]]:
    """Return each row's cells, as `trimmed` does."""
    return [trimmed(cells) for cells in rows]


def by_separator(
    lines: Sequence[str], marks: Iterable[Separator] = tuple(Separator)
) -> dict[Separator, list[list[str]]]:
    """Split lines into their cells by each separator, as `cells_in` does."""
    return {mark: [cells_in(line, mark) for line in lines] for mark in marks}


def split(text: str, mark: Separator) -> list[str]:
    """Split one row into trimmed cells. Raises ValueError if its quotation marks do not pair."""
    if mark is Separator.SPACES:
        return [c.strip() for c in re.split(r"\t|\s{2,}", text.strip())]
    if mark is Separator.SPACE:
        return text.split()
    if mark is Separator.PIPE:
        text = text.strip()
        text = text.removeprefix("|").removesuffix("|")
    if '"' not in text:
        return [c.strip() for c in text.split(mark)]
    return _split_quoted(text, mark)


def _split_quoted(text: str, mark: str) -> list[str]:
    cells: list[str] = []
    blank = " " if mark == "\t" else " \t"
    at = 0
    while True:
        while at < len(text) and text[at] in blank:
            at += 1
        if text.startswith('"', at):
            cell, at = _quoted_cell(text, at + 1)
            while at < len(text) and text[at] in blank:
                at += 1
            if at < len(text) and text[at] != mark:
                raise _BadQuotes
        else:
            end = text.find(mark, at)
            end = len(text) if end < 0 else end
            cell, at = text[at:end], end
            if "\n" in cell:
                raise _BadQuotes
        cells.append(cell.strip())
        if at >= len(text):
            return cells
        at += 1


def _quoted_cell(text: str, at: int) -> tuple[str, int]:
    """Return the cell whose opening mark stands before `at`, and the index behind its closing mark."""
    pieces = []
    while True:
        end = text.find('"', at)
        if end < 0:
            raise _BadQuotes
        pieces.append(text[at:end])
        if not text.startswith('"', end + 1):
            return "".join(pieces), end + 1
        pieces.append('"')
        at = end + 2
