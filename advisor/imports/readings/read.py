"""Pasted text or an uploaded file to readings: a table, ``name: value`` lines, or one short line."""

from collections.abc import Iterator

from ...model import Problem, Refused
from ..grids.source_lines import lines_of
from ..grids.table import Table, find_table, with_units
from ..text.cells import Cell, decimal_mark
from ..text.decode import characters, decode, is_chat, refuse_web_page
from ..text.lines import Record, Separator, records
from ..vocabulary.headings import NUMBERS, Field, understand
from .answers import about_shape, cell_key, headings_line, is_turned, turned, with_lines
from .columns import Columns, resolve
from .from_messages import read_messages
from .gathered import Gathered
from .name_value import Block, find_blocks
from .result import Answers, PassedOver, Paste, Understood
from .rows import Built, Given, build

#: The most readings in one text.
MOST_ROWS = 500
_MOST_LINES = 20_000
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
    text = characters(data, where=_WHERE)
    if not is_chat(text):
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
    refuse_web_page(text, where=_WHERE)
    said = read_messages(lines_of("\n".join(lines)))
    if said is not None:
        return said.paste()
    raise Refused.one(_WHERE, "there are no headings, so it is not clear which number is which", _HEADINGS)


def _too_many(what: str) -> Refused:
    return Refused.one(_WHERE, f"the text has {what}", f"at most {MOST_ROWS} readings; give it in parts")


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
    rows = Gathered()
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
    above = [(at, line.strip()) for at, line in enumerate(lines[: table.at], 1) if line.strip()]
    rows.left_out += [PassedOver(line=at, text=text) for at, text in above]
    rows.ignored |= dict.fromkeys(f"{c.heading}: {c.why}" if c.why else c.heading for c in columns.unused)
    rows.columns = [_with_examples(c, found) for c in columns.taken]
    rows.unused = [_with_examples(c, found) for c in columns.unused]
    rows.shape = about_shape(lines, table.at, answers)
    return rows.paste()


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
    rows = Gathered()
    meanings: dict[tuple[str, str], Understood] = {}
    rows.ignored |= dict.fromkeys(stray)
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
            rows.ignored |= dict.fromkeys(
                f"{c.heading}: {c.why}" if c.why else c.heading for c in columns.unused
            )
        text = "\n".join(lines[block.first - 1 : block.last])
        rows.add(block.first, text, built, cells)
    rows.columns = list(meanings.values())
    return rows.paste()


def _as_said(column: Understood) -> Understood:
    """Return what a name means beside its value: it is no column, and nobody can say otherwise."""
    return Understood(heading=column.heading, meaning=column.meaning)
