"""A gel table as it was understood, before any of it is saved: columns, rows, and what has to be asked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from ...model import Gel, GelTable, Refused
from ...model.sets.phrases import counted
from ..gel_layouts.accounted import unaccounted
from ..gel_layouts.columns import TakenColumn, decimal_mark, take_columns
from ..gel_layouts.curves.beside import curves_beside
from ..gel_layouts.curves.curve import CurveBeside
from ..gel_layouts.find import find_table
from ..gel_layouts.layout import GelLayout
from ..gel_layouts.questions import Answers, GelQuestion, questions_about
from ..text.bounds import refuse_cells
from ..text.decode import refuse_web_page
from ..text.lines import Record, Separator
from ..vocabulary.gel_headings import EFFECTS, GelColumn
from ..vocabulary.gel_names import GelName
from .curves import Ask, Check, Curves, DoubtfulCurve
from .draft_row import DraftRow
from .lines import as_numbered, lines_of_gels
from .naming import key_of, name_of
from .rows import RowReader
from .transmittance import CurveAs

MOST_ROWS = 500
MOST_COLUMNS = 100
MOST_CURVES = 100
MOST_LINES = 12_000
MOST_CELLS = 50_000
WHERE = "file"
HEADER = "family,fraction,mired,cc,stops,stock,note"
_NO_CURVES: Mapping[str, bytes | str] = {}
_NOTHING: Mapping[str, str] = {}
_NO_WAYS: Mapping[str, CurveAs] = {}


@dataclass(frozen=True)
class GelDraft:
    """What was understood of a gel table.

    `layout` says on which lines the table is and which rows were left out. `questions` are about the whole
    table, `curves` about single curves.
    """

    layout: GelLayout
    columns: list[TakenColumn]
    rows: list[DraftRow]
    questions: list[GelQuestion] = field(default_factory=list)
    curves: list[DoubtfulCurve] = field(default_factory=list)
    answers: Answers = field(default_factory=lambda: Answers({}))

    @property
    def gels(self) -> list[Gel]:
        """The gels of the rows that have no fault."""
        return [row.gel for row in self.rows if row.gel is not None and not row.wrong]

    @property
    def asked(self) -> list[GelQuestion]:
        """The questions that nobody answered yet."""
        return [q for q in self.questions if q.key not in self.answers.said]

    @property
    def to_mend(self) -> list[DraftRow]:
        """The rows that have a fault."""
        return [row for row in self.rows if row.wrong]


def draft_gels(
    data: str | bytes,
    beside: Mapping[str, bytes | str] = _NO_CURVES,
    check: Check | None = None,
    ask: Ask | None = None,
    take: Mapping[str, CurveAs] = _NO_WAYS,
    said: Mapping[str, str] = _NOTHING,
    mended: Mapping[tuple[int, int], str] | None = None,
    base: GelTable | None = None,
) -> GelDraft:
    """Read a gel table of any layout: with any separator, any headings, and columns in any order.

    - `beside` holds the files of transmittances that cells may name, as `read_curve` reads them.
    - `check` returns for each gel what to take, or why to refuse it.
    - `ask` returns the question about a curve that cannot be taken as it is; `take` holds the answers, by the
      gels' names.
    - `said` holds the answers to questions about the table, by their keys. Without an answer, the likeliest
      is tried.
    - `mended` holds cells that somebody typed anew, by row (from 1) and column (from 0). A cell that was
      typed as it already was is no longer doubted.
    - `base` is a table in which a row without figures finds those of the gel of its name.

    Raises Refused if the text holds no table, or a larger one than is allowed.
    """
    text, numbers, lost = lines_of_gels(data, WHERE)
    refuse_long(text)
    rest, curves_in_it = curves_beside(text)
    layout = _with_curves(find_table(rest) if rest.strip() else None, curves_in_it)
    if layout is None:
        refuse_web_page(text, where=WHERE)
        raise _no_table(text)
    if len(curves_in_it) > MOST_CURVES:
        raise Refused.one(
            WHERE, f"the text has {len(curves_in_it)} curves", f"at most {MOST_CURVES} in a text"
        )
    left = [*layout.left, *unaccounted(text.split("\n"), layout, _taken(text, rest)), *lost]
    layout = replace(layout, left=left)
    layout = as_numbered(layout, numbers) if numbers else layout
    _refuse_large(layout)
    mended = mended or {}
    confirmed = frozenset(at for at, cell in mended.items() if cell == _cell(layout, at))
    layout = replace(layout, rows=[_mended(n, row, mended) for n, row in enumerate(layout.rows, 1)])
    answers = Answers(said)
    columns = take_columns(layout, _chosen(answers, len(layout.head.cells)))
    mark = decimal_mark(columns, layout)
    questions = questions_about(columns, layout, mark)
    tried = Answers({q.key: q.likeliest for q in questions} | dict(said))
    curves = Curves(beside, ask, take)
    for curve in curves_in_it:
        curves.add(curve.key, curve.text)
    reader = RowReader(columns, mark, curves, check, tried, confirmed, base, _by_name(curves_in_it))
    rows = reader.read(layout.rows)
    if reader.from_base:
        questions.append(_figures_of_base(reader.from_base))
    if reader.doubts.twice:
        questions.append(_two_sizes(reader.doubts.twice))
    layout = replace(layout, left=sorted([*layout.left, *reader.left]))
    return GelDraft(layout, columns, rows, questions, curves.doubtful, answers)


def _taken(text: str, rest: str) -> set[int]:
    """Return the lines of a text that curves were taken from."""
    pairs = enumerate(zip(text.split("\n"), rest.split("\n"), strict=True), 1)
    return {at for at, (before, after) in pairs if before != after}


def _with_curves(layout: GelLayout | None, curves: Sequence[CurveBeside]) -> GelLayout | None:
    """Add a row for each curve whose gel the table does not list."""
    if not curves:
        return layout
    if layout is None:
        layout = GelLayout(Separator.TAB, Record(curves[0].line, "", ["gel"]), [])
    columns = take_columns(layout, {})
    told = {key for row in layout.rows if (key := name_of(row.cells, columns))}
    rows = list(layout.rows)
    for curve in curves:
        name = curve.name or GelName("" if curve.unnamed else curve.heading, "")
        if key_of(name) not in told:
            parts = {GelColumn.NAME: f"{name.family} {name.fraction}".strip(), GelColumn.FAMILY: name.family}
            parts |= {GelColumn.FRACTION: name.fraction}
            cells = [parts.get(c.column, "") for c in columns]
            rows.append(Record(curve.line, curve.heading, [*cells, curve.key]))
    head = (
        replace(layout.head, cells=[*layout.head.cells, "spectrum"])
        if len(rows) > len(layout.rows)
        else layout.head
    )
    return replace(layout, head=head, rows=rows)


def _by_name(curves: Sequence[CurveBeside]) -> dict[str, str]:
    return {key_of(name): curve.key for curve in curves if (name := curve.name) is not None}


def _figures_of_base(gels: Sequence[tuple[str, str]]) -> GelQuestion:
    names, lacks = [name for name, _ in gels], {lacking for _, lacking in gels}
    without = {"mired": "mired", "cc": "CC"}.get(lacks.pop() if len(lacks) == 1 else "", "mired, CC or stops")
    says = f"{counted(len(names), 'gel')} without {without}: {', '.join(names[:3])}"
    ways = {"base": "as in the table in force, else as the trade reckons", "leave": "leave them out"}
    return GelQuestion("figures", says + (", …" if len(names) > 3 else ""), ways)


def _two_sizes(names: Sequence[str]) -> GelQuestion:
    says = f"{names[0]} says the same, in two sizes or at two places"
    ways = {"add": "add their sheets", "first": "take the first row", "last": "take the last row"}
    return GelQuestion("twice", says + (f", and so do {len(names) - 1} more" if names[1:] else ""), ways)


def refuse_long(text: str) -> None:
    """Raise Refused for a text of more lines or cells than are read."""
    lines = text.count("\n") + 1
    if lines > MOST_LINES:
        raise Refused.one(WHERE, f"the text has {lines} lines", f"at most {MOST_LINES}. Give it in parts")
    refuse_cells(text, WHERE, MOST_CELLS)


def _refuse_large(layout: GelLayout) -> None:
    width = len(layout.head.cells)
    if width > MOST_COLUMNS and not any(is_wavelength(h) for h in layout.head.cells):
        says = f"the header on line {layout.head.line} has {width} columns"
        raise Refused.one(WHERE, says, f"at most {MOST_COLUMNS}, such as {HEADER}")
    if len(layout.rows) > MOST_ROWS:
        raise Refused.one(WHERE, f"the table has more than {MOST_ROWS} rows", f"at most {MOST_ROWS}")


def is_wavelength(heading: str) -> bool:
    """Whether a heading is a wavelength, such as “380 nm”."""
    return heading.strip().casefold().endswith("nm")


def _no_table(text: str) -> Refused:
    said = [
        line for line in text.split("\n") if line.strip(" \t,;") and not line.lstrip(' "').startswith("#")
    ]
    if not said:
        return Refused.one(WHERE, "the file holds only comments", f"the header {HEADER}, then rows")
    says = f"no table of gels is in the text, which begins with {said[0].strip()[:40]!r}"
    return Refused.one(WHERE, says, f"a row of headings such as {HEADER}, then a row for each gel")


def _chosen(answers: Answers, width: int) -> dict[int, GelColumn]:
    said = ((at, answers.column(at)) for at in range(width))
    return {at: column for at, column in said if column is not None}


def _cell(layout: GelLayout, at: tuple[int, int]) -> str | None:
    row = layout.rows[at[0] - 1] if 0 < at[0] <= len(layout.rows) else None
    return row.cells[at[1]] if row is not None and at[1] < len(row.cells) else None


def _mended(number: int, row: Record, mended: Mapping[tuple[int, int], str]) -> Record:
    own = {column: text for (at, column), text in mended.items() if at == number}
    if not own:
        return row
    cells = [own.get(i, c) for i, c in enumerate(row.cells)]
    cells += [own.get(i, "") for i in range(len(cells), max(own) + 1)]
    return replace(row, cells=cells, broken=False)


def missing_in(columns: list[TakenColumn]) -> list[str]:
    """Return which columns a table lacks to describe a gel: its name, and what it does."""
    held = {c.column for c in columns}
    lacks = []
    if GelColumn.NAME not in held:
        lacks += [c.value for c in (GelColumn.FAMILY, GelColumn.FRACTION) if c not in held]
    named = GelColumn.SPECTRUM in held or any(c.wave is not None for c in columns)
    if not lacks and not named and not held & set(EFFECTS):
        lacks.append("what the gels do: mired, cc or stops")
    return lacks
