"""Columns of fixed width: cut where all lines have a blank, for rows whose empty cells leave no mark."""

from collections.abc import Sequence
from dataclasses import replace

from ..text.lines import Record

_WIDEST = 400


def cut_at_blanks(lines: Sequence[str], count: int) -> list[list[str]] | None:
    """Cut lines, of which the first are headings, into `count` columns at the blanks that all of them share.

    None if there are fewer or more columns. What stands beyond the last column belongs to it.
    """
    lines = [line.rstrip() for line in lines]
    width = max(map(len, lines), default=0)
    if not 0 < width <= _WIDEST:
        return None
    filled = [False] * width
    for line in lines:
        for at, sign in enumerate(line):
            if not sign.isspace():
                filled[at] = True
    for gap in (1, 2):
        starts = [at for at in _starts(filled, gap) if _heads(lines[0], at, filled)]
        if len(starts) == count:
            ends = [*starts[1:], width]
            return [[line[a:b].strip() for a, b in zip(starts, ends, strict=True)] for line in lines]
    return None


def _heads(head: str, start: int, filled: Sequence[bool]) -> bool:
    """Whether a heading stands over what begins at `start`; what has none belongs to the column before."""
    end = start
    while end < len(filled) and filled[end]:
        end += 1
    return start == 0 or bool(head[start:end].strip())


def _starts(filled: Sequence[bool], gap: int) -> list[int]:
    """Return where columns begin, parted by at least `gap` blanks."""
    starts: list[int] = []
    blanks = gap
    for at, is_filled in enumerate(filled):
        if is_filled and blanks >= gap:
            starts.append(at)
        blanks = 0 if is_filled else blanks + 1
    return starts


def without_index(rows: Sequence[Record], count: int) -> list[Record]:
    """Return rows of `count` cells without the running number that stands before each; [] where none does.

    Printed data frames have one, over which no heading stands. Spaces part such rows.
    """
    out, numbers = [], []
    for row in rows:
        cells = row.cells if len(row.cells) == count + 1 else row.text.split()
        if len(cells) != count + 1 or not cells[0].isdecimal():
            return []
        numbers.append(int(cells[0]))
        out.append(replace(row, cells=cells[1:]))
    running = bool(numbers) and numbers == list(range(numbers[0], numbers[0] + len(numbers)))
    return out if running and numbers[0] in (0, 1) else []
