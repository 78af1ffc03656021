"""The record: out to a file and back, another day of a set, two days compared, and who did what when."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.overview.two_days import compare_days
from ....imports.set_file import text_of
from ....model import Problem, Refused
from ....model.basis.base import utc_text
from ....model.sets.labels import label_differences
from ....store import StoredSet
from ....store.sets.whole import AlreadyHere, NumberedSet
from ...forms.files import download, file_name, uploaded_file
from ...live.idempotency import leads_to
from ...pastes.long_texts import given_text
from ...pastes.set_files import read_set_file
from ...plans.kept import plan_for
from ...state import gels_in_force, state
from ...views.record import days, set_record
from ...views.record.set_file import import_page, restored_page
from ...wording.values import gel

blueprint = Blueprint("record", __name__)
_LINES, _MOST_LINES = 200, 2000
"""The changes that the page lists: so many, and all of the last day, so that each can be undone; at most."""


@blueprint.get("/sets/<int:set_id>/record")
def show_record(set_id: int) -> ResponseReturnValue:
    """Show what the record of a set is for, and its newest changes; ``?source=`` those of one source."""
    sets = state().sets
    now = sets.get_set(set_id)
    asked = request.args.get("source", type=int)
    source = next((s for s in now.sources if s.id == asked), None)
    origin = sets.whole.known(now.copied_from) if now.copied_from else None
    every = sets.record.lines(set_id, _MOST_LINES, source.id if source else None, gel)
    since = utc_text(datetime.now(UTC) - timedelta(days=1))
    lines = [line for k, line in enumerate(every) if k < _LINES or line.change.at >= since]
    more = len(lines) < len(every) or len(lines) == _MOST_LINES
    return render_template(
        "record/show.html",
        now=now,
        view=set_record.view_of(now, plan_for(now), source, lines, more=more),
        origin=None if origin is None or origin.deleted else origin,
        source=source,
    )


@blueprint.get("/sets/<int:set_id>/export.json")
def export_set(set_id: int) -> ResponseReturnValue:
    """Download all that is known of a set."""
    whole = state().sets.whole.export(set_id, gels_in_force())
    return download(whole.to_json(), "application/json", file_name("set", whole.set.name) + ".json")


@blueprint.route("/sets/import", methods=["GET", "POST"])
def import_set() -> ResponseReturnValue:
    """Restore a set from its file; ``copy`` gives it a number and a name of its own."""
    if request.method != "POST":
        return _import_page("")
    text = request.form.get("text", "")
    try:
        data = uploaded_file()
        text = given_text(request.form) if data is None else text_of(data)
        whole, history = read_set_file(text)
        set_id = state().sets.whole.restore(whole, history, copy="copy" in request.form)
    except Refused as no:
        return _import_page(text, no.problems), 422
    except AlreadyHere as here:
        return _import_page(text, known=here.known), 409
    differences = label_differences(whole, gels_in_force())
    if not differences:
        return redirect(url_for("sets.show_set", set_id=set_id))
    leads_to(url_for("sets.show_set", set_id=set_id))
    now = state().sets.get_set(set_id)
    return render_template("record/restored.html", now=now, view=restored_page(differences))


def _import_page(text: str, problems: Sequence[Problem] = (), known: NumberedSet | None = None) -> str:
    view = import_page(text, problems, known)
    return render_template("record/import.html", problems=problems, view=view)


@blueprint.post("/sets/<int:set_id>/duplicate")
def duplicate_set(set_id: int) -> ResponseReturnValue:
    """Make a set for the next day, and show it."""
    return redirect(url_for("sets.show_set", set_id=state().sets.days.duplicate(set_id)))


@blueprint.get("/sets/<int:set_id>/days")
def compare_set_days(set_id: int) -> ResponseReturnValue:
    """Compare a set with another day of it, ``?with=`` its number; by default with the likeliest."""
    now = state().sets.get_set(set_id)
    others = state().sets.days.other_days(set_id)
    asked = request.args.get("with", type=int)
    chosen = others[0].id if others and asked in (None, set_id) else asked
    if not others or chosen is None:
        return render_template("record/days.html", now=now, view=None)
    other = state().sets.get_set(chosen)
    # A copy is the later day, from whichever of the two somebody looks: what came along is of the first.
    then, later = (now, other) if other.copied_from == now.uid else (other, now)
    plans = plan_for(then), plan_for(later)
    compared = compare_days(*plans, then.limits.accuracy, later.limits.accuracy, _copied(then, later))
    view = days.view_of(later, plans, compared, days.TwoSets(now, other), others)
    return render_template("record/days.html", now=now, view=view)


def _copied(then: StoredSet, now: StoredSet) -> set[str]:
    """Return the names of sources whose reading came along from the other day: it has that day's time."""
    times = {s.taken_at for s in then.sources if s.taken_at}
    return {s.source.name for s in now.sources if s.taken_at in times}
