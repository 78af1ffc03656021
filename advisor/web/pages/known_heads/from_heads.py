"""Heads that were tested, put on a set, several at once: the readings of their tests are the sources'."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Refused
from ....store.tables.records import StoredSet
from ...forms.form import Form
from ...state import state
from ...views.known_heads.lines import groups_of
from ...views.known_heads.on_set import tested_source
from .heads import present_head

blueprint = Blueprint("from_heads", __name__)


@blueprint.route("/sets/<int:set_id>/heads", methods=["GET", "POST"])
def add_head(set_id: int) -> ResponseReturnValue:
    """Show the heads that were tested; those that are ticked are added as sources, by their newest tests."""
    now = state().sets.get_set(set_id)
    form = Form(request.form)
    if request.method != "POST":
        return _page(now, form)
    heads = state().heads
    try:
        chosen = _chosen(form)
        added = [tested_source(present_head(k), heads.tests_of(k)) for k in chosen]
        ids = state().sets.add_tested(set_id, added)
    except Refused as no:
        return _page(now, form.after(no)), 422
    return redirect(url_for("from_heads.add_head", set_id=set_id, added=ids))


def _chosen(form: Form) -> list[int]:
    """Return the heads of a group, or one, or those that are ticked, by their ids; raises Refused."""
    if group := form.value("group"):
        lines = state().heads.list_heads()
        return [line.stored.id for line in lines if line.readings and line.stored.head.group == group]
    asked = [form.value("one")] if form.value("one") else form.chosen("head")
    chosen = [int(k) for k in dict.fromkeys(asked) if k.isdecimal()]
    if not chosen:
        raise Refused.one("head", "no head is ticked", "one head or more")
    return chosen


def _page(now: StoredSet, form: Form) -> str:
    tested = [one for one in state().heads.list_heads() if one.readings]
    after = set(request.args.getlist("added", type=int))
    there = {s.source.test.head for s in now.sources if s.source.test}
    return render_template(
        "known_heads/from_heads.html",
        now=now,
        form=form,
        groups=groups_of(tested),
        added=[s for s in now.sources if s.id in after],
        there=there,
    )
