"""Heads that were tested, put on a set with one tap: the readings of the test are the source's."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import UNREAD, Refused, Source
from ....store.known_heads.known import StoredTest
from ...state import state
from ...views.known_heads.lines import groups_of

blueprint = Blueprint("from_heads", __name__)


@blueprint.route("/sets/<int:set_id>/heads", methods=["GET", "POST"])
def add_head(set_id: int) -> ResponseReturnValue:
    """Show the heads that were tested; a tap adds one as a source, by its newest test that has a reading."""
    now = state().sets.get_set(set_id)
    if request.method != "POST":
        tested = [one for one in state().heads.list_heads() if one.readings]
        after = request.args.get("added", type=int)
        added = next((s for s in now.sources if s.id == after), None)
        return render_template("known_heads/from_heads.html", now=now, groups=groups_of(tested), added=added)
    test = _test(request.form.get("head", type=int))
    head = state().heads.get_head(test.head_id).head
    # The first step, full and mostly bare, comes last, since the last one counts.
    steps = sorted(test.readings, reverse=True)
    taken = [(t.reading.on_set, t.taken_at, t.who) for t in (test.readings[k] for k in steps)]
    watts = next((w for k in sorted(test.readings) if (w := test.readings[k].reading.watts)), None)
    source = Source(
        name=head.name, kind=head.kind, reading=UNREAD, reach=head.reach, note=head.note, watts=watts
    )
    added_id = state().sets.add_tested(set_id, source, test.id, taken)
    return redirect(url_for("from_heads.add_head", set_id=set_id, added=added_id))


def _test(head_id: int | None) -> StoredTest:
    tests = state().heads.tests_of(head_id) if head_id is not None else []
    found = next((test for test in tests if test.readings), None)
    if found is None:
        raise Refused.one(
            "head", "this head was not tested", "one of the heads in the list, or test it first"
        )
    return found
