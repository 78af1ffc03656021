"""One head: what to hang, why, what else; a new reading; a stack built by hand; its details."""

from collections.abc import Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.dials.wording import dial_words
from ....advice.pictures.rendering import differences, reference_of
from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....advice.readings.behind_gels import stand_in_use
from ....advice.readings.chromaticity import WhitePoint
from ....advice.wording.cautions import cautions
from ....advice.wording.ladder import Ladder
from ....model import Refused, Source
from ....model.problems import short
from ....store import Conflict, NotFound, StoredSet, StoredSource
from ....store.whole import ChangeLine
from ...forms.form import Form
from ...forms.merge import Contest
from ...forms.set_form import usual_white
from ...forms.source_form import PATHS, UNITS, fields_of_source, reading_from, source_from, words_of_source
from ...forms.taken import age
from ...gels.guesses import guess_in
from ...heads.behind import at_dials, at_level, dials_set, works_found
from ...heads.plans import plan_for
from ...heads.read_behind import as_read, read_behind
from ...heads.since import reasons
from ...live.conflict import Difference, mergeable, over
from ...live.idempotency import conflict_status, tell_revision
from ...pictures.dimming_curve import drift_plot
from ...pictures.spectrum import spectrum_plot
from ...state import gels_in_force, ladder_in_force, state
from ...views import source_form
from ...views.head import head_view
from ...views.layers import layers_by_hand
from ...views.readings import new_reading_view, readings_view
from ...views.use import use_view
from ...wording.otherwise import read_otherwise
from ...wording.runners_up import placed, read_at, runners_up
from ...wording.values import gel, plain

blueprint = Blueprint("sources", __name__)


@blueprint.get("/sources/<int:source_id>")
def show_source(source_id: int) -> ResponseReturnValue:
    """Show one head. ``?gel=…&gel=…`` predicts a stack built by hand."""
    now = state().sets.get_source(source_id)
    return _removed(now) if now.deleted else source_page(now, _first_form(now.source))


@blueprint.route("/sources/<int:source_id>/reading", methods=["GET", "POST"])
def add_reading(source_id: int) -> ResponseReturnValue:
    """Take a new reading; the earlier ones stay."""
    if request.method != "POST":  # a page with a refused reading, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    form = Form(request.form)
    while True:
        now = present(source_id)
        try:
            source = as_read(now, form)
            work = read_behind(source.work, form)
            reading = at_dials(reading_from(form, work.gels if work else ()), source)
            if work and not age():  # at which level it was used when a late one was taken, nobody knows
                reading = at_level(reading, source)
            after = works_found(now, work, [reading]) if work and source is now.source else None
            state().sets.add_reading(source_id, reading, after, now.source.work)
            break
        except Refused as no:
            return source_page(now, form.after(no)), 422
        except Conflict:  # what hangs changed between the lines: read it behind that instead, or refuse
            continue
    tell_revision(now.revision, now.revision, state().sets.get_source(source_id).revision)
    return redirect(url_for("sources.show_source", source_id=source_id))


@blueprint.route("/sets/<int:set_id>/sources/new", methods=["GET", "POST"])
def new_source(set_id: int) -> ResponseReturnValue:
    """Add a source to a set."""
    owner = state().sets.get_set(set_id)
    if request.method != "POST":
        after = request.args.get("after", type=int)
        added = next((s for s in owner.sources if s.id == after), None)
        form = Form({"on_subject": "yes"})
        return _edit(form, None, owner.name, set_id, added=added, count=len(owner.sources))
    form = Form(request.form)
    try:
        _refuse_unknown(form.chosen("read_behind"))
        added_id = state().sets.add_source(set_id, source_from(form, around=_around(owner)))
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
    form = Form(request.form)
    try:
        both = over(form, now, fields_of_source(now.source), UNITS, PATHS, words_of_source)
        form = both.form
        if contests := both.merged.contests:
            return _edit(form, now, owner.name, now.set_id, contests=contests), conflict_status()
        wanted = source_from(form, now.source, _around(owner))
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
    """Remove a source; the set's page offers to undo it."""
    now = state().sets.get_source(source_id)
    state().sets.delete_source(source_id)
    return redirect(url_for("sets.show_set", set_id=now.set_id, removed=source_id))


@blueprint.post("/sources/<int:source_id>/restore")
def restore_source(source_id: int) -> ResponseReturnValue:
    """Undo the removal of a source."""
    back = state().sets.restore_source(source_id)
    return redirect(url_for("sets.show_set", set_id=back.set_id))


def _refuse_unknown(names: Sequence[str]) -> None:
    """Raise Refused for a gel that is said to hang and is in no row of the table in force."""
    known = {gel.name for gel in gels_in_force()}
    for name in names:
        if name and name not in known:
            raise Refused.one("read_behind", f"no gel is called {short(name)}", "a gel of the table, or none")


def _around(owner: StoredSet) -> tuple[WhitePoint, Ladder]:
    return usual_white(owner.target, [s.source for s in owner.sources]), ladder_in_force()


def _first_form(source: Source) -> Form:
    """Return the form of a new reading: of the source as it is used, unless somebody says otherwise.

    Where nobody said at which level, it is used as it was read last: behind what hangs, else bare.
    """
    level, found = stand_in_use(source).level, source.work.found if source.work else None
    if source.level is None and found and found.level is not None:
        level = found.level
    fields = {"level": plain(level), "modifier": source.modifier_in_use}
    if dial := dials_set(source):
        fields |= {"dial_cct": plain(dial.cct), "dial_green": plain(dial.green)}
    return Form(fields)


def present(source_id: int) -> StoredSource:
    """Return a source that can be written to. Raises NotFound, for a removed one too."""
    now = state().sets.get_source(source_id)
    if now.deleted:
        raise NotFound("source", source_id, deleted=True)
    return now


def _removed(now: StoredSource) -> ResponseReturnValue:
    """Show the set instead, which offers to take the removal back."""
    return redirect(url_for("sets.show_set", set_id=now.set_id, removed=now.id))


def source_page(now: StoredSource, form: Form, conflict: Sequence[Difference] = ()) -> str:
    """Return the page of one head, with what was typed in `form`.

    `conflict` says, where somebody came first, how it is now and how the writer wanted it. Where another form
    of the page was sent, that of a new reading is as it was.
    """
    if "cct" not in form.values:
        form = Form({**_first_form(now.source).values, **request.form.to_dict()}, form.problems)
    owner = state().sets.get_set(now.set_id)
    plan = plan_for(owner)
    i = owner.place_of(now.id)
    picked = [name for name in request.args.getlist("gel") if name]
    by_hand, by_hand_wrong = None, []
    if "gel" in request.args:
        try:
            by_hand = plan.by_hand(i, picked)
        except Refused as no:
            by_hand_wrong = no.problems
    head, readings = plan.heads[i], state().sets.readings_of(now.id)
    why, beyond_why = reasons(owner, plan).get(now.id), plan.why_beyond(i)
    return render_template(
        "sources/show.html",
        **_spectrum(plan, i),
        owner=owner,
        now=now,
        plan=plan,
        i=i,
        head=head,
        view=head_view(
            head,
            now.source,
            plan.ladder,
            owner.limits.tolerance_of(now.source),
            why=why,
            beyond_why=beyond_why,
            drifted=plan.drifted(i),
        ),
        why=why,
        side=plan.side_effect(i),
        hint=plan.kind_hint(i),
        beyond_why=beyond_why,
        runners=read_at(runners_up(head, owner.limits), readings),
        form=form,
        new=new_reading_view(form, head, now.source.work),
        conflict=conflict,
        teachable=_teachable(head),
        guess=guess_in(head, gels_in_force()),
        drift=drift_plot(now.source),
        use=use_view(form, now.source),
        dials=dial_words(head.source, plan.ladder),
        cautions=cautions([now.source], owner.hidden_cautions),
        by_hand=by_hand,
        place=placed(head, by_hand, owner.limits) if by_hand else "",
        layers=layers_by_hand(picked, gels_in_force()),
        by_hand_wrong=by_hand_wrong,
        readings=readings_view(head, now, readings),
        otherwise=read_otherwise(
            now.source, next((r.reading for r in reversed(readings) if not r.struck), None)
        ),
        last_work=_last_work(now),
    )


def _last_work(now: StoredSource) -> ChangeLine | None:
    """Return the last thing that was decided for a head, where it can be undone: it may have been a slip."""
    lines = state().sets.whole.log(now.set_id, 50, now.id, gel)
    last = next((line for line in lines if line.worked), None)
    return last if last and last.stands else None


def _teachable(head: PlannedSource) -> str | None:
    """Return the gel that a pair of readings can teach: the one sheet beside what is kept, read behind."""
    work = head.source.work
    if work is None or work.found is None or head.again:
        return None
    added = [name for name in work.gels if name not in head.source.keep]
    return added[0] if len(added) == 1 else None


def _spectrum(plan: Plan, i: int) -> dict[str, object]:
    """Return what the page shows of a head whose spectrum was measured; nothing for the others."""
    head = plan.heads[i]
    if head.source.reading.spectrum is None or head.best is None or plan.target is None:
        return {}
    reference = reference_of(plan.target)
    bare, gelled = plan.rendered(i, [], reference), plan.rendered(i, head.best.gels, reference)
    return {
        "plot": spectrum_plot(bare, gelled),
        "bare": bare,
        "gelled": gelled,
        "reference": reference,
        "compared": differences(head.source.reading, bare),
    }


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
