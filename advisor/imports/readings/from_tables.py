"""Readings from tables: what the columns hold, then row by row."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ...model import Problem
from ..grids.regroup import regrouped
from ..grids.table import Table
from ..sources.build import Built, Given, RowOfCells, build_each
from ..sources.far import far_rows
from ..text.cells import Cell, decimal_mark
from ..text.lines import Record, Separator
from ..vocabulary.headings import NUMBERS, Field
from .answers import mended_cells
from .columns import Columns, resolve
from .doubts import doubts_of
from .gathered import Gathered
from .joining import BuiltRow
from .lacking import DUV, LEFT, duv_question, lack_duv
from .odd_rows import (
    ask_crossed,
    ask_far,
    ask_quarrel,
    contradictions,
    crossed_rows,
    settle_crossed,
    settle_far,
    settle_quarrel,
)
from .result import Answers, PasteQuestion, Understood
from .scales import settled_cells

NAMES = "names"
"""Key of the question whether two columns together are the name."""
ALONE = "alone"
"""Its answer that they are not."""


def read_table(
    rows: Gathered,
    table: Table,
    answers: Answers,
    first: int = 0,
    waits: Mapping[int, PasteQuestion] | None = None,
) -> None:
    """Add the rows of a table; `first` is the number of its first column for answers.

    `waits` are questions about the lines of rows, which are not read before those are answered.
    """
    table = _with_decimals(table)
    columns = resolve(table.headings, answers=answers, cells=table.cells, first=first)
    numeric = [(f, i) for f, (i, _) in columns.used.items() if f in NUMBERS]
    mark = decimal_mark([(f, r.cells[i]) for r in table.rows for f, i in numeric if i < len(r.cells)])
    if table.mark is Separator.COMMA:
        mark = mark or "."
    columns = doubts_of(table, columns, mark, answers, first)
    table, doubtful = settled_cells(table, columns, answers)
    stopping = columns.stopping | {question.key for question in doubtful if question.blocks}
    questions = [*columns.asked, *doubtful, *_of_names(table, answers)]
    columns = replace(columns, asked=questions, stopping=stopping)
    quarrels = dict(contradictions(table, columns, mark))
    if quarrels:
        columns = ask_quarrel(columns, list(quarrels.values()), answers)
    mended = any(key.startswith("cell-") for key in answers)
    turned = len({row.line for row in table.rows}) < len(table.rows)
    found = [_cells(record, columns, table.headings) for record in table.rows]
    odd = _odd_counts(table)
    without = [
        (record.line, own)
        for record, own, lacks, problem in zip(table.rows, found, lack_duv(found), odd, strict=True)
        if lacks and problem is None
    ]
    if without and not columns.open:
        lines = [line for line, _ in without]
        names = [own[Field.NAME].text.strip() if Field.NAME in own else f"line {at}" for at, own in without]
        lacking = duv_question(names, answers).model_copy(update={"lines": lines})
        columns = replace(columns, asked=[*columns.asked, lacking])
    parts = [number if turned else table.part for number in range(len(table.rows))]
    if mended:
        factors = {f: factor for f, (_, factor) in columns.used.items()}
        several = zip(table.rows, found, parts, strict=True)
        found = [own | _mended(record, part, answers, factors, mark) for record, own, part in several]
    question = next(iter(columns.open), None)
    held = [question or (waits or {}).get(record.line) for record in table.rows]
    asked = [
        None if each is None else _asked_first(record, each)
        for record, each in zip(table.rows, held, strict=True)
    ]
    wrong = [problem or waits for problem, waits in zip(odd, asked, strict=True)]
    for number in quarrels:
        found[number], says = settle_quarrel(table.rows[number], found[number], answers)
        wrong[number] = says or wrong[number]
    far = far_rows(found, columns.used.get(Field.DUV, (0, 1.0))[1], mark) if Field.DUV in columns.used else {}
    if far and not columns.open:
        columns = ask_far(columns, far, [table.rows[n].line for n in far], answers)
        for number in far:
            found[number], says = settle_far(table.rows[number], found[number], far[number], answers)
            wrong[number] = wrong[number] or says
    crossed = crossed_rows(found, columns.used)
    if crossed and not columns.open:
        columns = ask_crossed(columns, {table.rows[n].line: found[n] for n in crossed}, answers)
        for number in crossed:
            found[number], says = settle_crossed(table.rows[number], found[number], answers)
            wrong[number] = wrong[number] or says
    given = Given({f: factor for f, (_, factor) in columns.used.items()}, mark, columns.ssi_reference)
    built = _built(rows, table, found, wrong, given, zero=_is_zero(columns))
    read = zip(table.rows, built, found, parts, strict=True)
    rows.add([BuiltRow(record.line, record.text, made, own, part) for record, made, own, part in read])
    rows.columns += [_with_examples(c, table.rows, first) for c in columns.taken]
    rows.unused += [_with_examples(c, table.rows, first) for c in columns.unused]
    rows.ignored |= dict.fromkeys(f"{c.heading}: {c.why}" if c.why else c.heading for c in columns.unused)
    lines = [record.line for record in table.rows]
    rows.asked += [q if q.lines else q.model_copy(update={"lines": lines}) for q in columns.asked]


def _built(
    rows: Gathered,
    table: Table,
    found: Sequence[dict[Field, Cell]],
    wrong: Sequence[Problem | None],
    given: Given,
    *,
    zero: bool,
) -> list[Built]:
    """Build all rows of a table in which nothing is `wrong`; with `zero` a Duv that is lacking is 0."""
    right = [number for number, problem in enumerate(wrong) if problem is None]
    names = rows.next_names(len(wrong))
    lack = dict(zip(right, lack_duv([found[number] for number in right]) if zero else [], strict=zero))
    told = []
    for number in right:
        where = f"line {table.rows[number].line}"
        cells = {**found[number], Field.DUV: Cell("0", where)} if lack.get(number) else found[number]
        told.append(RowOfCells(cells, where, names[number], duv_assumed=bool(lack.get(number))))
    built = iter(build_each(told, given))
    return [next(built) if problem is None else Built(None, [problem], None) for problem in wrong]


def _is_zero(columns: Columns) -> bool:
    """Whether a Duv that is lacking counts as 0."""
    return any(question.key == DUV and question.answer != LEFT for question in columns.asked)


def _asked_first(record: Record, question: PasteQuestion) -> Problem:
    """Say what is to be answered before a row can be read."""
    allowed = "; ".join(choice.words for choice in question.choices)
    return Problem(where=f"line {record.line}", says=question.says, allowed=allowed)


def _of_names(table: Table, answers: Answers) -> list[PasteQuestion]:
    """Ask whether two columns are the name, where they were taken for it because one comes again."""
    if not table.joined and answers.get(NAMES) != ALONE:
        return []
    both = " and ".join(repr(heading.strip()[:40]) for heading in table.joined) or "two columns"
    return [
        PasteQuestion.of(
            NAMES,
            f"The name stands in {both}" if table.joined else "The name is one column",
            {"both": "Both together", ALONE: "One of them alone"},
            answers,
            likely="both",
            blocks=False,
            lasting=True,
        )
    ]


def _with_decimals(table: Table) -> Table:
    """Join cells that a decimal comma parted, where commas part the cells: by their count."""
    if table.mark is not Separator.COMMA:
        return table
    return replace(table, rows=regrouped(table.rows, table.known))


def _with_examples(column: Understood, found: Sequence[Record], first: int) -> Understood:
    """Add the first cells of a column, in which something is."""
    at = int(column.key.rpartition("-")[2]) - 1 - first
    cells = [cell[:40] for r in found[:8] for cell in r.cells[at : at + 1] if cell][:3]
    return Understood(**{**dict(column), "examples": cells})


def _mended(
    record: Record, part: int, answers: Answers, factors: Mapping[Field, float], mark: str | None
) -> dict[Field, Cell]:
    """Return the cells of a row that were mended by hand."""
    typed = mended_cells(f"{record.line}.{part}" if part else str(record.line), answers, factors, mark)
    return {field: Cell(text, f"line {record.line}, {field}") for field, text in typed.items()}


def _cells(record: Record, columns: Columns, headings: list[str]) -> dict[Field, Cell]:
    given = {f: i for f, (i, _) in columns.used.items() if i < len(record.cells)}
    return {f: Cell(record.cells[i], f"line {record.line}, column {headings[i]}") for f, i in given.items()}


def _odd_counts(table: Table) -> list[Problem | None]:
    """Refuse rows whose cells cannot be told apart: too many, or too few where spaces part them."""
    there = len(table.headings)
    spaced = table.mark in (Separator.SPACES, Separator.SPACE)
    # Behind the last heading of numbers cells may lack.
    numeric = [h is None or h.field in NUMBERS for h in table.known] if spaced else []
    fewest = max((at + 1 for at, number in enumerate(numeric) if number), default=0)
    if spaced:
        allowed = "as many cells as headings, two spaces or a tab between them, - where there is no value"
    else:
        allowed = f"at most {there}. A cell that holds the separator (a decimal comma, say) goes in quotes"
    odd: list[Problem | None] = []
    for record in table.rows:
        here = len(record.cells)
        if spaced:
            fits = here == there or max(1, fewest - 1) < here < there
        else:
            fits = here <= there or not any(record.cells[there:])
        says = f"the row has {here} cells and the heading line {there}"
        odd.append(None if fits else Problem(where=f"line {record.line}", says=says, allowed=allowed))
    return odd
