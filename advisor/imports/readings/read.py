"""Pasted text or an uploaded file to readings: a table, ``name: value`` lines, or one short line."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from ...model import Problem, Refused
from ..text.cells import Cell, decimal_mark
from ..text.decode import decode, refuse_web_page
from ..text.lines import Record, Separator, records
from ..vocabulary.headings import NUMBERS, Field, understand
from .answers import about_shape, cell_key, headings_line, is_turned, turned, with_lines
from .columns import Columns, resolve
from .joining import Joining
from .mending import cells_to_mend
from .name_value import Block, find_blocks
from .one_line import one_line
from .result import Answers, Paste, PastedRow, PasteQuestion, Understood
from .rows import WAYS, Built, Given, build
from .table import Table, find_table, with_units

#: The most readings in one text.
MOST_ROWS = 500
_MOST_LINES = 20_000
_MOST_IGNORED = 50
_WHERE = "text"
_HEADINGS = (
    "a first line of headings, such as name, CCT, Duv, lux; or lines such as CCT: 5600 and Duv: 0.003; "
    "or one line such as 5600 K, 0.003, 900 lx"
)


def read_readings(data: str | bytes, answers: Answers | None = None) -> Paste:
    """Understand the readings in a text.

    Takes CSV (comma, semicolon, tab, pipe or runs of spaces), ``name: value`` lines with a blank line or
    a repeated name before the next reading, or one line of CCT, Duv and perhaps lux. Numbers may have a
    decimal comma or point and units; foot-candles become lux. Rows of one name that say how the source stood
    (dim level, modifier, dial) are readings of one source, and the last in the text counts: see `Joining` and
    `joined`. A row that is not understood keeps its text and blocks no other. `answers` say what was chosen
    about the text, by the keys in what was read of it before. Raises Refused if the whole
    cannot be read: nothing in it, no text, over 1 000 000 bytes or 500 readings, no headings, or two columns
    that say the same thing.
    """
    text = decode(data, where=_WHERE)
    answers = answers or {}
    lines = with_lines(text.split("\n"), answers)
    if is_turned(answers):
        lines = turned(lines)
    filled = [at for at, line in enumerate(lines) if line.strip()]
    if len(filled) > _MOST_LINES:
        raise _too_many(f"{len(filled)} lines")
    table = find_table(lines, headings_line(answers))
    if table is not None:
        return _from_table(lines, table, answers)
    blocks, stray = find_blocks(lines)
    if blocks:
        return _from_blocks(lines, blocks, stray)
    if len(filled) == 1:
        cells = one_line(lines[filled[0]], filled[0] + 1)
        if cells is not None:
            return _from_line(lines[filled[0]], filled[0] + 1, cells)
    refuse_web_page(text, where=_WHERE)
    raise Refused.one(_WHERE, "there are no headings, so it is not clear which number is which", _HEADINGS)


def _too_many(what: str) -> Refused:
    return Refused.one(_WHERE, f"the text has {what}", f"at most {MOST_ROWS} readings; give it in parts")


@dataclass
class _Rows:
    """The rows so far, told apart or joined, and the fields that were given and used."""

    rows: list[PastedRow] = field(default_factory=list)
    joining: Joining = field(default_factory=Joining)
    given: set[Field] = field(default_factory=set)
    used: set[Field] = field(default_factory=set)

    @property
    def next_name(self) -> str:
        return f"Source {len(self.rows) + 1}"

    def add(self, line: int, text: str, built: Built, cells: dict[Field, Cell]) -> None:
        row = self.joining.place(line, text, built)
        if row.source is None:
            row = row.model_copy(update={"cells": cells_to_mend(row, cells)})
        self.rows.append(row)
        self.given |= {f for f, c in cells.items() if not c.empty}
        self.used |= set(built.way or ())

    def unused(self) -> list[str]:
        """Say which colour columns were filled in and not needed."""
        used = next((", ".join(w) for w in WAYS if set(w) <= self.used), None)
        colours = [f for way in WAYS for f in way if f in self.given and f not in self.used]
        return (
            [f"{', '.join(colours)}: not used, the colour is taken from {used}"] if colours and used else []
        )

    def paste(
        self,
        columns: Iterable[Understood],
        ignored: list[str],
        unused: Iterable[Understood] = (),
        shape: Iterable[PasteQuestion] = (),
    ) -> Paste:
        ignored = [text if len(text) <= 120 else text[:119] + "…" for text in [*ignored, *self.unused()]]
        if len(ignored) > _MOST_IGNORED:
            ignored = [*ignored[:_MOST_IGNORED], f"and {len(ignored) - _MOST_IGNORED} more"]
        return Paste(
            rows=self.rows, columns=list(columns), ignored=ignored, unused=list(unused), shape=list(shape)
        )


def _from_table(lines: list[str], table: Table, answers: Answers) -> Paste:
    found = list(_data_rows(lines, table))
    headings = with_units(table, found[0]) if found else None
    if headings is not None:
        found = found[1:]
    columns = resolve(headings or table.headings, where=f"line {table.at + 1}", answers=answers)
    if len(found) > MOST_ROWS:
        raise _too_many(f"more than {MOST_ROWS} rows")
    if not found:
        says = f"no readings stand beneath the headings on line {table.at + 1}"
        raise Refused.one(_WHERE, says, "at least one row beneath them")
    numeric = [(f, i) for f, (i, _) in columns.used.items() if f in NUMBERS]
    mark = decimal_mark((f, r.cells[i]) for r in found for f, i in numeric if i < len(r.cells))
    if table.mark is Separator.COMMA:
        mark = mark or "."
    rows = _Rows()
    mended = any(key.startswith("cell-") for key in answers)
    for record in found:
        cells = _cells(record, columns, table.headings)
        if mended:
            cells |= _mended(record, answers)
        odd = _odd_count(record, table)
        factors = {f: factor for f, (_, factor) in columns.used.items()}
        where = f"line {record.line}"
        if odd is not None:
            built = Built(None, [odd], None)
        else:
            given = Given(factors, mark, columns.ssi_reference)
            built = build(cells, given, where=where, name=rows.next_name)
        rows.add(record.line, record.text, built, cells)
    above = [line.strip() for line in lines[: table.at] if line.strip()]
    ignored = [f"{c.heading}: {c.why}" if c.why else c.heading for c in columns.unused]
    shown = (
        [_with_examples(c, found) for c in columns.taken],
        [_with_examples(c, found) for c in columns.unused],
    )
    return rows.paste(shown[0], above + ignored, shown[1], about_shape(lines, table.at, answers))


def _with_examples(column: Understood, found: list[Record]) -> Understood:
    """Add the first cells of a column, in which something is."""
    at = int(column.key.rpartition("-")[2]) - 1
    cells = [cell[:40] for r in found[:8] for cell in r.cells[at : at + 1] if cell][:3]
    return column.model_copy(update={"examples": cells})


def _mended(record: Record, answers: Answers) -> dict[Field, Cell]:
    """Return the cells of a row that were mended by hand."""
    keys = {field: cell_key(str(record.line), field) for field in Field}
    return {f: Cell(answers[key], f"line {record.line}, {f}") for f, key in keys.items() if key in answers}


def _data_rows(lines: list[str], table: Table) -> Iterator[Record]:
    count = 0
    for record in records(lines, table.mark, start=table.at + 1):
        if record.cells == table.headings:
            continue  # the headings again, as where a table runs over several pages
        count += 1
        if count > MOST_ROWS + 1:  # one more, which may turn out to be a row of units
            raise _too_many(f"more than {MOST_ROWS} rows")
        yield record


def _cells(record: Record, columns: Columns, headings: list[str]) -> dict[Field, Cell]:
    places = {f: i for f, (i, _) in columns.used.items() if i < len(record.cells)}
    return {f: Cell(record.cells[i], f"line {record.line}, column {headings[i]}") for f, i in places.items()}


def _odd_count(record: Record, table: Table) -> Problem | None:
    """Refuse a row whose cells cannot be told apart: too many, or too few where spaces part them."""
    here, there = len(record.cells), len(table.headings)
    if table.mark in (Separator.SPACES, Separator.SPACE):
        allowed = "as many cells as headings, two spaces or a tab between them, - where there is no value"
        fits = here == there
    else:
        allowed = f"at most {there}; a cell that holds the separator (a decimal comma, say) goes in quotes"
        fits = here <= there or not any(record.cells[there:])
    if fits:
        return None
    says = f"the row has {here} cells and the heading line {there}"
    return Problem(where=f"line {record.line}", says=says, allowed=allowed)


def _from_blocks(lines: list[str], blocks: list[Block], stray: list[str]) -> Paste:
    if len(blocks) > MOST_ROWS:
        raise _too_many(f"{len(blocks)} readings")
    pairs = [(understand(p.heading), p.value) for b in blocks for p in b.pairs]
    mark = decimal_mark((h.field, value) for h, value in pairs if h is not None and h.field in NUMBERS)
    rows = _Rows()
    meanings: dict[tuple[str, str], Understood] = {}
    ignored = dict.fromkeys(stray)
    for block in blocks:
        cells: dict[Field, Cell] = {}
        try:
            columns = resolve([p.heading for p in block.pairs], where=f"line {block.first}")
        except Refused as refused:
            built = Built(None, refused.problems, None)
        else:
            pairs_of = {f: block.pairs[i] for f, (i, _) in columns.used.items()}
            cells = {f: Cell(p.value, f"line {p.line}, {p.heading}") for f, p in pairs_of.items()}
            factors = {f: factor for f, (_, factor) in columns.used.items()}
            given = Given(factors, mark, columns.ssi_reference)
            where = f"line {block.first}"
            built = build(cells, given, where=where, name=rows.next_name, title=block.title)
            meanings |= {(c.heading, c.meaning): _as_said(c) for c in columns.taken}
            ignored |= dict.fromkeys(f"{c.heading}: {c.why}" if c.why else c.heading for c in columns.unused)
        text = "\n".join(lines[block.first - 1 : block.last])
        rows.add(block.first, text, built, cells)
    return rows.paste(meanings.values(), list(ignored))


def _as_said(column: Understood) -> Understood:
    """Return what a name means beside its value: it is no column, and nobody can say otherwise."""
    return Understood(heading=column.heading, meaning=column.meaning)


def _from_line(text: str, line: int, cells: dict[Field, Cell]) -> Paste:
    rows = _Rows()
    mark = decimal_mark((f, c.text) for f, c in cells.items() if f in NUMBERS)
    built = build(cells, Given({}, mark), where=f"line {line}", name=rows.next_name)
    rows.add(line, text, built, cells)
    return rows.paste([Understood(heading=c.text, meaning=f.value) for f, c in cells.items()], [])
