"""Readings from tables: what the columns hold, then row by row."""

from collections.abc import Sequence
from dataclasses import replace

from ...model import Problem
from ..grids.regroup import regrouped
from ..grids.table import Table
from ..sources.build import Built, Given, build
from ..text.cells import Cell, decimal_mark
from ..text.lines import Record, Separator
from ..vocabulary.headings import NUMBERS, Field, understand_each
from .answers import cell_key
from .columns import Columns, resolve
from .doubts import doubts_of
from .gathered import Gathered
from .lacking import DUV, contradictions, duv_question, lacks_duv
from .result import Answers, PasteQuestion, Reply, Understood
from .scales import settled_cells

NAMES = "names"
"""Key of the question whether two columns together are the name."""
ALONE = "alone"
"""Its answer that they are not."""
_QUARREL = "quarrel"


def read_table(rows: Gathered, table: Table, answers: Answers, first: int = 0) -> None:
    """Add the rows of a table; `first` is the number of its first column for answers."""
    table = _with_decimals(table)
    cells = [
        [row.cells[i] if i < len(row.cells) else "" for row in table.rows] for i in range(len(table.headings))
    ]
    columns = resolve(table.headings, answers=answers, cells=cells, first=first)
    numeric = [(f, i) for f, (i, _) in columns.used.items() if f in NUMBERS]
    mark = decimal_mark([(f, r.cells[i]) for r in table.rows for f, i in numeric if i < len(r.cells)])
    if table.mark is Separator.COMMA:
        mark = mark or "."
    columns = doubts_of(table, columns, mark, answers, first)
    table, doubtful = settled_cells(table, columns, answers)
    stopping = columns.stopping | {question.key for question in doubtful if question.blocks}
    asked = [*columns.asked, *doubtful, *_of_names(table, answers)]
    columns = replace(columns, asked=asked, stopping=stopping)
    quarrels = set(contradictions(table, columns, mark))
    if quarrels:
        columns = _with_quarrel(columns, len(quarrels), answers)
    mended = any(key.startswith("cell-") for key in answers)
    turned = len({row.line for row in table.rows}) < len(table.rows)
    all_cells = [_cells(record, columns, table.headings) for record in table.rows]
    rows_and_cells = zip(table.rows, all_cells, strict=True)
    odd = [lacks_duv(found) and _odd_count(record, table) is None for record, found in rows_and_cells]
    lacking = sum(odd) if not columns.open else 0
    if lacking:
        without = [record.line for record, one in zip(table.rows, odd, strict=True) if one]
        question = duv_question(lacking, answers).model_copy(update={"lines": without})
        columns = replace(columns, asked=[*columns.asked, question])
    for number, record in enumerate(table.rows):
        part = number if turned else table.part
        found, built = all_cells[number], None
        if mended:
            found |= _mended(record, part, answers)
        if number in quarrels:
            found, built = _settled(record, found, columns, answers)
        built = built or _built(record, table, columns, mark, found, rows.next_name)
        rows.add(record.line, record.text, built, found, part=part)
    rows.columns += [_with_examples(c, table.rows, first) for c in columns.taken]
    rows.unused += [_with_examples(c, table.rows, first) for c in columns.unused]
    rows.ignored |= dict.fromkeys(f"{c.heading}: {c.why}" if c.why else c.heading for c in columns.unused)
    lines = [record.line for record in table.rows]
    rows.asked += [q if q.lines else q.model_copy(update={"lines": lines}) for q in columns.asked]


def _built(
    record: Record, table: Table, columns: Columns, mark: str | None, cells: dict[Field, Cell], name: str
) -> Built:
    where = f"line {record.line}"
    odd = _odd_count(record, table)
    if odd is not None:
        return Built(None, [odd], None)
    if columns.open:
        question = columns.open[0]
        allowed = "; ".join(choice.words for choice in question.choices)
        return Built(None, [Problem(where=where, says=question.says, allowed=allowed)], None)
    if lacks_duv(cells) and any(q.key == DUV and q.answer == "0" for q in columns.asked):
        cells = {**cells, Field.DUV: Cell("0", where)}
    factors = {f: factor for f, (_, factor) in columns.used.items()}
    return build(cells, Given(factors, mark, columns.ssi_reference), where=where, name=name)


def _of_names(table: Table, answers: Answers) -> list[PasteQuestion]:
    """Ask whether two columns are the name, where they were taken for it because one comes again."""
    if not table.joined and answers.get(NAMES) != ALONE:
        return []
    both = " and ".join(repr(heading.strip()[:40]) for heading in table.joined) or "two columns"
    answer = answers.get(NAMES, "")
    return [
        PasteQuestion(
            key=NAMES,
            says=f"The name stands in {both}" if table.joined else "The name is one column",
            choices=[
                Reply(value="both", words="Both together"),
                Reply(value=ALONE, words="One of them alone"),
            ],
            likely="both",
            answer=answer if answer in ("both", ALONE) else "",
            blocks=False,
            lasting=True,
        )
    ]


def _with_quarrel(columns: Columns, count: int, answers: Answers) -> Columns:
    """Ask which of two ways to give the colour counts, in rows where they contradict each other."""
    answer = answers.get(_QUARREL, "")
    question = PasteQuestion(
        key=_QUARREL,
        says=f"x and y are not the colour that CCT and Duv say, in {count} {'row' if count == 1 else 'rows'}",
        choices=[Reply(value="cct", words="CCT and Duv"), Reply(value="xy", words="x and y")],
        answer=answer if answer in ("cct", "xy") else "",
    )
    return replace(columns, asked=[*columns.asked, question])


def _settled(
    record: Record, cells: dict[Field, Cell], columns: Columns, answers: Answers
) -> tuple[dict[Field, Cell], Built | None]:
    """Return the cells of a row that contradicts itself as the answer leaves them, or why there is none."""
    gone = {"cct": (Field.X, Field.Y), "xy": (Field.CCT, Field.DUV)}.get(answers.get(_QUARREL, ""))
    if gone is not None:
        return {f: cell for f, cell in cells.items() if f not in gone}, None
    says = "x and y are not the colour that CCT and Duv say"
    problem = Problem(where=f"line {record.line}", says=says, allowed="CCT and Duv, or x and y")
    return cells, Built(None, [problem], None)


def _with_decimals(table: Table) -> Table:
    """Join cells that a decimal comma parted, where commas part the cells: by their count."""
    if table.mark is not Separator.COMMA:
        return table
    return replace(table, rows=regrouped(table.rows, understand_each(table.headings)))


def _with_examples(column: Understood, found: Sequence[Record], first: int) -> Understood:
    """Add the first cells of a column, in which something is."""
    at = int(column.key.rpartition("-")[2]) - 1 - first
    cells = [cell[:40] for r in found[:8] for cell in r.cells[at : at + 1] if cell][:3]
    return column.model_copy(update={"examples": cells})


def _mended(record: Record, part: int, answers: Answers) -> dict[Field, Cell]:
    """Return the cells of a row that were mended by hand."""
    row = f"{record.line}.{part}" if part else str(record.line)
    keys = {field: cell_key(row, field) for field in Field}
    return {f: Cell(answers[key], f"line {record.line}, {f}") for f, key in keys.items() if key in answers}


def _cells(record: Record, columns: Columns, headings: list[str]) -> dict[Field, Cell]:
    places = {f: i for f, (i, _) in columns.used.items() if i < len(record.cells)}
    return {f: Cell(record.cells[i], f"line {record.line}, column {headings[i]}") for f, i in places.items()}


def _odd_count(record: Record, table: Table) -> Problem | None:
    """Refuse a row whose cells cannot be told apart: too many, or too few where spaces part them."""
    here, there = len(record.cells), len(table.headings)
    if table.mark in (Separator.SPACES, Separator.SPACE):
        allowed = "as many cells as headings, two spaces or a tab between them, - where there is no value"
        lacking = understand_each(table.headings[here:])
        words = all(h is not None and h.field not in NUMBERS for h in lacking)
        fits = here == there or (1 < here < there and words)
    else:
        allowed = f"at most {there}. A cell that holds the separator (a decimal comma, say) goes in quotes"
        fits = here <= there or not any(record.cells[there:])
    if fits:
        return None
    says = f"the row has {here} cells and the heading line {there}"
    return Problem(where=f"line {record.line}", says=says, allowed=allowed)
