"""Tables beneath titles of their own: what was wanted and not read, and names that stand under two titles."""

from bisect import bisect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..model.basis.base import name_key
from .grids.table import Table
from .readings.joining import SEVERAL, titles_question
from .readings.result import Answers, PassedOver, PasteQuestion
from .text.titles import is_wanted_title
from .vocabulary.headings import Field

YES, NO = "yes", "no"
_LONGEST = 40
_TITLE = frozenset({"", "no reading"})
"""Why a line is no row, if it may be a title."""
_READ_IT = {NO: "Leave them out", YES: "They were read"}


@dataclass
class Titled:
    """Tables as their titles leave them, what is `asked`, which lines `wait` for it, and those left out."""

    tables: list[Table]
    asked: list[PasteQuestion] = field(default_factory=list)
    waits: dict[int, PasteQuestion] = field(default_factory=dict)
    left_out: list[PassedOver] = field(default_factory=list)


def under_titles(tables: Sequence[Table], left: Sequence[tuple[int, str, str]], answers: Answers) -> Titled:
    """Ask about rows under titles; `left` are the lines that are no rows: number, text, why.

    Rows under “Wanted” are not read before somebody said that they were. Those of one name under several
    titles are not read before it is known whether they are one light; of several each takes its title.
    """
    above = sorted(
        (line, _plain(text)) for line, text, why in left if why in _TITLE and len(text) <= _LONGEST
    )
    title_of: dict[int, str] = {}
    for row in (row for table in tables for row in table.rows):
        at = bisect(above, (row.line,)) - 1
        title_of[row.line] = above[at][1] if at >= 0 else ""
    out = Titled(list(tables))
    if not any(title_of.values()):
        return out
    for title in dict.fromkeys(title_of.values()):
        if is_wanted_title(title) and _wanted(out, title, title_of, answers) != YES:
            title_of = {line: "" if own == title else own for line, own in title_of.items()}
    _ask_whose(out, title_of, answers)
    return out


def _plain(text: str) -> str:
    return text.strip("#*=-_ :|\t,;")


def _wanted(out: Titled, title: str, title_of: Mapping[int, str], answers: Answers) -> str:
    """Ask whether the rows under a title for what is wanted were read; return the answer, empty for none."""
    rows = [row for table in out.tables for row in table.rows if title_of[row.line] == title]
    says = f"{len(rows)} {'row' if len(rows) == 1 else 'rows'} under “{title}”: wanted, or read?"
    lines = [row.line for row in rows]
    question = PasteQuestion.of(f"wanted-{lines[0]}", says, _READ_IT, answers, likely=NO)
    out.asked.append(question.model_copy(update={"lines": lines}))
    if question.open:
        out.waits |= dict.fromkeys(lines, question)
    elif question.answer == NO:
        out.left_out += [PassedOver(line=r.line, text=r.text.strip(), why="it was wanted") for r in rows]
        kept = [replace(t, rows=[r for r in t.rows if title_of[r.line] != title]) for t in out.tables]
        out.tables = [table for table in kept if table.rows]
    return question.answer


def _ask_whose(out: Titled, title_of: Mapping[int, str], answers: Answers) -> None:
    """Ask whether rows of one name under several titles are of one light, and name them as was answered."""
    if len(set(title_of.values()) - {""}) < 2:
        return
    under: dict[str, dict[str, list[int]]] = {}
    called: dict[str, str] = {}
    columns = [_name_at(table) for table in out.tables]
    for at, table in zip(columns, out.tables, strict=True):
        for row in table.rows if at is not None else ():
            name, title = name_key(row.cell(at or 0)), title_of[row.line]
            if name and title:
                called.setdefault(name, row.cell(at or 0))
                under.setdefault(name, {}).setdefault(title, []).append(row.line)
    twice = {name: titled for name, titled in under.items() if len(titled) > 1}
    if not twice:
        return
    several = list(dict.fromkeys(title for titled in twice.values() for title in titled))
    lines = [line for titled in twice.values() for those in titled.values() for line in those]
    question = titles_question([called[name] for name in twice], several, answers)
    out.asked.append(question.model_copy(update={"lines": lines}))
    if question.open:
        out.waits |= dict.fromkeys(lines, question)
    elif question.answer == SEVERAL:
        pairs = zip(out.tables, columns, strict=True)
        out.tables = [_with_titles(table, at, title_of, twice) for table, at in pairs]


def _name_at(table: Table) -> int | None:
    return next((at for at, h in enumerate(table.known) if h is not None and h.field is Field.NAME), None)


def _with_titles(
    table: Table, at: int | None, title_of: Mapping[int, str], names: Mapping[str, object]
) -> Table:
    """Return a table with their titles before those names that stand under several."""
    if at is None:
        return table
    rows = [
        replace(
            row, cells=[*row.cells[:at], f"{title_of[row.line]} {row.cell(at)}".strip(), *row.cells[at + 1 :]]
        )
        if name_key(row.cell(at)) in names
        else row
        for row in table.rows
    ]
    return replace(table, rows=rows)
