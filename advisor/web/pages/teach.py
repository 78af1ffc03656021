"""Teach a gel: from a pair of readings, or a measured transmittance, to its row; shown before it is kept."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ...advice.plan import make_plan
from ...advice.rack import nominal_stops, rack_of
from ...advice.teach import Lesson, from_pair, from_transmittance
from ...imports.text import decode
from ...imports.transmittance import read_transmittance
from ...model import Gel, GelTable, Refused, Source, StackAdvice
from ...model.problems import within
from ...store import Conflict, NotFound, StoredTable
from ..forms import Form, fields_of_source, make, reading_from, source_from
from ..shown import gel as gel_words
from ..state import state

blueprint = Blueprint("teach", __name__, url_prefix="/gels")
_MOST_SETS = 10
"""Sets, the latest first, that are looked through for what a new row changes."""


@dataclass(frozen=True)
class Change:
    """A source whose best stack the new row changes."""

    set_name: str
    source: str
    before: StackAdvice
    after: StackAdvice


@blueprint.route("/teach", methods=["GET", "POST"])
def teach_gel() -> ResponseReturnValue:
    """Fit a row. ``?name=`` is the gel; ``?source=`` is a head whose reading is the bare one."""
    now = state().gels.in_force()
    name = request.values.get("name", "")
    gel = next((g for g in now.table.rows if g.name == name), None)
    if gel is None and name:
        abort(404)

    def page(form: Form, **also: object) -> str:
        return render_template("gels/teach.html", form=form, now=now, gel=gel, **also)

    if request.method == "GET" or gel is None:
        return page(Form(_bare_reading()))
    form = Form(request.form)
    try:
        lesson = _lesson(form, gel, now)
        table = _with(now, lesson)
        if "keep" not in request.form:
            lost = [nominal_stops(rack_of((row,)))[row.name] for row in (lesson.old, lesson.new)]
            return page(form, lesson=lesson, lost=lost, changes=_changes(now, table))
        by = "its transmittance" if lesson.new.transmittance else "a pair of readings"
        why = f"{gel_words(gel.name)} taught by {by}"
        state().gels.replace(table, why, request.form.get("version", type=int))
    except Refused as no:
        return page(form.after(no)), 422
    except Conflict as other:
        now = other.current if isinstance(other.current, StoredTable) else now
        return page(form, conflict=True), 409
    return redirect(url_for("gels.show_table"))


def _bare_reading() -> dict[str, object]:
    """Return the fields of the head that ``?source=`` names, if any, and of the gel that it is to teach."""
    fields: dict[str, object] = {"name": request.args.get("name", "")}
    if source_id := request.args.get("source", type=int):
        try:
            stored = state().sets.get_source(source_id)
        except NotFound:
            return fields
        own = fields_of_source(stored.source)
        fields |= {k: own[k] for k in ("kind", "cct", "duv", "lux")} | {"head": stored.source.name}
    return fields


def _lesson(form: Form, gel: Gel, now: StoredTable) -> Lesson:
    """Read the form: a transmittance where one was given, else a pair of readings. Raises Refused."""
    text, file = form.value("transmittance"), request.files.get("file")
    if file and file.filename:
        text = decode(file.read(), where="the file")
        form.values = {**dict(form.values), "transmittance": text}
    if text.strip():
        with within("transmittance"):
            return from_transmittance(gel, read_transmittance(text))
    head = source_from(Form({**dict(form.values), "name": "the head", "note": ""}))
    with within("gelled"):
        gelled = reading_from(Form({k: form.value(f"gelled_{k}") for k in ("cct", "duv", "lux")}))
    return from_pair(gel, head, gelled, now.table.rows)


def _with(now: StoredTable, lesson: Lesson) -> GelTable:
    return make(GelTable, {"rows": [lesson.new if g.name == lesson.old.name else g for g in now.table.rows]})


def _changes(now: StoredTable, table: GelTable) -> Sequence[Change]:
    """Return the sources of the latest sets whose best stack is another with the new table."""
    found = []
    for line in state().sets.list_sets()[:_MOST_SETS]:
        stored = state().sets.get_set(line.id)
        sources: list[Source] = [s.source for s in stored.sources]
        plans = [
            make_plan(sources, stored.target, stored.limits, rows) for rows in (now.table.rows, table.rows)
        ]
        for old, new in zip(plans[0].heads, plans[1].heads, strict=True):
            if old.best and new.best and old.best.gels != new.best.gels:
                found.append(Change(stored.name, old.source.name, old.best, new.best))
    return found
