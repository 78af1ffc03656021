"""A gel table before it is imported: what was read, what is to be mended or said, and what it changes."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ....imports.gel_layouts.columns import TakenColumn
from ....imports.gels.draft import GelDraft
from ....imports.gels.draft_row import DraftRow
from ....imports.vocabulary.gel_headings import GelColumn
from ....model import Problem
from ....model.sets.phrases import counted
from ....store import StoredTable
from ...gels.changes import TableChange
from ...pastes.long_texts import ShownText, shown_text
from ...wording.values import capitalize_first
from .curves import AskedCurve, asked_curve
from .said import changed_said, figures_of

_MOST_ROWS = 300
"""Rows that are shown: more would make a page too heavy for a phone."""
_MOST_OPEN = 12
"""So many rows are shown unasked: they fit on a screen or two of a phone."""
_MOST_WRONG = 12
_MOST_LEFT = 40
_MOST_NAMED = 6


@dataclass(frozen=True)
class CellToMend:
    """A cell: its field in the form, the column's heading, what stands in it, and the likeliest meanings.

    `was` is the field that says what stood in it as it came; empty where it was typed anew already.
    """

    field: str
    was: str
    heading: str
    value: str
    likely: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class RowToMend:
    """A row with something wrong: its name, what is wrong, and its cells. `as_is` keeps a doubted one."""

    name: str
    says: tuple[str, ...]
    cells: tuple[CellToMend, ...]
    as_is: tuple[str, str] | None


@dataclass(frozen=True)
class AskedTable:
    """A question about the whole table; of its `ways` the first is the likeliest. `many` says: as a list."""

    field: str
    says: str
    ways: tuple[tuple[str, str], ...]
    chosen: str
    many: bool


@dataclass(frozen=True)
class ColumnChoice:
    """What a column was taken for, and what it can be."""

    field: str
    heading: str
    options: tuple[tuple[str, str], ...]
    chosen: str


@dataclass(frozen=True)
class ReadRow:
    """A gel that was read: its name, what it does, and how cells were read where that is not plain."""

    name: str
    figures: str
    notes: str


@dataclass(frozen=True)
class ChangeView:
    """What a button of that `value` would do, in words, with the gels that are new, changed and gone."""

    value: str
    words: str
    says: str
    new: tuple[str, ...]
    changed: tuple[tuple[str, str], ...]
    gone: tuple[str, ...]


@dataclass(frozen=True)
class DraftView:
    """A table that was read and is not imported yet; `looked_at` tells it from another one."""

    heading: str
    wrong: tuple[RowToMend, ...]
    more_wrong: str
    asked: tuple[AskedTable, ...]
    curves: tuple[AskedCurve, ...]
    changes: tuple[ChangeView, ...]
    columns: tuple[ColumnChoice, ...]
    rows: tuple[ReadRow, ...]
    rows_open: bool
    more_rows: str
    left: tuple[str, ...]
    mended: tuple[tuple[str, str], ...]
    looked_at: str


@dataclass(frozen=True)
class ImportView:
    """The form to import a table, of which the writer saw the version `seen` in force.

    `draft` is what was read of the text, None where nothing was. `again` says which files are to be chosen
    once more; `carried` is what came along with the table, as text.
    """

    heading: str
    text: ShownText
    seen: int | None
    problems: tuple[Problem, ...]
    conflict: StoredTable | None
    again: str
    carried: str
    draft: DraftView | None


def import_view(
    text: str,
    seen: int | None,
    *,
    problems: Sequence[Problem] = (),
    beside: Sequence[str] = (),
    conflict: StoredTable | None = None,
    carried: str = "",
    draft: DraftView | None = None,
) -> ImportView:
    """Return the form to import a table; `beside` are the files that came with what was not read."""
    heading = f"Not imported: {counted(len(problems), 'thing')} to fix" if problems else "Import a gel table"
    return ImportView(
        heading=draft.heading if draft is not None else heading,
        text=shown_text(text, problems),
        seen=seen,
        problems=tuple(problems),
        conflict=conflict,
        again=_again(beside) if draft is None else "",
        carried=carried,
        draft=draft,
    )


def _again(beside: Sequence[str]) -> str:
    if not beside:
        return ""
    named = ", ".join(beside[:_MOST_NAMED]) + (", …" if len(beside) > _MOST_NAMED else "")
    return f"A browser forgets chosen files: choose the curves again ({named})."


def draft_view(
    draft: GelDraft, add: TableChange, replace: TableChange, mended: dict[tuple[int, int], str]
) -> DraftView:
    """Return what the page shows of a table that was read; `mended` are the cells typed anew."""
    wrong = draft.to_mend
    shown = draft.gels[:_MOST_ROWS]
    notes = {row.gel.name: row.notes for row in draft.rows if row.gel is not None}
    open_cells = {(row.number, c.at) for row in wrong[:_MOST_WRONG] for c in draft.columns}
    free = [c for c in draft.columns if c.wave is None and not c.asked]
    return DraftView(
        heading=_heading(draft),
        wrong=tuple(_to_mend(row, draft.columns, mended) for row in wrong[:_MOST_WRONG]),
        more_wrong=f"{len(wrong) - _MOST_WRONG} more rows to fix" if len(wrong) > _MOST_WRONG else "",
        asked=tuple(_asked(draft)),
        curves=tuple(asked_curve(curve) for curve in draft.curves),
        changes=_changes(draft, add, replace),
        columns=tuple(_column(c, draft.answers.said) for c in free),
        rows=tuple(ReadRow(g.name, figures_of(g), ", ".join(notes.get(g.name, ()))) for g in shown),
        rows_open=len(draft.gels) <= _MOST_OPEN,
        more_rows=f"{len(draft.gels) - _MOST_ROWS} more" if len(draft.gels) > _MOST_ROWS else "",
        left=_left(draft.layout.left),
        mended=tuple((f"cell {n}.{c}", v) for (n, c), v in mended.items() if (n, c) not in open_cells),
        looked_at=add.fingerprint + replace.fingerprint,
    )


def _heading(draft: GelDraft) -> str:
    read = f"{counted(len(draft.gels), 'gel')} read"
    if draft.to_mend:
        return f"{read}, {counted(len(draft.to_mend), 'row')} to fix"
    asked = len(draft.asked) + len(draft.curves)
    return f"{read}, {counted(asked, 'question')}" if asked else read


def _left(lines: Sequence[tuple[int, str]]) -> tuple[str, ...]:
    """Return what is said of the lines that were left out; of very many, how many more there are."""
    said = [f"Line {line}, {why}" for line, why in lines[:_MOST_LEFT]]
    more = len(lines) - _MOST_LEFT
    return (*said, f"{counted(more, 'more line')} left out") if more > 0 else tuple(said)


def _to_mend(row: DraftRow, columns: Sequence[TakenColumn], mended: Collection[tuple[int, int]]) -> RowToMend:
    used = [c for c in columns if c.wave is None and c.column is not GelColumn.UNUSED]
    said = [row.cells[c.at] for c in used if c.at < len(row.cells) and c.column in _NAMES]
    cells = []
    for column in used:
        field = f"cell {row.number}.{column.at}"
        value = row.cells[column.at] if column.at < len(row.cells) else ""
        likely = tuple((f"{field}={v}", f"Use {v}") for v in row.likely.get(column.at, ()))
        was = "" if (row.number, column.at) in mended else field.replace("cell", "was", 1)
        cells.append(CellToMend(field, was, column.shown, value, likely))
    doubted = next(iter(row.likely), None) if row.doubted else None
    kept = "" if doubted is None else row.cells[doubted]
    return RowToMend(
        name=" ".join(said)[:60] or f"Line {row.line}",
        says=tuple(f"{capitalize_first(p.where)}: {p.says}. Give {p.allowed}." for p in row.wrong),
        cells=tuple(cells),
        as_is=None if doubted is None else (f"cell {row.number}.{doubted}={kept}", f"Keep {kept}"),
    )


_NAMES = (GelColumn.NAME, GelColumn.FAMILY, GelColumn.FRACTION)


def _asked(draft: GelDraft) -> Iterator[AskedTable]:
    for question in draft.questions:
        chosen = draft.answers.said.get(question.key, question.likeliest)
        many = question.key.startswith("column ")
        says = capitalize_first(question.says) + ("" if question.says.endswith("?") else ".")
        yield AskedTable(f"q {question.key}", says, tuple(question.ways.items()), chosen, many)


def _column(column: TakenColumn, said: Mapping[str, str]) -> ColumnChoice:
    """Return the choice of a column; what somebody said of it goes along until somebody says otherwise."""
    field, now = f"column {column.at + 1}", column.column.value
    chosen = now if said.get(field) else ""
    first = ("", "as it was read" if chosen else now)
    rest = tuple((c.value, c.value) for c in GelColumn if chosen or c.value != now)
    return ColumnChoice(f"q {field}", column.shown, (first, *rest), chosen)


def _changes(draft: GelDraft, add: TableChange, replace: TableChange) -> tuple[ChangeView, ...]:
    if not draft.gels:
        return ()
    adding = _change("add", "Add to my table", add)
    replacing = _change("replace", "Replace my table", replace)
    return (adding, replacing)


def _change(value: str, words: str, change: TableChange) -> ChangeView:
    counts = ((len(change.new), "new"), (len(change.changed), "changed"), (len(change.gone), "gone"))
    said = [f"{count} {what}" for count, what in counts if count]
    said += [f"{change.same} as before"] if change.same else []
    return ChangeView(
        value=value,
        words=words,
        says=", ".join(said) or "nothing changes",
        new=tuple(gel.name for gel in change.new),
        changed=tuple((pair.new.name, changed_said(pair)) for pair in change.changed),
        gone=tuple(gel.name for gel in change.gone),
    )
