"""Heads that were tested, put on a set, several at once: the readings of their tests are the sources'."""

from collections.abc import Iterable, Sequence
from contextlib import suppress
from typing import NamedTuple

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Refused
from ....store import NotFound
from ....store.tables.records import StoredSet
from ...forms.form import Form
from ...live.idempotency import nothing_written
from ...state import state
from ...views.known_heads.lines import groups_of
from ...views.known_heads.on_set import tested_source
from .heads import present_head

blueprint = Blueprint("from_heads", __name__)


@blueprint.route("/sets/<int:set_id>/heads", methods=["GET", "POST"])
def add_head(set_id: int) -> ResponseReturnValue:
    """Show the heads that were tested; those that are ticked are added as sources, by their newest tests.

    A head that is on the set already is asked about first: it would count as another head beside itself.
    """
    now = state().sets.get_set(set_id)
    form = Form(request.form)
    if request.method != "POST":
        return _page(now, form)
    heads = state().heads
    try:
        chosen = {k: present_head(k) for k in _chosen(form)}
        there = _there(now)
        twice = [k for k, one in chosen.items() if k in there]
        if twice and not form.value("again"):
            nothing_written()
            asked = AskedTwice([chosen[k].head.name for k in twice], list(chosen), _without(chosen, twice))
            return _page(now, form, asked), 422
        added = [tested_source(one, heads.tests_of(k)) for k, one in chosen.items()]
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


class AskedTwice(NamedTuple):
    """Heads that are on the set already, by `names`, and what may be added: `every` id, or the `others`."""

    names: list[str]
    every: list[int]
    others: list[int]


def _without(chosen: Iterable[int], some: Sequence[int]) -> list[int]:
    return [k for k in chosen if k not in some]


def _there(now: StoredSet) -> set[int]:
    """Return the ids of the heads whose tests the sources of a set go by, whatever they are called by now."""
    found = set()
    for source in now.sources:
        if source.source.test:
            with suppress(NotFound):  # it was removed
                head = state().heads.head_of_source(source.id, source.source.test.head)
                found.update([head.id] if head else [])
    return found


def _page(now: StoredSet, form: Form, twice: AskedTwice | None = None) -> str:
    tested = [one for one in state().heads.list_heads() if one.readings]
    after = set(request.args.getlist("added", type=int))
    return render_template(
        "known_heads/from_heads.html",
        now=now,
        form=form,
        groups=groups_of(tested),
        added=[s for s in now.sources if s.id in after],
        there=_there(now),
        twice=twice,
    )
