"""How far work is that is done aside; and a way to stop it, and to begin it anew."""

from flask import Blueprint, jsonify, redirect, request, url_for
from flask.typing import ResponseReturnValue

from ...access.guard import ours
from ...live.aside import JOBS

blueprint = Blueprint("working", __name__, url_prefix="/working")


@blueprint.get("/<number>")
def show_progress(number: str) -> ResponseReturnValue:
    """Say how far the work of that number is, for a script."""
    job = JOBS.look(number)
    return jsonify(state=job.state if job else "unknown", percent=job.percent if job else 0)


@blueprint.post("/<number>/stop")
def stop(number: str) -> ResponseReturnValue:
    """Stop it, for all who wait for it."""
    JOBS.stop(number)
    return _back()


@blueprint.post("/<number>/again")
def begin_again(number: str) -> ResponseReturnValue:
    """Begin anew what was stopped: the page that needs it does."""
    JOBS.forget(number)
    return _back()


def _back() -> ResponseReturnValue:
    return redirect(ours(request.form.get("next", "")) or url_for("sets.list_sets"), 303)
