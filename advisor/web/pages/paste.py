"""Paste or upload readings: what was understood is shown, row by row, before anything is saved."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ...advice.measure import Whiteness, measure
from ...imports import TEMPLATE, PastedRow, read_anything
from ...imports.text import characters, decode
from ...model import Problem, Refused, Source
from ...store.names import free_name, name_key, refuse_taken
from ..forms import make
from ..state import state

blueprint = Blueprint("paste", __name__)


@dataclass(frozen=True)
class Row:
    """A pasted row as the page shows it.

    With a `white` its numbers were understood, and `name` and `kind` stand in fields; `source` is then
    what would be saved, or None where the name cannot be. `problems` says what is wrong, or remarks.
    `shown` is whether the person has had the row before the eyes, as it now stands.
    """

    pasted: PastedRow
    white: Whiteness | None = None
    name: str = ""
    kind: str = ""
    source: Source | None = None
    problems: Sequence[Problem] = ()
    use: bool = False
    shown: bool = False


@blueprint.route("/sets/<int:set_id>/paste", methods=["GET", "POST"])
def paste_readings(set_id: int) -> ResponseReturnValue:
    """Read a text and show what was understood; with ``save``, add the rows that are ticked."""
    owner = state().sets.get_set(set_id)

    def page(text: str, **also: object) -> str:
        return render_template("paste.html", owner=owner, text=text, **also)

    if request.method != "POST":
        return page("")
    text = request.form.get("text", "")
    try:
        text = _uploaded() or text
        found = read_anything(text)
    except Refused as no:
        return page(text, problems=no.problems), 422
    taken = {name_key(stored.source.name) for stored in owner.sources}
    rows = [_row(pasted, taken) for pasted in found.rows]
    if "save" not in request.form:
        return page(text, found=found, rows=rows)
    try:
        chosen = _chosen(rows)
        state().sets.add_sources(set_id, chosen)
    except Refused as no:
        return page(text, found=found, rows=rows, problems=no.problems), 422
    left = [row for row in rows if row.white is None]
    if not left:
        return redirect(url_for("sets.show_set", set_id=set_id, added=len(chosen)))
    # What was not understood stays on the page, under its headings, to be mended and read again.
    rest = _without(text, [row.pasted for row in rows if row.white is not None])
    return page(rest, found=found, rows=left, saved=len(chosen))


@blueprint.get("/readings-template.csv")
def template() -> ResponseReturnValue:
    """Download our own layout, to fill in and paste back."""
    filename = "attachment; filename=readings-template.csv"
    return Response(TEMPLATE, mimetype="text/csv", headers={"Content-Disposition": filename})


def _uploaded() -> str:
    """Return the text of an uploaded file; empty where there is none. Raises Refused."""
    file = request.files.get("file")
    if not file or not file.filename:
        return ""
    text = characters(file.read(), where="the file")
    # Of XML only the open format of spectra is read; `decode` says so of any other.
    return text if "IESTM2714" in text[:2000] else decode(text, where="the file")


def _row(pasted: PastedRow, taken: set[str]) -> Row:
    """Check a row further than its numbers, and apply what was changed on the page.

    `taken` are the keys of the names that are in use; the row's own joins them.
    """
    if pasted.source is None:
        return Row(pasted, problems=pasted.problems)
    try:
        white = measure(pasted.source.reading)
    except Refused as no:
        return Row(pasted, problems=[*pasted.problems, *no.problems])
    field, n = request.form.get, pasted.line
    # Only to the row that they stood beside: the text may have been changed since.
    shown = _lines(field(f"row-{n}", "")) == _lines(pasted.text)
    use = not shown or f"use-{n}" in request.form
    name, kind, problems = pasted.source.name, pasted.source.kind.value, list(pasted.problems)
    if shown:
        name, kind = field(f"name-{n}", name), field(f"kind-{n}", kind)
    elif (name := free_name(name, taken)) != pasted.source.name:
        says = f"there is a source called {pasted.source.name!r} in this set already, so this is {name!r}"
        problems.append(Problem(where="name", says=says, allowed="another name"))
    source = None
    try:
        source = make(Source, {**dict(pasted.source), "name": name, "kind": kind})
        if use:
            refuse_taken([("name", source)], taken)
            taken.add(name_key(source.name))
    except Refused as no:
        source, problems = None, no.problems
    return Row(pasted, white, name, kind, source, problems, use, shown)


def _chosen(rows: Sequence[Row]) -> list[Source]:
    """Return the sources of the rows that are ticked. Raises Refused where they cannot be saved yet."""
    used = [row for row in rows if row.use]
    if any(not row.shown for row in used):
        says = "The text was changed since it was read, so nothing is saved yet"
        raise Refused.one("", says, "look at the rows as they are now, then save")
    if not used:
        raise Refused.one("", "No row is ticked", "one row or more")
    chosen = [row.source for row in used if row.source is not None]
    if len(chosen) < len(used):
        raise Refused.one("", "Nothing is saved yet", "mend the rows that say what is wrong, or untick them")
    return chosen


def _lines(text: str) -> list[str]:
    """Return the lines of a text that went through a form, which changes how they end."""
    return text.splitlines()


def _without(text: str, rows: Sequence[PastedRow]) -> str:
    """Return the text without the lines of some rows."""
    gone = {row.line + k for row in rows for k in range(len(row.text.splitlines()) or 1)}
    return "\n".join(line for number, line in enumerate(text.splitlines(), 1) if number not in gone)
