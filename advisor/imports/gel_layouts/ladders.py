"""Ladders: a family a row with its fractions across, or a fraction a row with the families across."""

from collections.abc import Sequence
from dataclasses import replace

from ..text.lines import Record, Separator, records
from ..vocabulary.gel_headings import EFFECTS, LIGHT, GelColumn, understand_gel_heading
from ..vocabulary.gel_names import fractions_of, known_family
from ..vocabulary.gel_strengths import nominal
from .figures import amount, column_of_unit, is_nothing
from .layout import COMMENT, GelLayout, family_in, is_step, is_unit_heading, unit_in
from .likeness import by_names
from .shaping import is_summary, is_units

_FEWEST = 2
_MOST_SHEETS = 40


def crossed(mark: Separator, lines: list[str], units: Record) -> GelLayout | None:
    """Return a ladder whose families each stand once over several units; None of any other table.

    `units` is what was taken for the headings, which says most of what is beneath.
    """
    above = [r for r in records(lines[: units.line - 1], mark, comment=COMMENT) if any(r.cells)][-1:]
    heads = above[0].cells if above else []
    families = [known_family(c) for c in heads[1:] if c]
    if len(families) < _FEWEST or not all(families) or len(heads) < len(units.cells) or units.cells[0]:
        return None
    spread = [next((c for c in heads[at:0:-1] if c), "") for at in range(len(units.cells))]
    head = replace(above[0], cells=[heads[0], *spread[1:]])
    return unfolded(mark, head, [units, *records(lines, mark, start=units.line, comment=COMMENT)])


def unfolded(mark: Separator, head: Record, rows: Sequence[Record]) -> GelLayout | None:
    """Return a ladder as a table of a gel a row; None where the headings make no ladder."""
    first, steps = head.cells[0], head.cells[1:]
    beside = bool(steps) and is_unit_heading(steps[0])
    steps = steps[1:] if beside else steps
    behind = len(steps) > _FEWEST and is_unit_heading(steps[-1])
    steps = steps[:-1] if behind else steps
    across = len(steps) >= _FEWEST and _are_steps(steps)
    down = not beside and len(steps) >= _FEWEST and all(family_in(s) for s in steps)
    if not across and not down:
        return None
    units = next((r.cells for r in rows[:1] if _are_units(r.cells, head.cells)), [])
    told = [r for r in rows[bool(units) :] if any(r.cells[1:]) and r.cells[0] and not is_summary(r.cells)]
    if down and not all(is_step(r.cells[0]) or fractions_of(r.cells[0], "ND") for r in told):
        return None
    said = understand_gel_heading(first)
    figure = first if said is not None and said.column in EFFECTS else ""
    found: list[tuple[Record, str, str, str]] = []
    for row in told:
        for at, (step, cell) in enumerate(zip(steps, row.cells[1 + beside :], strict=False), 1):
            if is_nothing(cell):
                continue
            family = (family_in(row.cells[0]) or row.cells[0]) if across else str(family_in(step))
            over = unit_in(row.cells[0] if across else step)
            last = row.cells[-1] if behind and len(row.cells) == len(head.cells) else ""
            unit = row.cells[1] if beside else last or over or (units[at] if at < len(units) else "")
            name = f"{family} {step}" if across else f"{family} {row.cells[0]}"
            found.append((row, name, _heading(unit, cell, family) or figure, cell))
    if (
        found
        and not any(heading for _, _, heading, _ in found)
        and _are_counts([(n, c) for _, n, _, c in found])
    ):
        found = [(row, name, GelColumn.STOCK.value, cell) for row, name, _, cell in found]
    held = list(dict.fromkeys(heading for _, _, heading, _ in found))
    gels: dict[tuple[int, str], Record] = {}
    for row, name, heading, cell in found:
        blank = Record(row.line, row.text, [name, *[""] * len(held)])
        column = held.index(heading) + 1
        gel = gels.setdefault((0, name), blank)  # a gel's figures may stand in several rows
        gel = gel if not gel.cells[column] else gels.setdefault((row.line, name), blank)
        gel.cells[column] = cell
    out = list(gels.values())
    return GelLayout(mark, Record(head.line, head.text, ["gel", *held]), out) if out else None


def _are_steps(steps: Sequence[str]) -> bool:
    """Whether headings are fractions; a bare 1 is the full gel beside others."""
    return any(map(is_step, steps)) and all(is_step(s) or s.strip() == "1" for s in steps)


def _are_counts(cells: Sequence[tuple[str, str]]) -> bool:
    """Whether the numbers of a ladder count sheets: small whole ones, unlike what the gels do."""
    values = [
        (name, found.value) for name, cell in cells if (found := amount(cell)) is not None and not found.unit
    ]
    if len(values) < len(cells) or any(v != int(v) or not 0 <= v <= _MOST_SHEETS for _, v in values):
        return False
    return by_names([name for name, _ in cells], [cell for _, cell in cells]) is None


def _are_units(cells: Sequence[str], heads: Sequence[str]) -> bool:
    told = cells[1:] if cells and (not cells[0].strip() or is_unit_heading(cells[0])) else []
    return any(c.strip() for c in told) and is_units(told, heads)


def _heading(unit: str, cell: str, family: str) -> str:
    """Return what a figure is: by the unit over it, else by its own where that is another than usual."""
    if unit:
        return unit.strip("()[] ")
    own = column_of_unit(cell)
    usual = nominal(family, "full")
    if own is None or (usual is not None and own is usual[0]) or own in (*LIGHT, GelColumn.STOCK):
        return ""
    return own.value
