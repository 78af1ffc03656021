"""What was read of heads on a set, kept to the heads: all of the set, or one head."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....store.tables.records import StoredSet
from ...state import ladder_in_force, state
from ...views.known_heads.keep import ToKeep, kept_lines, tests_of, to_keep

blueprint = Blueprint("keep_readings", __name__)


@blueprint.route("/sets/<int:set_id>/keep", methods=["GET", "POST"])
def keep(set_id: int) -> ResponseReturnValue:
    """Show what was read on a set and is not kept to its heads yet; a tap keeps it, of all or of one.

    What contradicts the test of its head is kept by a tap of its own alone: to that head, which may have got
    a new lamp (`lamp`), or to the one whose test it fits.
    """
    now = state().sets.get_set(set_id)
    found = _to_keep(now)
    if request.method != "POST":
        return _page(now, found)
    asked = request.form.get("source", type=int)
    if asked is not None:
        now.index_of(asked)  # raises NotFound
        wanted = [one for one in found if one.source.id == asked]
    else:
        wanted = [one for one in found if one.doubt is None]
    kept: list[int] = []
    for one in wanted:
        # A page from before it was in doubt names no head: then nothing is kept, and the page asks.
        head = one.to(request.form.get("head", type=int) or -1) if one.doubt else one.head
        if head and one.taken:
            new_lamp = head is one.head and request.form.get("lamp") == "new"
            kept += state().heads.keep(head.id, tests_of(one.taken, now.name, new_lamp=new_lamp))
    if asked is not None and kept and request.form.get("from") == "head":
        return redirect(url_for("sources.show_source", source_id=asked, kept=kept))
    return redirect(url_for("keep_readings.keep", set_id=set_id, kept=kept))


def _to_keep(now: StoredSet) -> list[ToKeep]:
    readings_of, terms = state().sets.readings_of, (state().heads, ladder_in_force(), now.limits.accuracy)
    return [one for source in now.sources if (one := to_keep(source, readings_of(source.id), *terms))]


def _page(now: StoredSet, found: list[ToKeep]) -> str:
    kept = request.args.getlist("kept", type=int)
    return render_template(
        "known_heads/keep.html",
        now=now,
        heads=[one for one in found if one.head and one.taken and not one.doubt],
        doubtful=[one for one in found if one.head and one.taken and one.doubt],
        gone=[one for one in found if one.head is None],
        kept=kept_lines(kept, state().heads),
    )
