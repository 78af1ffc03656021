"""The gel table: seen, added to, changed, switched off, imported, exported, put back."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ...advice.rack import nominal_stops, rack_of
from ...imports import read_gels, write_gels
from ...imports.text import decode
from ...model import Gel, GelTable, Refused
from ...model.problems import within
from ...store import Conflict, StoredTable
from ..forms import Form, make
from ..shown import gel as gel_words
from ..shown import plain
from ..state import state

blueprint = Blueprint("gels", __name__, url_prefix="/gels")


@dataclass(frozen=True)
class Row:
    """A row of the table as the page shows it: with the light that it costs on its reference."""

    gel: Gel
    stops: float


@blueprint.get("")
def show_table() -> ResponseReturnValue:
    """Show the table in force, a family at a time, and its earlier versions."""
    now = state().gels.in_force()
    lost = nominal_stops(rack_of(tuple(now.table.rows)))
    families: dict[str, list[Row]] = {}
    for gel in now.table.rows:
        families.setdefault(gel.family, []).append(Row(gel, lost[gel.name]))
    earlier = [v for v in reversed(state().gels.history()) if v.version < now.version]
    return render_template("gels/table.html", now=now, families=families, earlier=earlier)


@blueprint.route("/new", methods=["GET", "POST"])
def new_gel() -> ResponseReturnValue:
    """Add a row."""
    now = state().gels.in_force()
    if request.method != "POST":
        return render_template("gels/edit.html", form=Form({"on": "yes"}), now=now, name=None)
    return _save(now, None)


@blueprint.route("/edit", methods=["GET", "POST"])
def edit_gel() -> ResponseReturnValue:
    """Change the row that ``?name=`` names."""
    name = request.args.get("name", "")
    now = state().gels.in_force()
    gel = next((g for g in now.table.rows if g.name == name), None)
    if gel is None:
        abort(404)
    if request.method != "POST":
        return render_template("gels/edit.html", form=Form(_fields(gel)), now=now, name=name)
    return _save(now, name)


@blueprint.post("/remove")
def remove_gel() -> ResponseReturnValue:
    """Remove a row; the page offers to undo it."""
    name = request.form.get("name", "")
    return _change(f"{gel_words(name)} removed", lambda gel: None if gel.name == name else gel)


@blueprint.post("/switch")
def switch_gel() -> ResponseReturnValue:
    """Switch a row on or off."""
    name, on = request.form.get("name", ""), request.form.get("on") == "yes"
    why = f"{gel_words(name)} switched {'on' if on else 'off'}"
    return _change(why, lambda gel: gel.model_copy(update={"on": on}) if gel.name == name else gel)


@blueprint.route("/import", methods=["GET", "POST"])
def import_table() -> ResponseReturnValue:
    """Put a CSV in the table's place, whole; where a row is wrong, the table in force stays."""
    if request.method != "POST":
        return render_template("gels/import.html", text="", problems=[])
    text, file = request.form.get("text", ""), request.files.get("file")
    try:
        if file and file.filename:
            text = decode(file.read(), where="the file")
        table = read_gels(text)
        rack_of(tuple(table.rows))
    except Refused as no:
        found = [p.model_copy(update={"where": _counted(p.where)}) for p in no.problems]
        return render_template("gels/import.html", text=text, problems=found), 422
    state().gels.replace(table, f"{len(table.rows)} gels imported")
    return redirect(url_for("gels.show_table"))


@blueprint.get("/gels.csv")
def export_table() -> ResponseReturnValue:
    """Download the table in force."""
    text = write_gels(state().gels.in_force().table)
    filename = "attachment; filename=gels.csv"
    return Response(text, mimetype="text/csv", headers={"Content-Disposition": filename})


@blueprint.post("/back")
def go_back() -> ResponseReturnValue:
    """Put an earlier version back; version 0 is the table as shipped."""
    version = request.form.get("version", type=int)
    if version is None:
        abort(400)
    state().gels.back_to(version)
    return redirect(url_for("gels.show_table"))


def _counted(where: str) -> str:
    """Write a place in a table as a person counts: ``[0]`` is “row 1”."""
    return f"row {int(where[1:-1]) + 1}" if where.startswith("[") else where


def _change(why: str, change: Callable[[Gel], Gel | None]) -> ResponseReturnValue:
    """Make a new version with every row changed, or left out where `change` returns None."""
    while True:
        now = state().gels.in_force()
        rows = [new for gel in now.table.rows if (new := change(gel)) is not None]
        if rows == now.table.rows:  # somebody else did it already
            break
        try:
            state().gels.replace(GelTable(rows=rows), why, now.version)
            break
        except Conflict:  # the table changed between the two lines: change that one instead
            continue
    return redirect(url_for("gels.show_table"))


def _save(now: StoredTable, name: str | None) -> ResponseReturnValue:
    """Put the row of the form in the place of the row `name`, or at the end."""
    form = Form(request.form)
    try:
        gel = make(Gel, _row(form))
        rows = [gel if g.name == name else g for g in now.table.rows] + ([gel] if name is None else [])
        with within("family"):
            table = make(GelTable, {"rows": rows})
        with within("mired"):
            rack_of((gel,))
        seen = request.form.get("version", type=int)
        state().gels.replace(table, f"{gel_words(gel.name)} {'changed' if name else 'added'}", seen)
    except Refused as no:
        return render_template("gels/edit.html", form=form.after(no), now=now, name=name), 422
    except Conflict as other:
        return render_template("gels/edit.html", form=form, now=other.current, name=name, conflict=True), 409
    return redirect(url_for("gels.show_table"))


def _row(form: Form) -> dict[str, Any]:
    """Take a row from its form; an empty number is left to the model."""
    numbers = {k: form.value(k) for k in ("mired", "cc", "stops", "stock") if form.value(k).strip()}
    words = {k: form.value(k) for k in ("family", "fraction", "note")}
    return {**words, **numbers, "on": form.value("on") == "yes"}


def _fields(gel: Gel) -> dict[str, Any]:
    numbers = {k: plain(getattr(gel, k)) for k in ("mired", "cc", "stops", "stock")}
    words = {"family": gel.family, "fraction": gel.fraction, "note": gel.note}
    return {**words, **numbers, "on": "yes" if gel.on else ""}
