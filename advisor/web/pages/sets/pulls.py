"""The pull list of one set or several."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.pull_list.lines import PullList
from ....model import Refused
from ....model.basis.base import Model
from ....model.basis.quantities import SparePercent
from ....model.gels.formats import Format, FormatTable
from ....store import Conflict, NotFound, StoredSet
from ...forms.files import download
from ...forms.form import Form, make
from ...live.conflict import seen_of
from ...live.idempotency import conflict_status, tell_revision
from ...plans.onward.order import pulls_of
from ...state import formats_in_force, state
from ...views.pulls.pull_list import view_of
from ...wording.values import plain
from .pull_csv import PulledSet, pull_csv

blueprint = Blueprint("pulls", __name__)


class _Spare(Model):
    spare_percent: SparePercent


@dataclass(frozen=True)
class _Pulled:
    """The list for a page: the sets in it (the page's own first), and how it was asked for."""

    sets: Sequence[StoredSet]
    formats: FormatTable
    cut_from: Format | None
    pulls: PullList

    @property
    def asked(self) -> dict[str, Any]:
        """The query that asks for the same again."""
        also = [s.id for s in self.sets[1:]]
        chosen = {"format": self.cut_from.name} if self.cut_from else {}
        return {"also": also, **chosen} if also else chosen


@blueprint.get("/sets/<int:set_id>/pulls")
def show_pulls(set_id: int) -> ResponseReturnValue:
    """Show what to pull, gel by gel; with ``?also=`` for further sets, cut from ``?format=``."""
    return _page(state().sets.get_set(set_id), Form())


@blueprint.get("/sets/<int:set_id>/pulls.csv")
def export_pulls(set_id: int) -> ResponseReturnValue:
    """Download the same list, a row a cut and a total a gel."""
    pulled = _pulled(state().sets.get_set(set_id))
    text = pull_csv(
        pulled.pulls, [PulledSet(kept.name, [s.number for s in kept.sources]) for kept in pulled.sets]
    )
    return download(text, "text/csv", "pull-list.csv")


@blueprint.route("/sets/<int:set_id>/spare", methods=["GET", "POST"])
def set_spare(set_id: int) -> ResponseReturnValue:
    """Change how much more than needed is pulled."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("pulls.show_pulls", set_id=set_id) + _query())
    form = Form(request.form)
    try:
        wanted = make(_Spare, {"spare_percent": form.value("spare_percent")})
        now = state().sets.get_set(set_id)
        seen = seen_of(now)
        kept = state().sets.update_set(set_id, spare_percent=wanted.spare_percent, revision=seen)
        tell_revision(seen, now.revision, kept.revision)
    except Refused as no:
        return _page(state().sets.get_set(set_id), form.after(no)), 422
    except Conflict as other:
        return _page(state().sets.get_set(set_id), form, conflict=other), conflict_status()
    return redirect(url_for("pulls.show_pulls", set_id=set_id) + _query())


@blueprint.route("/sets/<int:set_id>/pulled", methods=["GET", "POST"])
def tick_line(set_id: int) -> ResponseReturnValue:
    """Keep that a line of the list is pulled, or is not."""
    if request.method != "POST":  # a page that refused one, opened again by its address
        return redirect(url_for("pulls.show_pulls", set_id=set_id) + _query())
    form = Form(request.form)
    line, on = form.value("line"), form.value("pulled") == "yes"
    if not line:
        raise Refused.one("line", "no gel was named as pulled", "a line of the pull list")
    while True:
        now = state().sets.get_set(set_id)
        others = [one for one in now.pulled if one != line]
        try:
            state().sets.update_set(set_id, pulled=[*others, line] if on else others, revision=now.revision)
            break
        except Conflict:  # somebody pulled another one between the lines: add this one to that
            continue
    return redirect(url_for("pulls.show_pulls", set_id=set_id) + _query())


def _query() -> str:
    """Return the query of this request, to go on with what was chosen."""
    return f"?{request.query_string.decode()}" if request.query_string else ""


def _pulled(now: StoredSet) -> _Pulled:
    sets = [now]
    for set_id in dict.fromkeys(request.args.getlist("also", type=int)):
        try:
            if set_id != now.id:
                sets.append(state().sets.get_set(set_id))
        except NotFound:  # a set that was removed since its box was ticked
            continue
    formats = formats_in_force()
    cut_from = next((f for f in formats.rows if f.name == request.args.get("format")), None)
    return _Pulled(sets, formats, cut_from, pulls_of(sets, cut_from, to_hang=True))


def _page(now: StoredSet, form: Form, *, conflict: Conflict | None = None) -> str:
    pulled = _pulled(now)
    if not form.values:
        form = Form({"spare_percent": plain(now.spare_percent)})
    every = state().sets.list_sets()
    return render_template(
        "pulls/show.html",
        now=now,
        view=view_of(pulled.sets, pulled.pulls, pulled.formats.rows, pulled.cut_from, every),
        asked=pulled.asked,
        form=form,
        conflict=conflict,
    )
