"""Paste or upload readings: what was understood is shown, row by row, before anything is saved."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ...advice.measure import Whiteness, measure
from ...imports import TEMPLATE, PastedRow, read_readings
from ...imports.text import decode
from ...model import Problem, Refused, Source
from ..forms import make
from ..state import state

blueprint = Blueprint("paste", __name__)


@dataclass(frozen=True)
class Row:
    """A pasted row as the page shows it; without a `white` it cannot be used, and `problems` says why."""

    pasted: PastedRow
    source: Source | None
    white: Whiteness | None
    problems: Sequence[Problem]
    use: bool = True

    @property
    def usable(self) -> bool:
        """Whether there is a source that could be saved."""
        return self.white is not None


@blueprint.route("/sets/<int:set_id>/paste", methods=["GET", "POST"])
def paste_readings(set_id: int) -> ResponseReturnValue:
    """Read a text and show what was understood; with ``save``, add the rows that are ticked."""
    owner = state().sets.get_set(set_id)

    def page(text: str, **also: object) -> str:
        return render_template("paste.html", owner=owner, text=text, **also)

    if request.method == "GET":
        return page("")
    text = request.form.get("text", "")
    saving = "save" in request.form
    try:
        text = _uploaded() or text
        found = read_readings(text)
        rows = [_row(pasted, saving) for pasted in found.rows]
        if not saving:
            return page(text, found=found, rows=rows)
        chosen = [row.source for row in rows if row.usable and row.use and row.source is not None]
        if not chosen:
            nothing = Problem(where="", says="No row is ticked", allowed="one row or more")
            return page(text, found=found, rows=rows, problems=[nothing]), 422
    except Refused as no:
        return page(text, problems=no.problems), 422
    try:
        state().sets.add_sources(set_id, chosen)
    except Refused as no:
        return page(text, found=found, rows=rows, problems=no.problems), 422
    left = [row for row in rows if not row.usable]
    if not left:
        return redirect(url_for("sets.show_set", set_id=set_id, added=len(chosen)))
    # What was not understood stays on the page, under its headings, to be mended and read again.
    rest = _without(text, [row.pasted for row in rows if row.usable])
    return page(rest, found=found, rows=left, saved=len(chosen))


@blueprint.get("/readings-template.csv")
def template() -> ResponseReturnValue:
    """Download our own layout, to fill in and paste back."""
    filename = "attachment; filename=readings-template.csv"
    return Response(TEMPLATE, mimetype="text/csv", headers={"Content-Disposition": filename})


def _uploaded() -> str:
    """Return the text of an uploaded file; empty where there is none. Raises Refused."""
    file = request.files.get("file")
    return decode(file.read(), where="the file") if file and file.filename else ""


def _row(pasted: PastedRow, saving: bool) -> Row:
    """Check a row further than its numbers, and apply what was changed on the page."""
    if pasted.source is None:
        return Row(pasted, None, None, pasted.problems)
    changed = {
        k: request.form[f"{k}-{pasted.line}"]
        for k in ("name", "kind")
        if f"{k}-{pasted.line}" in request.form
    }
    use = not saving or f"use-{pasted.line}" in request.form
    try:
        source = make(Source, {**dict(pasted.source), **changed}) if changed else pasted.source
        return Row(pasted, source, measure(source.reading), pasted.problems, use)
    except Refused as no:
        return Row(pasted, None, None, [*pasted.problems, *no.problems])


def _without(text: str, rows: Sequence[PastedRow]) -> str:
    """Return the text without the lines of some rows."""
    gone = {row.line + k for row in rows for k in range(len(row.text.splitlines()) or 1)}
    return "\n".join(line for number, line in enumerate(text.splitlines(), 1) if number not in gone)
