"""One head: shown, read anew, added, changed, removed and brought back."""

from collections.abc import Sequence
from typing import cast

from flask import Blueprint, current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.readings.chromaticity import WhitePoint
from ....advice.wording.ladder import Ladder
from ....model import Reading, Refused
from ....model.basis.problems import short
from ....store import Conflict, StoredSet, StoredSource
from ...forms.form import Form
from ...forms.merge import Contest
from ...forms.set_form import usual_white
from ...forms.source_form import PATHS, UNITS, fields_of_source, source_from, words_of_source
from ...gels.as_modifier import ON_A_SET, refuse_gels
from ...gels.names import with_gels_named
from ...live.conflict import SENT_AGAIN, mergeable, over
from ...live.idempotency import asked_revision, conflict_status, tell_revision
from ...plans.new_reading import moved_before, taken_from
from ...plans.onward.order import holder
from ...state import gels_in_force, ladder_in_force, state
from ...views import source_form
from ...views.known_heads.on_set import as_other_head
from ...views.pad.entry import in_sight
from .head_page import present, source_page

blueprint = Blueprint("sources", __name__)
_FROM_QUICK = ("cct", "duv", "kind", "lux")
"""What the quick check gives the form of a new source."""


@blueprint.get("/sources/<int:source_id>")
def show_source(source_id: int) -> ResponseReturnValue:
    """Show one head. ``?gel=…&gel=…`` predicts a stack built by hand."""
    now = state().sets.get_source(source_id)
    return _removed(now) if now.deleted else source_page(now, Form({}))


@blueprint.route("/sources/<int:source_id>/reading", methods=["GET", "POST"])
def add_reading(source_id: int) -> ResponseReturnValue:
    """Take a new reading; the earlier ones stay."""
    if request.method != "POST":  # a page with a refused reading, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    form, seen = Form(request.form), present(source_id).revision
    while True:
        now = present(source_id)
        try:
            taken = taken_from(now, form)
            _refuse_gels(taken.reading, now)
            if moved_before(state().sets, now, [taken.reading]):
                continue
            state().sets.add_reading(source_id, taken.reading, taken.work, now.source.work)
            break
        except Refused as no:
            return source_page(now, form.after(no)), 422
        except Conflict:  # what hangs changed between the lines: read it behind that instead, or refuse
            seen = present(source_id).revision
            continue
    tell_revision(seen, seen, state().sets.get_source(source_id).revision)
    typed_for, target = form.value("seen_target"), state().sets.get_set(now.set_id).target
    moved = "moved" if typed_for and typed_for != in_sight(target) else None
    return redirect(url_for("sources.show_source", source_id=source_id, target=moved))


@blueprint.route("/sources/<int:source_id>/head", methods=["GET", "POST"])
def be_head(source_id: int) -> ResponseReturnValue:
    """Say which tested head a source is in truth; one that is on the set too is exchanged with it."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    now, form, heads = present(source_id), Form(request.form), state().heads
    owner = state().sets.get_set(now.set_id)
    try:
        seen = asked_revision()
        asked = form.value("head")
        fresh = as_other_head(owner, now, int(asked) if asked.isdecimal() else 0, heads)
        change = state().sets.units.be(owner.id, fresh, revision=seen)
    except Refused as no:
        return source_page(now, form.after(no)), 422
    except Conflict as other:
        who = (other.by and other.by.who) or "Somebody"
        first = Refused.one("head", f"{who} said which head it is meanwhile", "look at it, and say it again")
        return source_page(present(source_id), form.after(first)), conflict_status()
    tell_revision(seen, now.revision, present(source_id).revision)
    return redirect(url_for("sources.show_source", source_id=source_id, unit=change))


@blueprint.route("/sets/<int:set_id>/sources/new", methods=["GET", "POST"])
def new_source(set_id: int) -> ResponseReturnValue:
    """Add a source to a set."""
    owner = state().sets.get_set(set_id)
    if request.method != "POST":
        after = request.args.get("after", type=int)
        added = next((s for s in owner.sources if s.id == after), None)
        form = Form({k: v for k, v in request.args.items() if k in _FROM_QUICK})
        return _edit(form, None, owner.name, set_id, added=added, count=len(owner.sources))
    form = with_gels_named(Form(request.form))
    try:
        _refuse_unknown(form.chosen("read_behind"))
        wanted = source_from(form, around=_around(owner))
        _refuse_gels(wanted.reading)
        added_id = state().sets.add_source(set_id, wanted)
    except Refused as no:
        return _edit(form.after(no), None, owner.name, set_id), 422
    if "another" in request.form:
        return redirect(url_for("sources.new_source", set_id=set_id, after=added_id))
    return redirect(url_for("sets.show_set", set_id=set_id))


@blueprint.route("/sources/<int:source_id>/edit", methods=["GET", "POST"])
def edit_source(source_id: int) -> ResponseReturnValue:
    """Change a source: what two people changed there is put together; one field of both is asked about."""
    now = present(source_id) if request.method == "POST" else state().sets.get_source(source_id)
    owner = state().sets.get_set(now.set_id)
    if request.method != "POST":
        if now.deleted:
            return _removed(now)
        return _edit(Form(fields_of_source(now.source)), now, owner.name, now.set_id)
    form = with_gels_named(Form(request.form))
    try:
        both = over(form, now, fields_of_source(now.source), UNITS, PATHS, words_of_source)
        form = both.form
        if contests := both.merged.contests:
            return _edit(form, now, owner.name, now.set_id, contests=contests), conflict_status()
        wanted = source_from(form, now.source, _around(owner))
        _refuse_gels(wanted.reading, now)
        kept = state().sets.update_source(source_id, wanted, revision=both.revision)
        tell_revision(both.revision, now.revision, kept.revision)
    except Refused as no:
        return _edit(form.after(no), now, owner.name, now.set_id), 422
    except Conflict as other:
        if mergeable():  # somebody wrote between the lines: that is merged too
            return edit_source(source_id)
        assert isinstance(other.current, StoredSource), "a source's conflict is with a source"
        return _edit(form, other.current, owner.name, now.set_id, conflict=True), conflict_status()
    return redirect(url_for("sources.show_source", source_id=source_id))


@blueprint.post("/sources/<int:source_id>/delete")
def delete_source(source_id: int) -> ResponseReturnValue:
    """Remove a source; the set's page offers to undo it. Where another one is at it, it is asked first."""
    now = state().sets.get_source(source_id)
    there = state().taken.of_set(now.set_id).get(source_id)
    if there and there.holder != holder() and request.form.get("over") != "yes":
        return redirect(url_for("sources.show_source", source_id=source_id, remove="ask", _anchor="remove"))
    state().sets.delete_source(source_id)
    return redirect(url_for("sets.show_set", set_id=now.set_id, removed=source_id))


@blueprint.post("/sources/<int:source_id>/restore")
def restore_source(source_id: int) -> ResponseReturnValue:
    """Undo the removal of a source; what was typed for it meanwhile is sent once more (``then``)."""
    back = state().sets.restore_source(source_id)
    then, reading = SENT_AGAIN.get(request.form.get("then", "")), request.form.get("of_reading", type=int)
    if then is not None and reading is None:
        return _sent_again(then, source_id=source_id)
    if then == SENT_AGAIN["mended"] and reading and state().sets.reading_source(reading) == source_id:
        return _sent_again(then, reading_id=reading)
    return redirect(url_for("sets.show_set", set_id=back.set_id))


def _sent_again(view: str, **where: int) -> ResponseReturnValue:
    return cast(ResponseReturnValue, current_app.view_functions[view](**where))


def _refuse_unknown(names: Sequence[str]) -> None:
    """Raise Refused for a gel that is said to hang and is in no row of the table in force."""
    known = {gel.name for gel in gels_in_force()}
    for name in names:
        if name and name not in known:
            raise Refused.one("read_behind", f"no gel is called {short(name)}", "a gel of the table, or none")


def _refuse_gels(reading: Reading, now: StoredSource | None = None) -> None:
    """Raise Refused for a reading whose modifier is a gel, unless its source was read so already."""
    known = now.source.bare_readings if now else ()
    if reading.modifier not in {one.modifier for one in known}:
        refuse_gels([reading.modifier], gels_in_force(), "modifier", ON_A_SET)


def _around(owner: StoredSet) -> tuple[WhitePoint, Ladder]:
    return usual_white(owner.target, [s.source for s in owner.sources]), ladder_in_force()


def _removed(now: StoredSource) -> ResponseReturnValue:
    """Show the set instead, which offers to take the removal back."""
    return redirect(url_for("sets.show_set", set_id=now.set_id, removed=now.id))


def _edit(
    form: Form,
    now: StoredSource | None,
    set_name: str,
    set_id: int,
    *,
    conflict: bool = False,
    contests: Sequence[Contest] = (),
    added: StoredSource | None = None,
    count: int = 0,
) -> str:
    """Return the form of a source; `added` is the one saved just before, `count` how many there are."""
    gels = sorted(gels_in_force(), key=lambda gel: not gel.neutral)
    showed = fields_of_source(now.source) if now else {}
    return render_template(
        "sources/edit.html",
        form=form,
        now=now,
        set_name=set_name,
        set_id=set_id,
        conflict=conflict,
        added=added,
        count=count,
        contests=contests,
        showed=showed,
        view=source_form.view_of(form, now, showed, gels),
        hangable=gels,
    )
