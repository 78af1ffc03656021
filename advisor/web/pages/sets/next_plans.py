"""The ways on for a set that no longer fits: seen beside each other, adopted at a tap, taken back at one."""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Refused
from ....store import Change, Conflict, StoredSet
from ....store.sets.undo import Touched
from ...forms.form import Form
from ...live.conflict import Adoptable, adopt, seen_of
from ...live.idempotency import conflict_status, tell_revision
from ...plans.kept import asked_of
from ...plans.onward.light_asked import asked_fields
from ...plans.ways_on import frozen_at, mark_of, mark_of_moved, ways_on, works_of
from ...state import state
from ...views.sets.next_plans import WaysPage, view_of

blueprint = Blueprint("next_plans", __name__)
STAY = "stay"
"""What a form sends where the crew adopts no plan."""
_MOST_CHANGES = 200
"""No plan changes more: a set has fewer sources."""


@blueprint.get("/sets/<int:set_id>/plans")
def show_plans(set_id: int) -> ResponseReturnValue:
    """Show the ways on; ``?done=`` offers to take back what was adopted."""
    return _page(state().sets.get_set(set_id))


@blueprint.post("/sets/<int:set_id>/plans")
def adopt_plan(set_id: int) -> ResponseReturnValue:
    """Adopt a way on: its target, and its gels planned in the place of what hangs; or ``stay`` as it is."""
    now, form = state().sets.get_set(set_id), Form(request.form)
    asked = asked_of(now)
    if form.value("plan") == STAY:  # what moved is asked about no more, until it is read anew
        state().sets.update_set(set_id, stays_as=mark_of_moved(now, asked))
        return redirect(url_for("sets.show_set", set_id=set_id))

    def chosen() -> Adoptable | None:
        found = ways_on(now, asked)
        marks = {mark_of(plan): plan for plan in found.plans} if found else {}
        plan = marks.get(form.value("plan"))
        return Adoptable(plan.target, works_of(now, asked, plan)) if plan else None

    try:
        numbers = adopt(now, chosen, any_revision=True)
    except Conflict as other:
        return _page(state().sets.get_set(set_id), late="adopted", by=other.by), conflict_status()
    return redirect(url_for("next_plans.show_plans", set_id=set_id, done=joined(numbers)))


@blueprint.route("/sets/<int:set_id>/plans/back", methods=["GET", "POST"])
def take_back(set_id: int) -> ResponseReturnValue:
    """Take back what was adopted, all of it."""
    if request.method != "POST":  # a page on which nothing was taken back, opened again by its address
        return redirect(url_for("next_plans.show_plans", set_id=set_id))
    numbers = _numbers(Form(request.form).value("done"))
    if not numbers:
        raise Refused.one("done", "nothing was adopted here", "one of the plans")
    try:
        state().sets.adopted.take_back(set_id, numbers)
    except Touched as touched:
        return _page(state().sets.get_set(set_id), late="taken back", by=touched.by), 409
    asked: dict[str, Any] = {**asked_fields(request.form)}
    if asked:  # it was planned for the light that is asked for
        return redirect(url_for("light_asked.ask_light", set_id=set_id, **asked))
    return redirect(url_for("next_plans.show_plans", set_id=set_id))


@blueprint.route("/sets/<int:set_id>/freeze", methods=["GET", "POST"])
def freeze_target(set_id: int) -> ResponseReturnValue:
    """Fix a target that matches a source at what that reads now."""
    if request.method != "POST":
        return redirect(url_for("next_plans.show_plans", set_id=set_id))
    now = state().sets.get_set(set_id)
    fixed = frozen_at(now, asked_of(now))
    if fixed is None:
        if now.target.source is None:  # it is frozen already, by a second tap or another phone
            return redirect(url_for("sets.show_set", set_id=set_id))
        raise Refused.one("target", "the source it matches has no white", "a reading of that source")
    try:
        seen = seen_of(now)
        kept = state().sets.update_set(set_id, target=fixed, revision=seen)
        tell_revision(seen, now.revision, kept.revision)
    except Conflict as other:
        return _page(state().sets.get_set(set_id), late="frozen", by=other.by), conflict_status()
    return redirect(url_for("sets.show_set", set_id=set_id, adopted="yes"))


def _page(now: StoredSet, *, late: str = "", by: Change | None = None) -> str:
    view, done = view_of(now), _numbers(request.args.get("done", ""))
    if not done:  # it may have been sent while there was no link
        done = _adopted(now, view)
    return render_template(
        "sets/next_plans.html",
        now=now,
        view=view,
        done=joined(done) if request.method == "GET" else "",
        late=late,
        by=by,
    )


def _adopted(now: StoredSet, view: WaysPage) -> list[int]:
    """Return the numbers of the changes by which a plan was adopted that is the set's now; none of others.

    Where what hangs fits by now, it is what was planned at one tap for the set: a head alone is not.
    """
    if not (view.fits or any(way.adopted for way in view.ways)):
        return []
    newest = state().sets.adopted.newest(now.id)
    return [] if view.fits and len(newest) < 2 else newest


def joined(numbers: Sequence[int]) -> str:
    """Write the numbers of changes as a form sends them back."""
    return "-".join(map(str, numbers))


def _numbers(text: str) -> list[int]:
    """Read the numbers of changes; what is none is left out."""
    parts = [part for part in text.split("-") if part.isascii() and part.isdigit() and len(part) < 16]
    return [int(part) for part in parts][:_MOST_CHANGES]
