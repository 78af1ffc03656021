"""What gel has to cover on a source: its openings, rows of count, width and height."""

from collections.abc import Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Opening, Problem, Refused
from ....model.basis.quantities import Side, quantity_of
from ....store import Conflict, StoredSource
from ...forms.form import Form, filled_rows, in_row, make
from ...forms.lengths import length_field, length_in
from ...forms.merge import Contest
from ...live.conflict import mergeable, over
from ...live.idempotency import conflict_status, tell_revision
from ...state import state
from ...views.pulls.openings import MOST_OPENINGS, openings_form
from ...wording.values import plain
from .head_page import present

blueprint = Blueprint("openings", __name__)


@blueprint.route("/sources/<int:source_id>/openings", methods=["GET", "POST"])
def edit_openings(source_id: int) -> ResponseReturnValue:
    """Say what gel has to cover on a source: rows of count, width and height."""
    now = present(source_id) if request.method == "POST" else state().sets.get_source(source_id)
    if request.method != "POST":
        if now.deleted:
            return redirect(url_for("sets.show_set", set_id=now.set_id, removed=now.id))
        return _page(now, Form(_as_fields(now.source.openings)))
    form = Form(request.form)
    try:
        units = {f"opening_{i}": (f"width_{i}", f"height_{i}", f"count_{i}") for i in range(MOST_OPENINGS)}
        paths = dict.fromkeys(units, ("openings",))
        both = over(form, now, _as_fields(now.source.openings), units, paths)
        form = both.form
        if contests := both.merged.contests:
            return _page(now, form, contests=contests), conflict_status()
        openings = _openings_from(form, now.source.openings)
        kept = state().sets.change_source(source_id, {"openings": openings}, revision=both.revision)
        tell_revision(both.revision, now.revision, kept.revision)
    except Refused as no:
        return _page(now, form.after(no)), 422
    except Conflict as other:
        if mergeable():  # somebody wrote between the lines: that is merged too
            return edit_openings(source_id)
        assert isinstance(other.current, StoredSource), "a source's conflict is with a source"
        return _page(other.current, form, conflict=True), conflict_status()
    return redirect(url_for("pulls.show_pulls", set_id=now.set_id))


def _openings_from(form: Form, before: Sequence[Opening]) -> list[Opening]:
    found, wrong = [], list[Problem]()
    for i in filled_rows(form, MOST_OPENINGS, "count", "width", "height"):
        old = before[i] if i < len(before) else None
        width = length_in(form, f"width_{i}", quantity_of(Side, "Width"), old.width if old else None, wrong)
        height = length_in(
            form, f"height_{i}", quantity_of(Side, "Height"), old.height if old else None, wrong
        )
        count = form.value(f"count_{i}").strip() or 1
        try:
            found.append(make(Opening, {"count": count, "width": width, "height": height}))
        except Refused as no:
            wrong += in_row(no, i)
    if wrong:
        raise Refused(wrong)
    return found


def _as_fields(openings: Sequence[Opening]) -> dict[str, str]:
    fields = {}
    for i, opening in enumerate(openings):
        fields[f"count_{i}"] = plain(opening.count)
        fields[f"width_{i}"], fields[f"height_{i}"] = (
            length_field(opening.width),
            length_field(opening.height),
        )
    return fields


def _page(now: StoredSource, form: Form, *, conflict: bool = False, contests: Sequence[Contest] = ()) -> str:
    return render_template(
        "pulls/openings.html",
        now=now,
        owner=state().sets.get_set(now.set_id),
        view=openings_form(now, form),
        form=form,
        conflict=conflict,
        contests=contests,
        showed=_as_fields(now.source.openings),
    )
