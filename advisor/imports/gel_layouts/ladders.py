"""Ladders: a family a row with its fractions across, or a fraction a row with the families across."""

from collections.abc import Sequence

from ..text.lines import Record, Separator
from ..vocabulary.gel_headings import EFFECTS, understand_gel_heading
from ..vocabulary.gel_names import known_family
from .layout import GelLayout, is_step

_FEWEST = 2


def unfolded(mark: Separator, head: Record, rows: Sequence[Record]) -> GelLayout | None:
    """Return a ladder as a table of a gel a row; None where the headings make no ladder."""
    first, steps = head.cells[0], head.cells[1:]
    across = len(steps) >= _FEWEST and all(is_step(s) for s in steps)
    down = len(steps) >= _FEWEST and all(known_family(s) for s in steps)
    if not across and not down:
        return None
    told = [r for r in rows if len(r.cells) > 1 and r.cells[0]]
    if down and not all(is_step(r.cells[0]) for r in told):
        return None
    said = understand_gel_heading(first)
    figure = first if said is not None and said.column in EFFECTS else ""
    out = []
    for row in told:
        for step, cell in zip(steps, row.cells[1:], strict=False):
            if cell:
                name = f"{row.cells[0]} {step}" if across else f"{step} {row.cells[0]}"
                out.append(Record(row.line, row.text, [name, cell]))
    return GelLayout(mark, Record(head.line, head.text, ["gel", figure]), out) if out else None
