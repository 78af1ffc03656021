"""Teach a gel: from a pair of readings, or a measured transmittance, to its row; shown before it is kept."""

from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.plan.make import make_plan
from ....advice.readings.chromaticity import measure
from ....advice.teaching.possible_rows import is_taught
from ....advice.teaching.teach import Lesson, Question, ReadingPair, from_pairs, from_transmittance
from ....imports.gels.transmittance import CurveAs, read_curve
from ....imports.text.decode import characters
from ....model import ON_SET, Accuracy, Gel, GelTable, Reading, Refused, Source
from ....model.basis.problems import within
from ....store import Conflict, NotFound, StoredTable
from ...forms.files import uploaded_file
from ...forms.form import Form, make
from ...forms.source_form import fields_of_source, light_field, reading_from, source_from
from ...gels.curves import ask_about, choices, chosen
from ...gels.pairs import keep_typed, key_of, known_pairs
from ...gels.versions import table_at
from ...live.idempotency import asked_version
from ...state import state
from ...views.gels.curves import ways_to_take
from ...views.gels.teach import ChangedBest, Shown, view_of
from ...wording.lessons import asked, holds, kept_as, sure
from ...wording.values import gel as gel_words
from ...wording.values import plain

blueprint = Blueprint("teach", __name__, url_prefix="/gels")
_READ = ("cct", "duv", "lux")
_MOST_SETS = 10
"""Sets, the latest first, that are looked through for what a new row changes."""
_MOST_SHOWN = 100_000
"""The longest text that goes back into the form: more would make a page too heavy for a phone. [sign]"""


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
        taught = _taught(form, gel, now)
        lesson = taught.lesson
        table = _with(now, lesson)
        # What is kept is what was looked at: the fields may have been changed since.
        if taught.asked or lesson.question or form.value("keep") != _fingerprint(lesson):
            return _page(now, form, _shown(now, table, taught), again="keep" in request.form)
        by = kept_as(len(taught.pairs), measured=lesson.new.transmittance is not None)
        seen = asked_version()
        if seen is not None and table_at(seen).table.find(name) == gel:
            seen = now.version  # what others changed in other rows is in nobody's way
        state().gels.replace(table, f"{gel_words(gel.name)} fitted to {by}", seen)
        if taught.typed is not None:
            keep_typed(gel.name, taught.typed)
    except Refused as no:
        return _page(now, form.after(no)), 422
    except Conflict as other:
        assert isinstance(other.current, StoredTable), "a table's conflict is with a table"
        return _page(other.current, form, conflict=True), 409
    return redirect(url_for("gels.show_table"))


def _page(
    now: StoredTable,
    form: Form,
    shown: Shown | None = None,
    *,
    again: bool = False,
    conflict: bool = False,
) -> str:
    """Return the page; `again` says that the fields were changed since the row was `shown`."""
    gel = now.table.find(form.value("name"))
    known = known_pairs(gel.name) if gel else []
    ticked = _ticked(form, [k.key for k in known])
    with suppress(Refused):  # the pair in the fields need not be offered a second time
        own = key_of(_typed(form))
        known = [k for k in known if k.key != own]
    view = view_of(now, form, known, ticked, shown)
    return render_template(
        "gels/teach.html", form=form, view=view, again=again, conflict=now if conflict else None
    )


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


@dataclass(frozen=True)
class _Taught:
    """A lesson, the pairs behind it, and the one that was typed and is known nowhere else.

    `before` is the row that the fit began with; `alone` is what the readings say where they contradict it.
    """

    lesson: Lesson
    before: Gel
    pairs: Sequence[ReadingPair] = ()
    typed: ReadingPair | None = None
    alone: Gel | None = None
    asked: tuple[str, Mapping[str, str], str] | None = None


def _taught(form: Form, gel: Gel, now: StoredTable) -> _Taught:
    """Read the form: a transmittance where one was given, else pairs of readings. Raises Refused."""
    if form.value("transmittance").strip():
        with within("transmittance"):
            return _by_curve(form, gel)
    known = {k.key: k.pair for k in known_pairs(gel.name)}
    ticked = _ticked(form, known)
    pairs = {key: pair for key, pair in known.items() if key in ticked}
    typed = None
    if not pairs or any(form.value(f"gelled_{k}").strip() for k in _READ):
        typed = _typed(form)
        pairs = {key_of(typed): typed} | pairs
    before, rows = _before_taught(gel), now.table.rows
    chosen = list(pairs.values())
    alone = None
    lesson = from_pairs(gel, chosen, rows, before, afresh=form.value("take") == "readings")
    if form.value("take") == "anyway" and lesson.question is Question.BETTER:
        lesson = replace(lesson, question=None)
    if lesson.question is Question.CONTRADICTS:
        alone = from_pairs(gel, chosen, rows, before, afresh=True).new
    fresh = typed if typed and key_of(typed) not in known else None
    return _Taught(lesson, before or gel, chosen, fresh, alone)


def _by_curve(form: Form, gel: Gel) -> _Taught:
    """Take the transmittance of the form as it says, or ask how, where its heading or the row doubts it."""
    curve = read_curve(form.value("transmittance"))
    way = chosen(form.value("take"))
    asked = None if way else ask_about(gel, curve)
    if asked:  # shown is what its likeliest meaning would come to
        taken = curve.ways.get(CurveAs(asked[2]), curve.first)
    elif way is None:
        taken = curve.first
    elif way in curve.ways:
        taken = curve.ways[way]
    else:
        raise Refused.one("", f"these values cannot be {way.value}", "another way to take the curve")
    return _Taught(from_transmittance(gel, taken), gel, asked=asked)


def _ticked(form: Form, known: Collection[str]) -> set[str]:
    """Return the keys of the known pairs that count: all, until the form has shown them."""
    return set(form.chosen("pair") if form.value("listed") == form.value("name") else known)


def _before_taught(gel: Gel) -> Gel | None:
    """Return the row as it was before it was taught; None where it was not, or where nobody knows."""
    if not is_taught(gel):
        return None
    for line in reversed(state().gels.history()):
        row = state().gels.get(line.version).table.find(gel.name)
        if row is None or not is_taught(row):
            return row
    return None


def _typed(form: Form) -> ReadingPair:
    """Read the pair in the fields; raises Refused."""
    head, accuracy = _head(form)
    with within("gelled"):
        gelled = reading_from(Form({k: form.value(f"gelled_{k}") for k in _READ}))
    return ReadingPair(head, gelled, accuracy)


def _head(form: Form) -> tuple[Source, Accuracy]:
    """Return the bare head, and how far its meter may be off.

    A stored one whose figures were left alone keeps all that its reading has.
    """
    head, accuracy = _stored(form.value("source")), ON_SET
    if head is not None:
        set_id = state().sets.get_source(int(form.value("source"))).set_id
        accuracy = state().sets.get_set(set_id).limits.accuracy
        shown = _bare_fields(head)
        if all(form.value(k).strip() == shown[k] for k in _READ):
            kept = {"name": head.name, "kind": form.value("kind"), "reading": head.reading}
            return make(Source, kept), accuracy
    fields = {k: form.value(k) for k in ("kind", *_READ)}
    return source_from(Form(fields | {"name": "the head"})), accuracy


def _with(now: StoredTable, lesson: Lesson) -> GelTable:
    return make(GelTable, {"rows": [lesson.new if g.name == lesson.old.name else g for g in now.table.rows]})


def _fingerprint(lesson: Lesson) -> str:
    """Return what tells one taught row from another."""
    new = lesson.new
    by = "measured" if new.transmittance else new.percent
    return f"{new.name} {new.mired} {new.cc} {new.stops} {by}"


def _shown(now: StoredTable, table: GelTable, taught: _Taught) -> Shown:
    """Return what the page shows of a lesson before it is kept."""
    lesson, pairs = taught.lesson, taught.pairs
    shown = Shown(lesson, _changes(now, table), _fingerprint(lesson))
    if taught.asked:
        says, ways, likeliest = taught.asked
        return replace(shown, doubt=says, ways=ways_to_take(choices(ways, likeliest)))
    if lesson.fit is None:
        return shown
    return replace(
        shown,
        sure=sure(lesson, len(pairs)),
        holds=holds(lesson, taught.before, pairs),
        asked=asked(lesson, taught.alone),
        left=dict(zip(map(key_of, pairs), lesson.fit.left, strict=True)),
    )


def _changes(now: StoredTable, table: GelTable) -> Sequence[ChangedBest]:
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
                found.append(ChangedBest(stored.name, old.source.name, old.best, new.best))
    return found
