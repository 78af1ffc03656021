"""The gel table as CSV that a person can edit in any spreadsheet.

Header ``family,fraction,mired,cc,stops,stock,note``; ``reference``, ``known`` and ``percent`` where a row
says on what its shift holds, how it is known and how far it may be off; ``spectrum``, a file beside the
table, where a gel's transmittance was measured; and ``on`` where a gel is switched off.
"""

import csv
import io
from collections.abc import Callable, Iterator, Mapping

from pydantic import ValidationError

from ...model import Gel, GelTable, Problem, Refused, problems_in
from ...model.base import name_key
from ..text.decode import decode, refuse_web_page
from ..text.lines import Record, Separator, records, split
from .cells import PARTS, escape, plain_fraction, switch, unescape, written
from .curves import Ask, Curves, CurvesInDoubt, curve_file
from .transmittance import CurveAs

ALWAYS = ("family", "fraction", "mired", "cc", "stops", "stock", "note")
COLUMNS = (*ALWAYS, "reference", "known", "percent", "spectrum", "on")
_NEEDED = COLUMNS[:2]
_FIGURES = {"mired", "cc", "stops"}
_SAYS = ("reference", "known", "percent")
_MOST_ROWS = 2000
_MOST_COLUMNS = 100
_COMMENT = "#"
_MARKS = (Separator.COMMA, Separator.SEMICOLON, Separator.TAB)
_WHERE = "file"
_NOTHING_BESIDE: Mapping[str, bytes | str] = {}
_NOTHING_TAKEN: Mapping[str, CurveAs] = {}

Check = Callable[[Gel], Gel]


def read_gels(
    data: str | bytes,
    beside: Mapping[str, bytes | str] = _NOTHING_BESIDE,
    check: Check | None = None,
    ask: Ask | None = None,
    take: Mapping[str, CurveAs] = _NOTHING_TAKEN,
) -> GelTable:
    """Read a gel table: cells parted by commas, semicolons or tabs, numbers with decimal point or comma.

    The columns may stand in any order; family and fraction must be there. Lines that begin with # are
    comments. `beside` holds the files that the column spectrum may name: transmittances as
    `read_curve` takes them. `check` is asked for every row what to take for it, and raises
    Refused, with a column as its place, where nothing can do what the row says; a row with a spectrum may
    leave its figures to it. `ask` says which curves must not be taken before somebody says how, `take` how,
    by the gels' names. Raises Refused with every fault of the file, each at its line and column; and where
    nothing is wrong but what nobody said, CurvesInDoubt.
    """
    text = decode(data, where=_WHERE)
    lines = text.split("\n")
    head, mark = _header(lines)
    if len(head.cells) > _MOST_COLUMNS:
        says = f"the header on line {head.line} has {len(head.cells)} columns"
        raise Refused.one(_WHERE, says, f"the header {','.join(ALWAYS)}")
    columns = [c.casefold() for c in head.cells]
    problems = _wrong_header(columns, head)
    if problems:
        refuse_web_page(text, where=_WHERE)
    curves = Curves(beside, ask, take)
    rows: list[Gel] = []
    stands: dict[str, int] = {}
    count = 0
    for record in records(lines, mark, start=head.line - 1 + head.text.count("\n") + 1, comment=_COMMENT):
        count += 1
        if count > _MOST_ROWS:
            raise Refused.one(_WHERE, f"the table has more than {_MOST_ROWS} rows", f"at most {_MOST_ROWS}")
        gel = _gel(record, columns, curves, check, problems)
        if gel is None:
            continue
        first = stands.setdefault(name_key(gel.name), record.line)
        if first != record.line:
            says = f"{gel.name} stands on line {first} and again on line {record.line}"
            problems.append(_problem(record, "", says, "each family and fraction once"))
        rows.append(gel)
    if not count and not problems:
        problems.append(Problem(where=_WHERE, says="the table holds no gel", allowed="a row for each gel"))
    if problems:
        raise Refused(problems)
    if curves.doubtful:
        raise CurvesInDoubt(curves.doubtful)
    return GelTable(rows=rows)


def is_gel_table(data: str | bytes) -> bool:
    """Whether a text has the header of a gel table, right or wrong beneath it."""
    try:
        head, _ = _header(decode(data, where=_WHERE).split("\n"))
    except Refused:
        return False
    return {c.casefold() for c in head.cells} >= set(_NEEDED)


def _header(lines: list[str]) -> tuple[Record, Separator]:
    """Find the first line that is no comment, and the separator that makes the most of it."""
    for at, line in enumerate(lines):
        if line.strip(" \t,;") and not line.lstrip(' "').startswith(_COMMENT):
            found = [(_cells(line, mark), mark) for mark in _MARKS]
            cells, mark = max(found, key=lambda f: (sum(c.casefold() in COLUMNS for c in f[0]), len(f[0])))
            while cells and not cells[-1]:
                cells.pop()  # spreadsheets write empty columns at the end
            return Record(at + 1, line, cells), mark
    raise Refused.one(_WHERE, "the file holds only comments", f"the header {','.join(ALWAYS)}, then rows")


def _cells(line: str, mark: Separator) -> list[str]:
    try:
        return split(line, mark)
    except ValueError:
        return line.split(mark)


def _wrong_header(columns: list[str], head: Record) -> list[Problem]:
    allowed = ", ".join(COLUMNS)
    problems = []
    for i, column in enumerate(columns):
        shown = repr(head.cells[i][:40])
        if column not in COLUMNS:
            problems.append(_problem(head, f"{i + 1}", f"column {shown} is not known", allowed))
        elif column in columns[:i]:
            says = f"column {shown} stands there twice, as {columns.index(column) + 1} and {i + 1}"
            problems.append(_problem(head, f"{i + 1}", says, "each column once"))
    problems += [
        _problem(head, "", f"the column {column} is missing", f"the header {','.join(ALWAYS)}")
        for column in _NEEDED
        if column not in columns
    ]
    return problems


def _problem(record: Record, column: str, says: str, allowed: str) -> Problem:
    where = f"line {record.line}" + (f", column {column}" if column else "")
    return Problem(where=where, says=says, allowed=allowed)


def _gel(
    record: Record, columns: list[str], curves: Curves, check: Check | None, problems: list[Problem]
) -> Gel | None:
    """Make a gel from a row, or add all that is wrong with it to the problems."""
    if record.broken:
        says = "a quotation mark is opened and not closed, or closed within a cell"
        problems.append(_problem(record, "", says, 'quotation marks around a whole cell; "" for one inside'))
        return None
    if any(record.cells[len(columns) :]):
        says = f"the row has {len(record.cells)} cells and the header {len(columns)}"
        allowed = "as many; a cell that holds the separator (a decimal comma, say) goes in quotation marks"
        problems.append(_problem(record, "", says, allowed))
        return None
    cells = dict(reversed([(c, v) for c, v in zip(columns, record.cells, strict=False) if c in COLUMNS]))
    values: dict[str, object] = {c: unescape(v) if c in PARTS else v for c, v in cells.items() if v}
    wrong: list[Problem] = []
    spectrum = str(values.pop("spectrum", ""))
    if "fraction" in values:
        values["fraction"] = plain_fraction(str(values["fraction"]))
    if spectrum:
        try:
            values["transmittance"] = curves.read(spectrum).first
        except Refused as no:
            wrong += [_problem(record, "spectrum", p.says, p.allowed) for p in no.problems]
            values["stops"] = values.get("stops", 0.0)  # the curve is at fault, not figures left to it
        else:
            if check and not values.keys() & _FIGURES:
                values["stops"] = 0.0
    if "known" in values:
        values["known"] = str(values["known"]).casefold()
    if "on" in values:
        values["on"] = switch(str(values["on"]))
        if values["on"] is None:
            says = f"on {cells['on'][:20]!r} is neither yes nor no"
            wrong.append(_problem(record, "on", says, "yes or no; empty is yes"))
            del values["on"]
    gel = None
    try:
        gel = Gel.model_validate(values)
        if spectrum and not wrong:
            gel = curves.settle(gel, spectrum, f"line {record.line}, column spectrum")
        gel = check(gel) if check else gel
    except ValidationError as error:
        wrong += _placed(error, record, columns)
    except Refused as no:
        wrong += [_problem(record, p.where, p.says, p.allowed) for p in no.problems]
    problems += wrong
    return None if wrong else gel


def _placed(error: ValidationError, record: Record, columns: list[str]) -> Iterator[Problem]:
    """Put the model's problems at their line and column; a column that is missing was told once already."""
    for found in problems_in(error):
        if found.where not in _NEEDED or found.where in columns:
            empty = found.where in _NEEDED and found.says.endswith("is missing")
            says = f"{found.where} is empty" if empty else found.says
            yield _problem(record, found.where, says, found.allowed)


def write_gels(table: GelTable) -> str:
    """Write the table as CSV: commas, decimal points, lines ending in CR LF (RFC 4180), no comments.

    Text that a spreadsheet would run as a formula gets an apostrophe before it, which `read_gels` takes
    off again. The further columns are written only if some gel needs them; `spectrum` names the file that
    `write_curves` makes of a transmittance.
    """
    used = {
        "on": any(not gel.on for gel in table.rows),
        "spectrum": any(gel.transmittance is not None for gel in table.rows),
        **{c: any(getattr(gel, c) is not None for gel in table.rows) for c in _SAYS},
    }
    columns = [c for c in COLUMNS if used.get(c, True)]
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    for gel in table.rows:
        row = {
            "family": escape(gel.family),
            "fraction": escape(gel.fraction),
            "mired": written(gel.mired),
            "cc": written(gel.cc),
            "stops": written(gel.stops),
            "stock": written(gel.stock),
            "note": escape(gel.note),
            "reference": written(gel.reference),
            "known": gel.known or "",
            "percent": written(gel.percent),
            "spectrum": "" if gel.transmittance is None else curve_file(gel),
            "on": "yes" if gel.on else "no",
        }
        writer.writerow([row[c] for c in columns])
    return out.getvalue()
