"""What can be taken back: a reading struck out, and brought back."""

from flask import Blueprint, redirect, request, url_for
from flask.typing import ResponseReturnValue

from ...store import StoredSource
from ..state import state

blueprint = Blueprint("undo", __name__)


@blueprint.post("/readings/<int:reading_id>/strike")
def strike_reading(reading_id: int) -> ResponseReturnValue:
    """Strike a reading out: it stays on the record, crossed, and counts nowhere."""
    return _back_to(state().sets.strike(reading_id))


@blueprint.post("/readings/<int:reading_id>/back")
def bring_back(reading_id: int) -> ResponseReturnValue:
    """Have a reading count again that was struck out."""
    return _back_to(state().sets.bring_back(reading_id))


def _back_to(now: StoredSource) -> ResponseReturnValue:
    """Show the head, or its set's record where the form stood there."""
    if request.form.get("from") == "record":
        return redirect(url_for("record.show_record", set_id=now.set_id) + "#done")
    return redirect(url_for("sources.show_source", source_id=now.id) + "#readings")
