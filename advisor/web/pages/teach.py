"""Teach a gel: from a pair of readings, or a measured transmittance, to its row; shown before it is kept."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ...advice.measure import measure
from ...advice.plan import make_plan
from ...advice.rack import nominal_stops, rack_of
from ...advice.teach import Lesson, from_pair, from_transmittance
from ...imports.text import characters
from ...imports.transmittance import read_transmittance
from ...model import Gel, GelTable, Reading, Refused, Source, StackAdvice
from ...model.problems import within
from ...store import Conflict, NotFound, StoredTable
from ..forms import Form, make
from ..repeat import asked_version
from ..shown import gel as gel_words
from ..shown import plain
from ..source_form import fields_of_source, light_field, reading_from, source_from
from ..state import state
from ..uploads import uploaded_file

blueprint = Blueprint("teach", __name__, url_prefix="/gels")
_MOST_SETS = 10
"""Sets, the latest first, that are looked through for what a new row changes."""
_MOST_SHOWN = 100_000
"""The longest text that goes back into the form: more would make a page too heavy for a phone. [sign]"""


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
    if request.method != "POST":
        if name and now.table.find(name) is None:
            abort(404)
        return _page(now, _first_form())
    form = Form(request.form)
    try:
        if (gel := now.table.find(name)) is None:
            raise Refused.one(
                "name", f"no gel is called {name[:60]!r} now", "a gel of the table: choose again"
            )
        form = _with_file(form)
        lesson = _lesson(form, gel, now)
        table = _with(now, lesson)
        # What is kept is what was looked at: the fields may have been changed since.
        if form.value("keep") != _fingerprint(lesson):
            return _page(now, form, **_shown(now, table, lesson), again="keep" in request.form)
        by = "its transmittance" if lesson.new.transmittance else "a pair of readings"
        why = f"{gel_words(gel.name)} fitted to {by}"
        state().gels.replace(table, why, asked_version())
    except Refused as no:
        return _page(now, form.after(no)), 422
    except Conflict as other:
        assert isinstance(other.current, StoredTable), "a table's conflict is with a table"
        return _page(other.current, form, conflict=True), 409
    return redirect(url_for("gels.show_table"))


def _page(now: StoredTable, form: Form, **also: object) -> str:
    gel = now.table.find(form.value("name"))
    return render_template("gels/teach.html", form=form, now=now, gel=gel, **also)


def _first_form() -> Form:
    """Return the form with the gel that ``?name=`` names, and the head that ``?source=`` names, if any."""
    fields: dict[str, object] = {"name": request.args.get("name", "")}
    if (head := _stored(request.args.get("source", ""))) is not None:
        fields |= _bare_fields(head) | {"head": head.name, "source": request.args["source"]}
        if (found := _behind_one(head, request.args.get("name", ""))) is not None:
            name, read = found
            fields |= {"name": name, "gelled_lux": light_field(read.lux)}
            fields |= {"gelled_cct": plain(read.cct), "gelled_duv": plain(read.duv)}
    return Form(fields)


def _behind_one(head: Source, name: str) -> tuple[str, Reading] | None:
    """Return the newest reading behind one sheet beside what is kept, and the sheet; `name` asks for one.

    What was read behind more of them says nothing of any single one.
    """
    for reading in reversed(head.readings):
        added = [gel for gel in reading.gels if gel not in head.keep]
        if len(added) == 1 and name in ("", added[0]):
            return added[0], reading
    return None


def _stored(source_id: str) -> Source | None:
    if not (source_id.isascii() and source_id.isdecimal() and len(source_id) < 16):
        return None
    try:
        return state().sets.get_source(int(source_id)).source
    except NotFound:
        return None


def _bare_fields(head: Source) -> dict[str, str]:
    """Return the fields of a head's bare reading; of a spectrum or x, y, the white that it has, if any."""
    own = fields_of_source(head)
    fields = {k: str(own[k]) for k in ("kind", "cct", "duv", "lux")}
    if not fields["cct"]:
        try:
            white = measure(head.reading)
        except Refused:
            return fields
        fields |= {"cct": plain(round(white.cct)), "duv": plain(round(white.duv, 4))}
    return fields


def _with_file(form: Form) -> Form:
    """Return the form with an uploaded transmittance as if it had been pasted. Raises Refused."""
    data = uploaded_file()
    if data is None:
        return form
    with within("transmittance"):
        text = characters(data, where="the file")
        if len(text) > _MOST_SHOWN:
            raise Refused.one("", f"the file has {len(text)} characters", f"at most {_MOST_SHOWN}: one curve")
    return Form({k: form.value(k) for k in form.values} | {"transmittance": text})


def _lesson(form: Form, gel: Gel, now: StoredTable) -> Lesson:
    """Read the form: a transmittance where one was given, else a pair of readings. Raises Refused."""
    if form.value("transmittance").strip():
        with within("transmittance"):
            return from_transmittance(gel, read_transmittance(form.value("transmittance")))
    gelled = Form({k: form.value(f"gelled_{k}") for k in ("cct", "duv", "lux")})
    return from_pair(gel, _head(form), _read(gelled), now.table.rows)


def _read(gelled: Form) -> Reading:
    with within("gelled"):
        return reading_from(gelled)


def _head(form: Form) -> Source:
    """Return the bare head. A stored one whose figures were left alone keeps all that its reading has."""
    head = _stored(form.value("source"))
    if head is not None:
        shown = _bare_fields(head)
        if all(form.value(k).strip() == shown[k] for k in ("cct", "duv", "lux")):
            return make(Source, {**dict(head), "kind": form.value("kind")})
    return source_from(Form({k: form.value(k) for k in ("kind", "cct", "duv", "lux")} | {"name": "the head"}))


def _with(now: StoredTable, lesson: Lesson) -> GelTable:
    return make(GelTable, {"rows": [lesson.new if g.name == lesson.old.name else g for g in now.table.rows]})


def _fingerprint(lesson: Lesson) -> str:
    """Return what tells one taught row from another."""
    new = lesson.new
    return f"{new.name} {new.mired} {new.cc} {new.stops} {'measured' if new.transmittance else ''}".strip()


def _shown(now: StoredTable, table: GelTable, lesson: Lesson) -> dict[str, object]:
    """Return what the page shows of a lesson before it is kept."""
    lost = [nominal_stops(rack_of((row,)))[row.name] for row in (lesson.old, lesson.new)]
    keep = _fingerprint(lesson)
    return {"lesson": lesson, "lost": lost, "changes": _changes(now, table), "keep": keep}


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
