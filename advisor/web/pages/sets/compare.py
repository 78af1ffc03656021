"""The DP's page: every source against a reference, and what is wanted of each."""

from collections.abc import Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.overview.reference import usual_reference
from ....model import Refused, WantedOffset
from ....store import Conflict, StoredSet, StoredSource
from ...forms.form import Form, make
from ...live.conflict import Difference, seen_of
from ...live.idempotency import conflict_status, tell_revision
from ...plans.kept import plan_for
from ...state import ladder_in_force, state
from ...views.sets.compare import view_of
from ...wording.aims import aimed
from ..sources.head_page import present

blueprint = Blueprint("compare", __name__)


@blueprint.get("/sets/<int:set_id>/compare")
def compare_set(set_id: int) -> ResponseReturnValue:
    """Show a set against the source that ``?reference=`` names, else the usual one, in ``?light=``."""
    return _page(state().sets.get_set(set_id), Form())


@blueprint.route("/sources/<int:source_id>/aim", methods=["GET", "POST"])
def set_aim(source_id: int) -> ResponseReturnValue:
    """Mark what is wanted of a source: leave it, correct it, or keep it off the target on purpose."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        set_id = state().sets.get_source(source_id).set_id
        return redirect(url_for("compare.compare_set", set_id=set_id))
    now = present(source_id)
    owner = state().sets.get_set(now.set_id)
    form = Form(request.form)
    try:
        aim = _aim(form)
        seen = seen_of(now)
        kept = state().sets.change_source(source_id, {"aim": aim}, revision=seen)
        tell_revision(seen, now.revision, kept.revision)
    except Refused as no:
        return _page(owner, form.after(no), source_id), 422
    except Conflict as other:
        assert isinstance(other.current, StoredSource), "a source's conflict is with a source"
        ladder = ladder_in_force()
        both = Difference(
            "Wanted of it", aimed(other.current.source.aim, ladder), aimed(aim, ladder), other.by
        )
        return _page(state().sets.get_set(now.set_id), form, source_id, [both]), conflict_status()
    if form.value("from") == "head":
        return redirect(url_for("sources.show_source", source_id=source_id))
    reference, light = request.form.get("reference", type=int), request.form.get("light") or None
    return redirect(url_for("compare.compare_set", set_id=now.set_id, reference=reference, light=light))


def _aim(form: Form) -> WantedOffset:
    """Read what is wanted: “leave”, “correct”, or a shift from the target."""
    wanted = form.value("wanted")
    if wanted in ("leave", "correct"):
        return WantedOffset(leave=wanted == "leave")
    return make(WantedOffset, {"mired": form.value("mired") or 0.0, "duv": form.value("duv") or 0.0})


def _page(
    now: StoredSet, form: Form, wrong_id: int | None = None, conflict: Sequence[Difference] = ()
) -> str:
    plan = plan_for(now)
    asked = request.values.get("reference", type=int)
    ids = [s.id for s in now.sources]
    usual = usual_reference(plan, now.target.source) or ((0, "the first") if ids else None)
    at, why = (ids.index(asked), "") if asked in ids else usual or (None, "")
    light = request.values.get("light", "")
    shown = None if at is None else view_of(now, plan, (at, why), light, form, wrong_id)
    reference = shown.reference.id if shown else None
    here = url_for("compare.compare_set", set_id=now.id, reference=reference, light=shown and shown.light)
    return render_template(
        "sets/compare.html",
        now=now,
        plan=plan,
        view=shown,
        page=here if request.method == "POST" else "",
        stray=form.problems if not shown or wrong_id not in shown.ids else (),
        form=form,
        conflict=conflict,
    )
