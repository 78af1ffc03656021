"""Curves with a line for each value: a gel, a wavelength, what it lets through; and figures beside them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ...spectra.cells import is_number, says_wavelength
from ...spectra.long_form import bare_rows
from ...text.lines import Separator
from ...vocabulary.gel_headings import GelColumn, GelHeading, understand_gel_heading
from ..layout import cells_of
from ..likeness import is_trade_name
from .curve import DENSE, CurveBeside

_FEWEST = 10
"""So many wavelengths make a curve."""
_MARKS = (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.COMMA, Separator.SPACES)
_NAMES = (GelColumn.NAME, GelColumn.FAMILY, GelColumn.FRACTION)
_VALUES = (GelColumn.TRANSMISSION, GelColumn.DENSITY, GelColumn.LOST)
_RULE = re.compile(r"[\s|+:=-]*")
_LONGEST = 300


@dataclass(frozen=True)
class _LongTable:
    """A table of such lines: its headings, and where the wavelengths and the names stand; `rows` by line."""

    at: int
    mark: Separator
    heads: list[str]
    wave: int
    names: list[int]
    rows: dict[int, list[str]]


def long_curves(lines: Sequence[str]) -> tuple[list[str], list[CurveBeside]]:
    """Return the lines with a row for each gel of such tables, and the curves in them."""
    out, curves = list(lines), list[CurveBeside]()
    at = 0
    while at < len(lines):
        table = _table(lines, at)
        parted = _parted(table) if table is not None else None
        if table is None or parted is None:
            at += 1
            continue
        above = next((line.strip() for line in reversed(lines[max(0, at - 3) : at]) if line.strip()), "")
        said = above[:_LONGEST] if DENSE.search(above) or "%" in above else ""
        end = max(table.rows) + 1
        out[table.at : end] = _rest(table, parted[0], end)
        curves += _curves(table, *parted, said)
        at = end
    return (out, curves) if curves else _without_headings(lines)


def _without_headings(lines: Sequence[str]) -> tuple[list[str], list[CurveBeside]]:
    bare = bare_rows(lines)
    table = _LongTable(min(bare), Separator.TAB, ["gel", "nm", "value"], 1, [0], bare) if bare else None
    parted = _parted(table) if table is not None else None
    if table is None or parted is None:
        return list(lines), []
    return ["" if i in bare else line for i, line in enumerate(lines)], _curves(table, *parted, "")


def _table(lines: Sequence[str], at: int) -> _LongTable | None:
    line = lines[at]
    mark = next((m for m in _MARKS if m in line), None)
    if mark is None or len(line) > _LONGEST:
        return None
    heads = cells_of(line, mark)
    wave = next((i for i, head in enumerate(heads) if says_wavelength(head)), None)
    meant = [understand_gel_heading(head) for head in heads]
    names = [i for i, said in enumerate(meant) if said is not None and said.column in _NAMES and i != wave]
    if wave is None or not names or len(heads) < len(names) + 2:
        return None
    rows: dict[int, list[str]] = {}
    before = [""] * len(heads)
    for below in range(at + 1, len(lines)):
        if not lines[below].strip() or _RULE.fullmatch(lines[below]):
            continue
        cells = cells_of(lines[below], mark)
        if len(cells) != len(heads) or not is_number(cells[wave]):
            break
        cells = [before[i] if i in names and not cell else cell for i, cell in enumerate(cells)]
        rows[below] = before = cells
    table = _LongTable(at, mark, heads, wave, names, rows)
    return table if len(rows) >= _FEWEST else None


def _name(table: _LongTable, cells: Sequence[str]) -> str:
    return " ".join(cells[i] for i in table.names).strip()


def _parted(table: _LongTable) -> tuple[dict[str, list[int]], int] | None:
    """Return the lines of each gel, and where the values stand; None where that is no table of curves."""
    gels: dict[str, list[int]] = {}
    for line, cells in table.rows.items():
        gels.setdefault(_name(table, cells), []).append(line)
    most = max(len(own) for own in gels.values())
    if most < _FEWEST or not all(_are_once(table, own) for own in gels.values()):
        return None
    if not any(map(is_trade_name, gels)):
        return None
    free = [i for i in range(len(table.heads)) if i != table.wave and i not in table.names]
    moving = [i for i in free if any(len({table.rows[line][i] for line in own}) > 1 for own in gels.values())]
    moving = [
        i for i in moving if sum(is_number(_bare(c[i])) for c in table.rows.values()) > len(table.rows) / 2
    ]
    if len(moving) > 1:
        said = [(i, understand_gel_heading(table.heads[i])) for i in moving]
        moving = [i for i, meant in said if _is_value(meant)]
        moving = [
            i for i, meant in said if meant is not None and meant.column is GelColumn.TRANSMISSION
        ] or moving
    return (gels, moving[0]) if len(moving) == 1 else None


def _is_value(meant: GelHeading | None) -> bool:
    return meant is not None and meant.column in _VALUES


def _are_once(table: _LongTable, lines: Sequence[int]) -> bool:
    return len({table.rows[line][table.wave] for line in lines}) == len(lines)


def _bare(cell: str) -> str:
    return cell.strip().removesuffix("%").strip()


def _rest(table: _LongTable, gels: dict[str, list[int]], end: int) -> list[str]:
    """Return the table's lines with what is said of each gel once, if anything is but its curve."""
    out = [""] * (end - table.at)
    kept = [
        i
        for i in range(len(table.heads))
        if i != table.wave and all(len({table.rows[line][i] for line in own}) == 1 for own in gels.values())
    ]
    if len(kept) <= len(table.names):
        return out
    out[0] = "\t".join(table.heads[i] for i in kept)
    for own in gels.values():
        out[own[0] - table.at] = "\t".join(table.rows[own[0]][i] for i in kept)
    return out


def _curves(table: _LongTable, gels: dict[str, list[int]], value: int, said: str) -> list[CurveBeside]:
    signed = " %" if any("%" in cells[value] for cells in table.rows.values()) else ""
    heading = f"gel {said} {table.heads[value]}{signed}"
    found = []
    for name, own in gels.items():
        cells = [(table.rows[line][table.wave], _bare(table.rows[line][value])) for line in own]
        body = "\n".join(f"{wave};{share}" for wave, share in cells if share)
        found.append(CurveBeside(own[0] + 1, name, f"{heading}\n\n{body}"))
    return found
