"""What was done, taken back: a reading struck out, a change undone; or why not, where somebody came later."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....store import Change, NotFound, StoredSource
from ....store.sets.undo import Touched
from ...state import state
from ...wording.values import gel

blueprint = Blueprint("undo", __name__)
RECORDS = ("record", "record-of-head")
"""Where a form may say that it stood: on the record of a set, or on that of one head of it."""
_ALL = 10**9
"""Lines of a record: the one that came later may be any."""


@blueprint.post("/readings/<int:reading_id>/strike")
def strike_reading(reading_id: int) -> ResponseReturnValue:
    """Strike a reading out: it stays on the record, crossed, and counts nowhere."""
    return _to_head(state().sets.strike(reading_id))


@blueprint.post("/readings/<int:reading_id>/back")
def bring_back(reading_id: int) -> ResponseReturnValue:
    """Have a reading count again that was struck out; one that was mended as it was before."""
    try:
        return _to_head(state().sets.bring_back(reading_id))
    except Touched as touched:
        return _not_undone(touched), 409


@blueprint.route("/changes/<int:change_id>/undo", methods=["GET", "POST"])
def undo_change(change_id: int) -> ResponseReturnValue:
    """Undo what was done; where the same was changed since, say what and by whom, and change nothing."""
    if request.method != "POST":  # a page on which nothing was undone, opened again by its address
        return _to_record(state().sets.change(change_id))
    try:
        change = state().sets.undo(change_id)
    except Touched as touched:
        return _not_undone(touched), 409
    if request.form.get("from") == "head" and change.source_id is not None:
        return redirect(url_for("sources.show_source", source_id=change.source_id))
    return _to_record(change)


@blueprint.route("/sets/<int:set_id>/changes/undo", methods=["GET", "POST"])
def undo_together(set_id: int) -> ResponseReturnValue:
    """Undo what was answered for several heads at once, all or none, and show the ``head`` where it was.

    Whoever may answer which lamp it is may take that back, and nothing else.
    """
    if request.method != "POST":  # a page on which nothing was undone, opened again by its address
        return redirect(url_for("sets.show_set", set_id=set_id))
    numbers = request.form.getlist("change", type=int)
    try:
        state().sets.adopted.take_back(set_id, numbers, only=_ANSWERED)
    except Touched as touched:
        return _not_undone(touched), 409
    head = request.form.get("head", type=int)
    if head is None:
        return redirect(url_for("sets.show_set", set_id=set_id))
    return redirect(url_for("sources.show_source", source_id=head))


@blueprint.route("/changes/<int:change_id>/undo-head", methods=["GET", "POST"])
def undo_head(change_id: int) -> ResponseReturnValue:
    """Undo what was said of which head a source is, of both where two were exchanged, and show it.

    Whoever may say it may take that back, and nothing else.
    """
    if request.method == "POST":
        try:
            change = state().sets.units.undo(change_id)
        except Touched as touched:
            return _not_undone(touched), 409
    else:
        change = state().sets.change(change_id)
    if change.source_id is None:
        return _to_record(change)
    return redirect(url_for("sources.show_source", source_id=change.source_id))


_ANSWERED = ("kind",)
"""What is answered for several heads at once."""


def _not_undone(touched: Touched) -> str:
    """Return the page that says what came later, and what to do about it."""
    change = touched.change
    lines = state().sets.record.lines(change.set_id, _ALL, gel=gel)
    told = {line.change.id: line for line in lines}
    by = touched.by.who if touched.by else ""
    return render_template(
        "record/touched.html",
        now=state().sets.get_set(change.set_id),
        who="you" if by and by == state().sets.who else by or "somebody",
        wanted=told[change.id],
        later=told.get(touched.by.id) if touched.by else None,
        source=None if change.source_id is None else state().sets.get_source(change.source_id),
    )


def _to_record(change: Change) -> ResponseReturnValue:
    try:
        state().sets.get_set(change.set_id)
    except NotFound:  # its record is not shown while it is removed; the list of sets has the way back
        return redirect(url_for("sets.list_sets"))
    return redirect(record_of(change.set_id, change.source_id, request.form.get("from", "")))


def record_of(set_id: int, source_id: int | None, said: str) -> str:
    """Return the address of the record on which a form says that it stood, which is one of `RECORDS`."""
    head = source_id if said == "record-of-head" else None
    return url_for("record.show_record", set_id=set_id, source=head) + "#done"


def _to_head(now: StoredSource) -> ResponseReturnValue:
    """Show the head, or its set's record where the form stood there."""
    if (said := request.form.get("from", "")) in RECORDS:
        return redirect(record_of(now.set_id, now.id, said))
    return redirect(url_for("sources.show_source", source_id=now.id) + "#readings")
