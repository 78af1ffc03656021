"""The table of gels in a text: with headings or without, in parts, as a ladder, or as a list in a message."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ...model import Refused
from ..text.drawn import with_corners, with_pipes, with_tabs, without_leaders, without_quotes
from ..text.lines import Record, Separator, records, trimmed
from ..vocabulary.gel_headings import GelColumn, understand_gel_heading
from ..vocabulary.gel_names import family_within, fractions_of, known_family, understand_name
from .figures import is_figure
from .hints.conversions import with_conversions
from .hints.labelled import with_labels
from .hints.ranks import without_rank
from .hints.titles import with_families, with_family_heads
from .ladders import crossed, unfolded
from .layout import COMMENT, MARKS, GelLayout, cells_of, find_head, is_step, score_of, with_corner
from .likeness import is_trade_name
from .lists import gels_in_lines, gels_in_records, gels_over_figures
from .shaping import is_summary, is_units, plain_cells, shaped, stacked
from .turned import cell_a_line, find_turned, gels_and_numbers

_TRIED = 60
_MOST_TABLES = 100
_DECIMAL = re.compile(r"(?<=\d),(?=\d)")
"""A decimal comma, where commas with a space behind them part the cells."""
_TOLD = 0.6
"""The share of lines that must say something of a gel for a text without headings to be a table."""


def find_table(text: str) -> GelLayout | None:
    """Find the table of gels in a text; None where nothing looks like one."""
    lines = [with_corner(without_rank(line)) for line in text.split("\n")]
    lines = without_leaders(without_quotes(lines, commas=True))
    if (labelled := with_labels(lines)) is not None:
        head, rows, left = labelled
        return GelLayout(Separator.TAB, head, rows, left=left)
    lines = with_corners(with_pipes(lines, _are_plain_headings))
    lines = with_family_heads(lines) or with_families(lines, colours=True) or lines
    layout = _find(lines)
    if layout is None and (titled := with_families(lines, colours=False)) is not None:
        layout = _find(titled)
    if layout is None:
        return None
    head, rows = with_conversions(layout.head, layout.rows)
    return replace(layout, head=head, rows=rows)


def _are_plain_headings(cells: Sequence[str]) -> bool:
    """Whether cells are headings of a gel table, and few are anything else."""
    known = sum(understand_gel_heading(cell) is not None for cell in cells)
    return known > 1 and 2 * known >= len(cells) and not any(map(is_figure, cells))


def _find(lines: list[str]) -> GelLayout | None:
    if (turned := find_turned(lines)) is not None:
        return turned
    head, mark = find_head(lines)
    head = _first_head(lines, head, mark)
    if head is None:
        lines = with_families(lines, colours=False) or lines
        shapes = (
            gels_and_numbers,
            cell_a_line,
            gels_over_figures,
            _without_headings,
            gels_in_records,
            gels_in_lines,
        )
        found = (shape(lines) for shape in shapes)
        layout = next((layout for layout in found if layout is not None), None)
        unread = layout is not None and 2 * sum(map(_is_unread, layout.rows)) > len(layout.rows)
        spaced = with_tabs(lines) if layout is None or unread else None
        return (_without_headings(spaced) if spaced is not None else None) or layout
    below = list(records(lines, mark, start=head.line + head.text.count("\n"), comment=COMMENT))
    over = next((line for line in reversed(lines[: head.line - 1]) if line.strip()), "")
    head, below = stacked(head, below, cells_of(over, mark))
    ladder = crossed(mark, lines, head) or unfolded(mark, head, [shaped(r, head, mark) for r in below])
    if ladder is not None:
        return ladder
    above = lines[: head.line - 1]
    lost = [(at, f"{line.strip()[:40]}: left out") for at, line in enumerate(above, 1) if _tells_gel(line)]
    layout = GelLayout(mark, head, [], above, left=lost)
    return _under_families(_with_rows(layout, below))


def _tells_gel(line: str) -> bool:
    """Whether a line above the headings says something of a gel, which is not read."""
    return any(map(str.isdigit, line)) and family_within(line) is not None


def _first_head(lines: Sequence[str], head: Record | None, mark: Separator) -> Record | None:
    """Return the first line of headings over gels, where that with the most is one of a later table."""
    told = [at for at, line in enumerate(lines[: head.line - 1]) if line.strip()] if head else []
    for at in told[-_TRIED:]:
        cells = trimmed(cells_of(lines[at], mark))
        below = cells_of(lines[at + 1], mark)
        gel = any(is_trade_name(c) or is_step(c) for c in below) and any(map(is_figure, below))
        if gel and len(cells) > 1 and _are_headings(cells, mark):
            return Record(at + 1, lines[at], cells)
    return head


def _with_rows(layout: GelLayout, below: Sequence[Record]) -> GelLayout:
    """Return the table with its rows, each in the columns of the first headings."""
    head, own, tables = layout.head, layout.head, 1
    indexes = list(range(len(head.cells)))
    units: list[str] = []
    said = {h.column for c in own.cells if (h := understand_gel_heading(c)) is not None}
    named = bool(said & {GelColumn.NAME, GelColumn.FAMILY})
    for at, record in enumerate(below):
        row = shaped(record, own, layout.mark)
        if not layout.rows and not units and (is_units(row.cells, head.cells) or _are_beneath(row.cells)):
            units = row.cells
        elif [c.casefold() for c in row.cells] == [c.casefold() for c in own.cells]:
            layout.left.append((record.line, "the headings again"))
        elif is_summary(row.cells):
            layout.left.append((record.line, f"{next(c for c in row.cells if c)[:20]}: left out"))
        elif _is_title(record, row, below[at + 1 : at + 3], layout.mark, named=named):
            layout.left.append((record.line, f"{max(row.cells).strip(' :')[:40]}: a title, left out"))
        elif _are_headings(record.cells, layout.mark):
            own = replace(record, cells=trimmed(record.cells))
            tables += 1
            if tables > _MOST_TABLES:
                says = f"headings stand on more than {_MOST_TABLES} lines"
                raise Refused.one("file", says, f"at most {_MOST_TABLES} tables in a text")
            head, indexes = _joined(head, own)
        else:
            layout.rows.append(_at_indexes(row, indexes))
    return replace(layout, head=head, units=units)


def _are_beneath(cells: Sequence[str]) -> bool:
    """Whether a row goes on with what the headings say: words under some of them, no name and no figure."""
    told = [cell for cell in cells if cell.strip()]
    known = sum(understand_gel_heading(cell) is not None for cell in told)
    return not cells[0].strip() and 2 * known > len(told) and not any(map(is_figure, told))


def _is_title(record: Record, row: Record, after: Sequence[Record], mark: Separator, *, named: bool) -> bool:
    """Whether a line only says what the rows beneath it are: one cell, which is no gel of its own."""
    filled = [c for c in row.cells if c.strip()]
    if len(filled) != 1 or record.broken or not any(c.isalpha() for c in filled[0]):
        return False
    name = understand_name(filled[0].strip(" :*#=-_"))
    known = name is not None and known_family(name.family) is not None
    if name is not None and name.fraction and known:
        return False
    if after and _are_headings(after[0].cells, mark):
        return not known or (named and any(map(is_trade_name, after[-1].cells)))
    return not known and len(trimmed(record.cells)) == 1 and mark not in record.text.strip(mark)


def _are_headings(cells: Sequence[str], mark: Separator) -> bool:
    return score_of(trimmed(list(cells)), (), mark)[0] > 2 and not any(map(is_figure, cells))


def _joined(head: Record, other: Record) -> tuple[Record, list[int]]:
    """Add the headings of a further table to those of the first; return where each of its columns stands."""
    known = [understand_gel_heading(c) for c in head.cells]
    cells, indexes = list(head.cells), list[int]()
    for heading in other.cells:
        meant = understand_gel_heading(heading)
        same = [i for i, h in enumerate(known) if h is not None and h == meant and i not in indexes]
        same = [i for i, c in enumerate(head.cells) if c.casefold() == heading.casefold()] or same
        indexes.append(same[0] if same else len(cells))
        if not same:
            cells.append(heading)
    return replace(head, cells=cells), indexes


def _at_indexes(row: Record, indexes: Sequence[int]) -> Record:
    if list(indexes[: len(row.cells)]) == list(range(len(row.cells))):
        return row
    cells = [""] * (max(indexes) + 1)
    for cell, index in zip(row.cells, indexes, strict=False):
        cells[index] = cell
    return replace(row, cells=[*cells, *row.cells[len(indexes) :]])


def _under_families(layout: GelLayout) -> GelLayout:
    """Give each row of fractions the family that stands alone on a line above it."""
    family = known_family(layout.head.cells[0]) if layout.head.cells else None
    if family and layout.rows and all(fractions_of(r.cells[0], family) for r in layout.rows):
        # The family is the heading: "ND" over 0.3, 0.6, 0.9.
        rows = [replace(r, cells=[f"{family} {r.cells[0]}", *r.cells[1:]]) for r in layout.rows]
        return replace(layout, head=replace(layout.head, cells=["gel", *layout.head.cells[1:]]), rows=rows)
    said = [h.column for c in layout.head.cells if (h := understand_gel_heading(c)) is not None]
    named = {GelColumn.NAME, GelColumn.FAMILY} & set(said)
    if named:
        return _under_titles(layout)
    alone = [r for r in layout.rows if _family_alone(r)]
    above = next((line.strip(" \t,;|:#*") for line in reversed(layout.above) if line.strip()), "")
    first = known_family(above) or ""
    if not (alone or first):
        return layout
    rows, family = list[Record](), first
    width = len(layout.head.cells)
    for row in layout.rows:
        if row in alone:
            family = _family_alone(row)
        else:
            cells = [*row.cells, *[""] * (width - len(row.cells))]
            rows.append(replace(row, cells=[*cells[:width], family, *cells[width:]]))
    return replace(layout, head=replace(layout.head, cells=[*layout.head.cells, "family"]), rows=rows)


def _family_alone(row: Record) -> str:
    """Return the family that stands alone in a row; empty where none does."""
    return (known_family(max(row.cells).strip(" :*")) or "") if sum(map(bool, row.cells)) == 1 else ""


def _under_titles(layout: GelLayout) -> GelLayout:
    """Put the family of the line above before names that are strengths alone."""
    heads = [understand_gel_heading(c) for c in layout.head.cells]
    held = [h.column if h is not None else None for h in heads]
    at = held.index(GelColumn.NAME if GelColumn.NAME in held else GelColumn.FAMILY)
    above = next((line.strip(" \t,;|:#*") for line in reversed(layout.above) if line.strip()), "")
    family, title, rows = known_family(above) or "", -1, list[Record]()
    if GelColumn.FRACTION in held:
        return layout
    for row in layout.rows:
        if own := _family_alone(row):
            family, title = own, len(rows)
        elif family and at < len(row.cells) and fractions_of(row.cells[at], family):
            row = replace(row, cells=[*row.cells[:at], f"{family} {row.cells[at]}", *row.cells[at + 1 :]])
            if title == len(rows) - 1 >= 0:
                rows.pop()
                title = -1
        rows.append(row)
    return replace(layout, rows=rows)


def _without_headings(lines: list[str]) -> GelLayout | None:
    """Take a list of gels without headings: a name on each line, and something beside it."""
    best: GelLayout | None = None
    for mark in MARKS[:5]:
        plain = [_DECIMAL.sub(".", line) if ", " in line else line for line in lines]
        parted = plain if mark is Separator.COMMA else lines
        rows = [r for r in records(parted, mark, comment=COMMENT) if len(r.cells) > 1]
        told = [r for r in rows[:_TRIED] if _tells(r.cells)]
        if 2 * _missed(parted, rows) >= len(told):
            continue
        if told and len(told) >= _TOLD * len(rows[:_TRIED]) and (best is None or len(told) > len(best.rows)):
            width = max(len(trimmed(r.cells)) for r in rows)
            headed = len(rows) > 1 and _are_unknown_headings(trimmed(rows[0].cells), trimmed(rows[1].cells))
            head = replace(rows[0], cells=trimmed(rows[0].cells)) if headed else Record(0, "", [""] * width)
            first = next(at for at, r in enumerate(rows) if _tells(r.cells) or (headed and at == 0))
            left = [(r.line, f"{r.text.strip()[:40]}: left out") for r in rows[:first] if _is_talk(r.cells)]
            talk = {line for line, _ in left}
            rows = [r for r in rows[headed:] if not is_summary(r.cells) and r.line not in talk]
            rows = [replace(r, cells=plain_cells(r, mark)) for r in rows]
            best = GelLayout(mark, head, rows, left=left)
    return best


def _is_unread(row: Record) -> bool:
    """Whether figures stand in what was taken for a gel's name."""
    return understand_name(row.cells[0]) is None and any(map(str.isdigit, row.cells[0]))


def _missed(lines: Sequence[str], rows: Sequence[Record]) -> int:
    """Return how many lines that are no rows tell of a gel."""
    taken = {row.line for row in rows}
    return sum(at not in taken and _tells_gel(line) for at, line in enumerate(lines[:_TRIED], 1))


def _is_talk(cells: Sequence[str]) -> bool:
    """Whether a row above the gels says nothing of one: no gel of the trade, and no figure."""
    return not any(is_trade_name(c) or is_figure(c) for c in cells)


def _tells(cells: Sequence[str]) -> bool:
    if any(re.search(r"[^\W\d_].*:\s*[+-]?[\d.]", c) for c in cells):
        return False  # "Half CTO: +80 mired" is a line of a list
    named = any(re.search(r"[^\W\d_]", c) and understand_name(c) and not is_figure(c) for c in cells)
    return named and any(map(is_figure, cells))


def _are_unknown_headings(cells: Sequence[str], below: Sequence[str]) -> bool:
    """Whether a first row names columns over a gel, though nobody knows the words: no gel, and no figure."""
    told = [cell for cell in cells if cell.strip()]
    if len(told) < 2 or len(told) != len(set(told)) or len(cells) < len(below):
        return False
    bare = not any(is_figure(c) or is_trade_name(c) or any(map(str.isdigit, c)) for c in told)
    return bare and any(map(is_trade_name, below)) and any(map(is_figure, below))
