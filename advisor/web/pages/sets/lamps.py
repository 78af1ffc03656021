"""The lamps to ask for where gel is a poor answer: for a rental desk, or a hardware shop."""

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from ...plans.kept import plan_for
from ...plans.onward.lamps import lamps_page
from ...state import state

blueprint = Blueprint("lamps", __name__)


@blueprint.get("/sets/<int:set_id>/lamps")
def show_lamps(set_id: int) -> ResponseReturnValue:
    """Show which other lamps to ask for, practicals first."""
    now = state().sets.get_set(set_id)
    return render_template("sets/lamps.html", now=now, view=lamps_page(now, plan_for(now)))
