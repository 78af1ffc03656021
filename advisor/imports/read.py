"""Pasted text or an uploaded file to readings: tables of any shape, ``name: value`` lines, messages."""

import re
from dataclasses import replace

from ..model import Problem, Refused
from .grids.levels_across import find_levels
from .grids.name_value import Block, find_blocks
from .grids.shapes import find_cells, find_commas, find_headless, find_turned, find_unknown, paragraphs
from .grids.source_lines import SourceLines, lines_of
from .grids.table import FoundTables, find_tables
from .markup.json_text import json_lines
from .markup.web_page import is_web_page, page_lines
from .markup.xml_text import xml_lines
from .readings.answers import about_shape, as_said, headings_line, mended_cells
from .readings.columns import BOTH, resolve
from .readings.from_tables import ALONE, NAMES, read_table
from .readings.gathered import Gathered
from .readings.joining import BuiltRow
from .readings.lacking import DUV, LEFT, duv_question, lack_duv
from .readings.result import Answers, PassedOver, Paste, PastedRow, Understood
from .readings.too_many import MOST_ROWS, about_first, only_first, too_many
from .sources.build import Built, Given, RowOfCells, build
from .talk.read import read_messages
from .text.cells import Cell, decimal_mark
from .text.decode import characters, refuse_markup, refuse_web_page
from .text.lines import Record, Separator
from .tidying.across import with_sources_beneath
from .tidying.beside import beside
from .tidying.dittos import without_dittos
from .tidying.gels_beneath import with_both_beneath, with_gels_beneath
from .tidying.levels import with_levels_beneath
from .tidying.long_table import find_long
from .tidying.means import without_mean_beneath
from .tidying.names import with_names, without_means
from .tidying.rows_across import rows_across
from .tidying.titles import with_title
from .tidying.two_in_a_cell import with_one_thing_a_cell
from .under_titles import under_titles
from .vocabulary.headings import NUMBERS, Field, understand

_MOST_LINES = 20_000
_WHICH = frozenset({"which-CCT", "which-Duv"})
"""Keys of questions which of several columns is the colour: nobody can tell it from the lines either."""
_WHERE = "text"
# A name that swallowed a number with its unit: "key - 1250lx".
_HOLDS_A_NUMBER = re.compile(r"\d\s?(?:k?lx|lux|fc)\b", re.IGNORECASE)
_HEADINGS = (
    "a first line of headings, such as name, CCT, Duv, lux. Or lines such as CCT: 5600 and Duv: 0.003. "
    "Or one line such as 5600 K, 0.003, 900 lx"
)
_READING = "a line such as key 5480 +.004 850 lx, or a table with headings such as name, CCT, Duv, lux"
# Two figures in a row may be cells without headings; talk has them apart.
_FIGURES = re.compile(r"[\d.,]*\d\s?(?:k|lx|lux|fc)?\s{0,3}[,;|/\t ]\s{0,3}[-+−–]?[\d.,]*\d", re.IGNORECASE)


def read_readings(data: str | bytes, answers: Answers | None = None) -> Paste:
    """Understand the readings in a text.

    Takes tables of any shape, ``name: value`` lines and messages: see .docs/imports.md. Numbers may have a
    decimal comma or point and units; foot-candles become lux. Rows of one name that say how the source stood
    (dim level, modifier, dial, gel) are readings of one source, and the last bare one counts: see `Joining`
    and `joined`. A row that is not understood keeps its text and blocks no other. `answers` say what was
    chosen about the text, by the keys in what was read of it before. Raises Refused if the whole cannot be
    read: nothing in it, no text, over 1 000 000 bytes or 500 readings, or nothing that tells which number
    is which.
    """
    return read_text(characters(data, where=_WHERE), answers)


def read_text(text: str, answers: Answers | None = None) -> Paste:
    """Understand the readings in a text, as `read_readings` does, that went through `characters` already."""
    lines = _lines(text, answers or {})
    if lines.filled > _MOST_LINES:
        raise _too_many(f"{lines.filled} lines")
    paste = _read(lines, answers or {})
    asked = paste is not None and any(question.key != DUV for question in paste.asked)
    page = lines.made and is_web_page(text)  # whose numbers may be anything
    if paste is not None and (asked or any(map(_is_read, paste.rows)) or not lines.made):
        return paste
    if paste is not None and not page and any(row.source for row in paste.rows):
        return paste
    refuse_web_page(text, where=_WHERE)
    if all(_FIGURES.search(line) is None for line in lines.texts):
        raise Refused.one(_WHERE, "no line of it tells a reading: a CCT with its Duv", _READING)
    raise Refused.one(_WHERE, "there are no headings, so it is not clear which number is which", _HEADINGS)


def _lines(text: str, answers: Answers) -> SourceLines:
    """Return the lines to read: those of the text, or what JSON, XML or a web page becomes as lines."""
    made = json_lines(text) or xml_lines(text)
    if made is None and is_web_page(text):
        made = page_lines(text)
        made = made if any(re.search(r"\d", text) for text in made.texts) else None
    if made is not None:
        return made
    refuse_markup(text, where=_WHERE)
    return lines_of("\n".join(as_said(text.split("\n"), answers)))


def _read(lines: SourceLines, answers: Answers) -> Paste | None:
    """Try each shape that a text may have, from the one that leaves least doubt; None if it has none."""
    said = headings_line(answers)
    long = find_long(lines) if said is None else None
    if long is not None:
        return _from_sheet(lines, long, answers)
    sheet = find_tables(lines, said, MOST_ROWS)
    wide = any(len(table.headings) > 1 for table in sheet.tables) or said is not None
    for shape in (find_cells, find_levels, find_turned) if not wide else ():
        found = shape(lines)
        if found is not None:
            return _from_sheet(lines, found, answers)
    empty = bool(sheet.tables) and said is None and not any(t.rows for t in sheet.tables)
    tables = _from_sheet(lines, sheet, answers) if sheet.tables and not empty else None
    if tables is not None and (tables.asked or _understood(tables) or said is not None):
        return tables
    blocks, stray = find_blocks(lines.texts)
    paired = _from_blocks(lines, blocks, stray, answers) if blocks else None
    if tables is None and paired is not None and all(map(_is_read, paired.rows)):
        return paired
    unknown = find_unknown(lines) if tables is None else None
    if unknown is not None:
        return _from_sheet(lines, unknown, answers)
    plain = find_commas(lines) or find_headless(lines) if tables is None else None
    cells = _from_sheet(lines, plain, answers) if plain is not None else None
    parted = plain is not None and plain.tables[0].mark is not Separator.COMMA
    if cells is not None and (_is_whole(cells) or _stands(cells, parted=parted)):
        return cells
    stitch = paired is None or not any(map(_tells_colour, paired.rows))
    messages = read_messages(lines, answers, stitch=stitch)
    if messages is None and (joined := paragraphs(lines)) is not None:
        messages = read_messages(joined, answers, stitch=stitch)
    if messages is None and (told := rows_across(lines)) is not None:
        messages = read_messages(told, answers, stitch=stitch)
    talk = messages.paste() if messages is not None else None
    if cells is not None and (talk is None or not _is_whole(talk)):
        return cells
    best = max((p for p in (tables, paired, talk) if p is not None), key=_understood, default=None)
    if empty and (best is None or not _understood(best)):
        return _from_sheet(lines, sheet, answers)  # which says that nothing stands beneath the headings
    return best


def _tells_colour(row: PastedRow) -> bool:
    """Whether a row gives a colour; where it is not read all the same, something else is wrong with it."""
    return not (row.source and row.source.reading.duv_assumed) and not any(
        "is missing" in problem.says for problem in row.problems
    )


def _is_read(row: PastedRow) -> bool:
    """Whether a row is read with all of its colour, and without a Duv that nobody read."""
    return row.source is not None and not row.source.reading.duv_assumed


def _is_whole(paste: Paste) -> bool:
    """Whether every row is read and named, and no column is left over."""
    return not paste.unused and all(
        row.source is not None and _is_read(row) and row.named and not _HOLDS_A_NUMBER.search(row.source.name)
        for row in paste.rows
    )


def _stands(cells: Paste, *, parted: bool) -> bool:
    """Whether cells without headings are told no better by their lines, though something is open.

    `parted` says that tabs or the like part them, which no sentence has.
    """
    asked = any(question.key in _WHICH for question in cells.asked)
    return asked or (parted and all(row.source is not None and row.named for row in cells.rows))


def _understood(paste: Paste) -> int:
    """Count the rows that are read, or that wait for an answer alone."""
    waits = {line for question in paste.asked if question.open and question.blocks for line in question.lines}
    return sum(_is_read(row) or row.line in waits for row in paste.rows)


def _from_sheet(lines: SourceLines, sheet: FoundTables, answers: Answers) -> Paste:
    """Read all tables of a text."""
    left: Record | None = None
    if sum(len(table.rows) for table in sheet.tables) > MOST_ROWS:
        if not only_first(answers):
            raise too_many(f"more than {MOST_ROWS} rows")
        left = _keep_first(sheet)
    if not any(table.rows for table in sheet.tables):
        says = f"there is no reading under the headings on line {sheet.tables[0].line}"
        raise Refused.one(_WHERE, says, "at least one row under them")
    join = answers.get(NAMES) != ALONE
    both = answers.get("which-CCT") == BOTH
    parted = [
        with_names(with_one_thing_a_cell(without_dittos(source)), join=join)
        for table in sheet.tables
        for part in beside(with_both_beneath(table) if both else table)
        for source in with_sources_beneath(
            with_gels_beneath(with_levels_beneath(with_title(part, sheet.left)))
        )
    ]
    parted = [without_means(table, sheet.left) if table.joined else table for table in parted]
    parted = [without_mean_beneath(table, sheet.left) if table.rows[2:] else table for table in parted]
    titled = under_titles(parted, sheet.left, answers)
    rows = Gathered.under(answers)
    rows.asked += titled.asked
    rows.left_out += [PassedOver(line=line, text=text, why=why) for line, text, why in sheet.left]
    if left is not None:
        rows.leave_rest(left.line, left.text)
    first = 0
    known: dict[tuple[str, ...], int] = {}
    rows.left_out += titled.left_out
    for table in titled.tables:
        # Tables with the same headings share what is said of their columns.
        layout = tuple(table.headings)
        if layout not in known:
            known[layout], first = first, first + len(layout)
            read_table(rows, table, answers, known[layout], titled.waits)
        else:
            shown = rows.columns, rows.unused, rows.asked
            read_table(rows, table, answers, known[layout], titled.waits)
            rows.columns, rows.unused, rows.asked = shown
    at = lines.numbers.index(sheet.tables[0].line)
    rows.shape = [*about_first([], answers), *about_shape(lines.texts, at, answers)]
    rows.settle(answers)
    return rows.paste()


def _keep_first(sheet: FoundTables) -> Record | None:
    """Leave out what stands behind the first rows; return the first that is left out."""
    room, left = MOST_ROWS, None
    for at, table in enumerate(sheet.tables):
        left = left or next(iter(table.rows[room:]), None)
        sheet.tables[at] = replace(table, rows=table.rows[:room])
        room -= len(sheet.tables[at].rows)
    sheet.tables = [table for table in sheet.tables if table.rows]
    return left


def _too_many(what: str) -> Refused:
    return Refused.one(_WHERE, f"the text has {what}", f"at most {MOST_ROWS} readings. Give it in parts")


def _from_blocks(lines: SourceLines, blocks: list[Block], stray: list[str], answers: Answers) -> Paste:
    if len(blocks) > MOST_ROWS and not only_first(answers):
        raise too_many(f"{len(blocks)} readings")
    blocks, behind = blocks[:MOST_ROWS], blocks[MOST_ROWS:]
    pairs = [(understand(p.heading), p.value) for b in blocks for p in b.pairs]
    mark = decimal_mark([(h.field, value) for h, value in pairs if h is not None and h.field in NUMBERS])
    rows = Gathered.under(answers)
    meanings: dict[tuple[str, str], Understood] = {}
    rows.ignored |= dict.fromkeys(stray)
    rows.shape += about_first([], answers)
    if behind:
        rows.leave_rest(behind[0].first, f"Line {behind[0].first}")
    lacking: list[tuple[int, str]] = []
    for block in blocks:
        cells: dict[Field, Cell] = {}
        columns = resolve([p.heading for p in block.pairs])
        if columns.asked:
            where = f"line {block.first}"
            allowed = "one line for each. Take the others out"
            built = Built(
                None, [Problem(where=where, says=q.says, allowed=allowed) for q in columns.asked], None
            )
        else:
            pairs_of = {f: block.pairs[i] for f, (i, _) in columns.used.items()}
            cells = {f: Cell(p.value, f"line {p.line}, {p.heading}") for f, p in pairs_of.items()}
            factors = {f: factor for f, (_, factor) in columns.used.items()}
            given = Given(factors, mark, columns.ssi_reference)
            where = f"line {block.first}"
            typed = mended_cells(str(lines.numbers[block.first - 1]), answers, factors, mark)
            cells |= {field: Cell(text, f"{where}, {field}") for field, text in typed.items()}
            lacks = lack_duv([cells])[0]
            if lacks:
                named = cells[Field.NAME].text.strip() if Field.NAME in cells else block.title
                lacking.append((block.first, named or where))
            assumed = lacks and answers.get(DUV) != LEFT
            told = {**cells, Field.DUV: Cell("0", where)} if assumed else cells
            row = RowOfCells(told, where, rows.next_names()[0], block.title, duv_assumed=assumed)
            built = build(row, given)
            meanings |= {(c.heading, c.meaning): _as_said(c) for c in columns.taken}
            rows.ignored |= dict.fromkeys(
                f"{c.heading}: {c.why}" if c.why else c.heading for c in columns.unused
            )
        text = "\n".join(lines.shown[block.first - 1 : block.last])
        rows.add([BuiltRow(lines.numbers[block.first - 1], text, built, cells)])
    if lacking:
        question = duv_question([name for _, name in lacking], answers)
        rows.asked.append(question.model_copy(update={"lines": [line for line, _ in lacking]}))
    rows.columns = list(meanings.values())
    rows.settle(answers)
    return rows.paste()


def _as_said(column: Understood) -> Understood:
    """Return what a name means beside its value: it is no column, and nobody can say otherwise."""
    return Understood(heading=column.heading, meaning=column.meaning)
