"""The gel table as CSV that a person can edit in any spreadsheet.

Header ``family,fraction,mired,cc,stops,stock,note``; ``reference``, ``known`` and ``percent`` where a row
says on what its shift holds, how it is known and how far it may be off; ``spectrum``, a file beside the
table, where a gel's transmittance was measured; and ``on`` where a gel is switched off.
"""

import csv
import io
from collections.abc import Iterator, Mapping
from functools import cache

from ...model import GelTable, Problem, Refused
from ...resources import folder
from ..gel_layouts.columns import take_columns
from ..gel_layouts.layout import GelLayout, find_head
from ..spectra.sample import HELD, NO_NUMBER
from ..text.decode import decode
from ..text.spreadsheet_cells import escape, written
from ..vocabulary.gel_headings import GelColumn
from .curves import Ask, Check, CurvesInDoubt, curve_file
from .draft import HEADER, WHERE, GelDraft, draft_gels, missing_in, refuse_long
from .draft_row import placed
from .transmittance import CurveAs

ALWAYS = tuple(HEADER.split(","))
COLUMNS = (*ALWAYS, "reference", "known", "percent", "spectrum", "on")
_LOOKED_AT = 100
"""Lines that tell whether a text is a gel table."""
_SAYS = ("reference", "known", "percent")
_NOTHING_BESIDE: Mapping[str, bytes | str] = {}
_NOTHING_TAKEN: Mapping[str, CurveAs] = {}


def read_gels(
    data: str | bytes,
    beside: Mapping[str, bytes | str] = _NOTHING_BESIDE,
    check: Check | None = None,
    ask: Ask | None = None,
    take: Mapping[str, CurveAs] = _NOTHING_TAKEN,
) -> GelTable:
    """Read a gel table with nobody to ask: as `draft_gels` understands it, where nothing is left open.

    Raises Refused with every fault of the file, each at its line and column, and with what would have to be
    asked. Raises CurvesInDoubt where nothing is wrong but that nobody said how to take some curves.
    """
    draft = draft_gels(data, beside, check, ask, take)
    own = _is_own(draft)
    problems = [*_wrong_header(draft), *_asked(draft)]
    for row in draft.rows:
        problems += [] if row.doubted and own else row.wrong
        problems += [
            placed(row.line, "spectrum", note, "a number at each wavelength")
            for note in row.notes
            if note.startswith((NO_NUMBER, HELD))
        ]
    if not draft.rows and not problems:
        problems.append(Problem(where=WHERE, says="the table holds no gel", allowed="a row for each gel"))
    if problems:
        raise Refused(problems)
    if draft.curves:
        raise CurvesInDoubt(draft.curves)
    return GelTable(rows=[row.gel for row in draft.rows if row.gel is not None])


@cache
def shipped_gels() -> GelTable:
    """Return the gel table that comes with the advisor; it is read once, and not to be changed."""
    return read_gels((folder("gels") / "generic.csv").read_bytes())


def _is_own(draft: GelDraft) -> bool:
    """Whether a table has the headings that `write_gels` writes, and so says what it is meant to say."""
    return all(c.heading.casefold() in COLUMNS for c in draft.columns if c.column is not GelColumn.UNUSED)


def _wrong_header(draft: GelDraft) -> Iterator[Problem]:
    for lack in missing_in(draft.columns):
        yield placed(draft.layout.head.line, "", f"the column {lack} is missing", f"the header {HEADER}")


def _asked(draft: GelDraft) -> Iterator[Problem]:
    own = _is_own(draft)
    for question in draft.asked:
        if question.key.startswith("column "):
            allowed = "each column once" if "twice" in question.says else ", ".join(COLUMNS)
            yield placed(draft.layout.head.line, question.key.removeprefix("column "), question.says, allowed)
        elif not own:
            yield Problem(where=WHERE, says=question.says, allowed=" or ".join(question.ways.values()))


def is_gel_table(data: str | bytes) -> bool:
    """Whether a text has the headings of a gel table, right or wrong beneath them."""
    try:
        text = decode(data, where=WHERE)
        refuse_long(text)
    except Refused:
        return False
    head, mark = find_head(text.split("\n")[:_LOOKED_AT])
    if head is None:
        return False
    layout = GelLayout(mark, head, [])
    held = {c.column for c in take_columns(layout, {})}
    return GelColumn.NAME in held or held >= {GelColumn.FAMILY, GelColumn.FRACTION}


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
