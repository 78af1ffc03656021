"""The lamp of a head: it is out, or back, which is another light, or the same lamp after all."""

from flask import Blueprint, redirect, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Lamp, Refused, Source
from ....model.basis.problems import short
from ...forms.form import Form
from ...forms.taken import age, before_now
from .head_page import present, source_page
from .kept_fields import kept

blueprint = Blueprint("lamp", __name__)


@blueprint.route("/sources/<int:source_id>/lamp", methods=["GET", "POST"])
def set_lamp(source_id: int) -> ResponseReturnValue:
    """Say that a lamp is out (out), back (back), changed (changed), or the same one as before (same)."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    now, form = present(source_id), Form(request.form)
    action, lamp = form.value("action"), now.source.lamp or Lamp()
    if action not in ("out", "back", "changed", "same"):
        no = Refused.one("action", f"{short(action)} is not a step for a lamp", "out, back, changed, same")
        return source_page(now, form.after(no)), 422
    fresh: Lamp | None = None
    if action == "changed" and not lamp.out:
        fresh = Lamp(since=before_now(age()), before=lamp.since)
    elif action == "out":
        fresh = lamp if lamp.out else Lamp(out=before_now(age()), since=lamp.since, before=lamp.before)
    else:
        fresh = lamp.same() if action == "same" else lamp.back()
    wanted = now.source.model_copy(update={"lamp": None if fresh == Lamp() else fresh})
    return kept(now, wanted, ("lamp",), form, "The lamp", _said)


def _said(source: Source) -> str:
    """Say what became of a lamp, for a person who has to choose."""
    if source.lamp is None:
        return "burns"
    return "out" if source.lamp.out else "another lamp"
