"""Which numbers of a text went nowhere: none of them is dropped without a word."""

import re
from collections import Counter
from collections.abc import Collection, Sequence

from ..text.plain import plain
from .layout import COMMENT, GelLayout

_DIGITS = re.compile(r"\d+")
_SHOWN = 40
_NAMED = 4


def unaccounted(lines: Sequence[str], layout: GelLayout, curves: Collection[int]) -> list[tuple[int, str]]:
    """Return the lines with numbers that are in no row, heading or curve, and in nothing left out.

    `curves` are the lines (from 1) that curves were taken from. What a line's own rows do not hold may be in
    others: a table may be on its side, or have a cell a line.
    """
    held = _held(layout)
    left = {line for line, _ in layout.left}
    spare: Counter[str] = Counter()
    open_: dict[int, Counter[str]] = {}
    for at, line in enumerate(lines, 1):
        own = Counter(_numbers(line))
        spare += held.get(at, Counter()) - own
        if at not in curves and at not in left and not line.lstrip().startswith(COMMENT):
            open_[at] = own - held.get(at, Counter())
    found = []
    for at, own in open_.items():
        lost = own - spare
        spare -= own
        shown = lines[at - 1].strip()[:_SHOWN]
        if lost:
            some = ", ".join(list(lost)[:_NAMED])
            found.append((at, f"{shown}: left out" if at not in held else f"{shown}: {some} not used"))
    return found


def missing_numbers(text: str, read: str) -> list[str]:
    """Return the numbers of a text, such as JSON, that are not in what was read of it."""
    return list(Counter(_numbers(text)) - Counter(_numbers(read)))


def _numbers(text: str) -> list[str]:
    return _DIGITS.findall(plain(text))


def _held(layout: GelLayout) -> dict[int, Counter[str]]:
    """Return the numbers in the cells of each line's rows."""
    held: dict[int, Counter[str]] = {}
    head = [*layout.head.cells, layout.head.text, *layout.units]
    for line, cells in [(layout.head.line, head), *((row.line, row.cells) for row in layout.rows)]:
        held.setdefault(line, Counter()).update(_numbers(" ".join(cells)))
    return held
