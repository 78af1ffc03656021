"""Heads that are seen together, matched to each other, and windows with the same gel: planned at a tap."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Refused
from ....store import Change, Conflict, StoredSet
from ...live.conflict import Adoptable, adopt
from ...live.idempotency import conflict_status
from ...plans.kept import plan_for
from ...plans.onward.together import alike_page, match_of, together_page, works_together
from ...state import formats_in_force, state

blueprint = Blueprint("together", __name__)


@blueprint.get("/sets/<int:set_id>/together")
def show_together(set_id: int) -> ResponseReturnValue:
    """Show the heads that ``?head=`` names, matched to each other; ``?alike=yes`` hangs the same on all."""
    if "head" not in request.args:  # opened by its address: they are chosen on Compare
        return redirect(url_for("compare.compare_set", set_id=set_id))
    return _page(state().sets.get_set(set_id))


@blueprint.post("/sets/<int:set_id>/together")
def plan_together(set_id: int) -> ResponseReturnValue:
    """Plan what was shown, in the place of what hangs."""
    now = state().sets.get_set(set_id)
    plan = plan_for(now)

    def matched() -> Adoptable:
        return Adoptable(now.target, works_together(now, plan, match_of(now, plan, _ids(), alike=_alike())))

    try:
        numbers = adopt(now, matched)
    except Conflict as other:
        return _page(state().sets.get_set(set_id), late=True, by=other.by), conflict_status()
    done = "-".join(map(str, numbers))
    return redirect(url_for("next_plans.show_plans", set_id=set_id, done=done))


def _ids() -> list[int]:
    heads = request.values.getlist("head", type=int)
    if len(set(heads)) < 2:
        raise Refused.one("head", "fewer than two heads are chosen", "tick two heads or more on Compare")
    return heads


def _alike() -> bool:
    return request.values.get("alike") == "yes"


def _page(now: StoredSet, *, late: bool = False, by: Change | None = None) -> str:
    found = match_of(now, plan_for(now), _ids(), alike=_alike())
    view = alike_page(now, found, formats_in_force().rows) if _alike() else together_page(now, found)
    return render_template("sets/together.html", now=now, view=view, alike=_alike(), late=late, by=by)
