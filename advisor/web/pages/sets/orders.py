"""The work order of a set: its tasks, the order of the walk, and who goes to which head."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Refused
from ....model.basis.problems import short
from ....store import Change, Conflict, StoredSet
from ...access.sessions import person
from ...forms.form import Form
from ...live.conflict import seen_of
from ...live.idempotency import conflict_status, tell_revision
from ...plans.at_hand import at_hand_of
from ...plans.onward.order import OrderNow, holder, order_of
from ...state import state
from ...views.pulls.work_order import order_page
from ...views.pulls.wrap import to_hang_again, wrap_page

blueprint = Blueprint("orders", __name__)
_MOST = 4000
"""No order is longer, written as numbers with a line between them."""


@blueprint.get("/sets/<int:set_id>/order")
def show_order(set_id: int) -> ResponseReturnValue:
    """Show the work order; ``?walk=yes`` unfolds the order of the heads.

    ``?missed=`` is the source that somebody asked for, and did not get.
    """
    return _page(state().sets.get_set(set_id), missed=request.args.get("missed", type=int))


@blueprint.post("/sets/<int:set_id>/order")
def order_heads(set_id: int) -> ResponseReturnValue:
    """Keep the order of the walk: `walk` has all numbers, or `move` has one that goes `up` or `down`."""
    now, form = state().sets.get_set(set_id), Form(request.form)
    try:
        seen = seen_of(now)
        kept = state().sets.update_set(set_id, walk=_walk(now, form), revision=seen)
        tell_revision(seen, now.revision, kept.revision)
    except Conflict as other:
        return _page(state().sets.get_set(set_id), late=True, by=other.by), conflict_status()
    number = form.value("move").partition("-")[0]
    anchor = f"walk-{number}" if number else "walk"
    return redirect(url_for("orders.show_order", set_id=set_id, walk="yes", _anchor=anchor))


@blueprint.route("/sets/<int:set_id>/order/next", methods=["GET", "POST"])
def go_next(set_id: int) -> ResponseReturnValue:
    """Leave the head of `after`, go to that of `head`, which the button named, and take it.

    Where that is taken or done, the work order says so, and nothing is taken. Without `head` it is the next
    one that is free. What `waited` for the link was done a while ago: it takes nothing.
    """
    if request.method != "POST":  # a page on which nothing was free, opened again by its address
        return redirect(url_for("orders.show_order", set_id=set_id))
    after, named = (request.form.get(name, type=int) for name in ("after", "head"))
    one = order_of(state().sets.get_set(set_id))
    if request.form.get("waited"):
        _leave(one, after)
        return redirect(url_for("orders.show_order", set_id=set_id))
    if named is not None:
        if one.may_go_to(named) and _taken(named):
            return redirect(url_for("sources.show_source", source_id=named))
        _leave(one, after)
        return redirect(url_for("orders.show_order", set_id=set_id, missed=named))
    while task := one.next_after(after):
        source_id = one.source(task).id
        if _taken(source_id):
            return redirect(url_for("sources.show_source", source_id=source_id))
        one = order_of(one.now)  # somebody was quicker
    _leave(one, after)
    return redirect(url_for("orders.show_order", set_id=set_id))


@blueprint.post("/sets/<int:set_id>/order/wrap")
def wrap(set_id: int) -> ResponseReturnValue:
    """Say that the day ends and all comes down; with `again`, that somebody begins again.

    What hung when stays as it was said. Who begins again hangs anew what came down.
    """
    now, again = state().sets.get_set(set_id), request.form.get("again") == "yes"
    if now.wrapped is again:
        for one in now.sources:
            if again and one.number in now.down and one.source.work and one.source.work.hangs:
                state().sets.change_source(one.id, {"work": to_hang_again(one.source.work)})
        state().sets.update_set(set_id, wrapped=not again, down=[])
    return redirect(url_for("orders.show_order", set_id=set_id))


@blueprint.post("/sources/<int:source_id>/down")
def take_down(source_id: int) -> ResponseReturnValue:
    """Say that a head of a wrapped set is bare; with `back`, that its gel hangs yet."""
    one, back = state().sets.get_source(source_id), request.form.get("back") == "yes"
    while (now := state().sets.get_set(one.set_id)).wrapped:
        others = [number for number in now.down if number != one.number]
        try:
            state().sets.update_set(
                now.id, down=others if back else [*others, one.number], revision=now.revision
            )
            break
        except Conflict:
            continue  # somebody else took another one down meanwhile: both are
    return redirect(url_for("orders.show_order", set_id=one.set_id))


def _leave(one: OrderNow, source_id: int | None) -> None:
    """Free a head if whoever asks is at it."""
    if source_id is not None and (there := one.at.get(source_id)) and there.holder == holder():
        state().taken.free(source_id)


@blueprint.route("/sources/<int:source_id>/take", methods=["GET", "POST"])
def take_head(source_id: int) -> ResponseReturnValue:
    """Take a head; with `over`, though another one is at it. What `waited` for the link takes nothing."""
    if request.method == "POST" and not request.form.get("waited"):
        if request.form.get("over") == "yes":
            state().taken.free(source_id)
        _taken(source_id)
    return redirect(url_for("sources.show_source", source_id=source_id))


@blueprint.route("/sources/<int:source_id>/free", methods=["GET", "POST"])
def free_head(source_id: int) -> ResponseReturnValue:
    """Free a head for others, whoever is at it."""
    now = state().sets.get_source(source_id)
    if request.method == "POST":
        state().taken.free(source_id)
    return redirect(url_for("orders.show_order", set_id=now.set_id))


def _taken(source_id: int) -> bool:
    """Take a head for whoever asks, and return whether it is theirs."""
    mine = holder()
    return state().taken.take(source_id, mine, person().name).holder == mine


def _walk(now: StoredSet, form: Form) -> list[int]:
    order = [now.sources[index].number for index in now.walked]
    number, _, way = form.value("move").partition("-")
    if number:
        if way not in ("up", "down") or number not in map(str, order):
            raise Refused.one("move", f"{short(form.value('move'))} moves no head", "a head's Up or Down")
        k = order.index(int(number))
        other = k + (1 if way == "down" else -1)
        if 0 <= other < len(order):
            order[k], order[other] = order[other], order[k]
        return order
    said = form.value("walk")
    parts = said[:_MOST].split("-")
    if sorted(parts) != sorted(map(str, order)):
        raise Refused.one("walk", f"{short(said)} does not name every head once", "the list as it stands now")
    return [int(part) for part in parts]


def _page(now: StoredSet, *, late: bool = False, by: Change | None = None, missed: int | None = None) -> str:
    if now.wrapped:
        return render_template("sets/wrap.html", now=now, view=wrap_page(now, at_hand_of(now)))
    one: OrderNow = order_of(now)
    unfolded = late or request.args.get("walk") == "yes"
    view = order_page(one, missed)
    return render_template("sets/order.html", now=now, view=view, late=late, by=by, unfolded=unfolded)
