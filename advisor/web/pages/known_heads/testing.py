"""The test of a head: what to read is chosen once, then one reading a screen; it can be left and resumed."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.known_heads.doubts import HeadDoubt, doubt_of
from ....model import HeadReading, Refused
from ....store.known_heads.known import StoredHead, StoredTest
from ...forms.form import Form
from ...forms.head_form import USUAL_LEVELS, fields_of_test, test_from
from ...forms.head_step import fields_of_step, step_reading
from ...forms.lengths import length_entry
from ...forms.taken import age
from ...live.idempotency import nothing_written
from ...state import ladder_in_force, state
from ...views.known_heads.step import step_view
from .heads import present_head

blueprint = Blueprint("head_tests", __name__)
_FIELDS = ("levels", "modifiers", "dial_cct", "dial_green", "distance", "minutes_on", "meter")


@blueprint.route("/heads/<int:head_id>/test", methods=["GET", "POST"])
def new_test(head_id: int) -> ResponseReturnValue:
    """Choose what to read of a head: levels and modifiers, and how it stands; as in its last test.

    The meter is the one that any head was tested with last: a crew has one.
    """
    now = present_head(head_id)
    if request.method != "POST":
        earlier = [one for one in state().heads.tests_of(head_id) if not one.test.on_set]
        proposed = fields_of_test(earlier[0].test) if earlier else {"levels": USUAL_LEVELS, "bare": "yes"}
        return _choose(now, Form({**proposed, "meter": state().heads.newest_meter()}))
    form = Form(request.form)
    try:
        test_id = state().heads.begin_test(head_id, test_from(form, now.head))
    except Refused as no:
        return _choose(now, form.after(no)), 422
    return redirect(url_for("head_tests.take_reading", test_id=test_id))


@blueprint.route("/tests/<int:test_id>", methods=["GET", "POST"])
def take_reading(test_id: int) -> ResponseReturnValue:
    """Take the next reading that is not taken yet, or that of step ``?at=``, counted from 0.

    With ``?fix=`` that one alone is corrected, and the sheet comes next.

    A reading that does not fit the others is asked about before it is kept, unless it comes in late: then
    the head does not stand there any more.
    """
    test = state().heads.get_test(test_id)
    step = _step(test)
    if step is None:
        return redirect(url_for("test_sheet.show_sheet", test_id=test_id))
    if request.method != "POST":
        read = test.readings.get(step)
        return _page(test, step, Form(fields_of_step(read.reading) if read else {}))
    form = Form(request.form)
    read = test.readings.get(step)
    to = request.form.get("step", step, type=int)
    if read is None or to != step or form_differs(form, fields_of_step(read.reading)):
        try:
            _refuse_read(test, step, to)
            reading = step_reading(form, test.test, to)
            doubt = None if form.value("sure") or age() else _doubt(test, step, to, reading)
            if doubt:
                nothing_written()
                return _page(test, step, form, doubt), 422
            state().heads.take_reading(test_id, reading, moved=step if to != step else None)
        except Refused as no:
            return _page(test, step, form.after(no)), 422
    following = step + 1
    if following < len(test.test.steps) and "fix" not in request.args:
        return redirect(url_for("head_tests.take_reading", test_id=test_id, at=following, said=step))
    return redirect(url_for("test_sheet.show_sheet", test_id=test_id))


def _refuse_read(test: StoredTest, step: int, to: int) -> None:
    """Raise Refused where a reading of `step` is said to be of another that the test lacks or has read."""
    if to == step:
        return
    steps = test.test.steps
    if not 0 <= to < len(steps):
        raise Refused.one("step", "the test asks for no such reading", "one of its levels and modifiers")
    if to in test.readings:
        raise Refused.one("step", f"{steps[to].words} is read already", "fix that one first")


def _doubt(test: StoredTest, step: int, to: int, reading: HeadReading) -> HeadDoubt | None:
    """Return what is odd about a reading that is of `to` in the place of `step`."""
    steps = test.test.steps
    others = {(steps[k].setup, steps[k].level): t.reading for k, t in test.readings.items() if k != step}
    return doubt_of(steps[to], reading, others, ladder_in_force())


def form_differs(form: Form, showed: dict[str, str]) -> bool:
    """Whether a field says something else than it showed of the reading that is there."""
    typed = {name: form.value(name).strip().replace("\r\n", "\n") for name in showed if name in form.values}
    return any(typed[name] != showed[name] for name in typed)


def _step(test: StoredTest) -> int | None:
    """Return which step is asked for; None beyond the last, or where all is read and none is named."""
    asked = request.args.get("at", type=int)
    if asked is not None:
        return asked if 0 <= asked < len(test.test.steps) else None
    return test.unread[0] if test.unread else None


def _choose(now: StoredHead, form: Form) -> str:
    return render_template(
        "known_heads/new_test.html", now=now, form=form, fields=_FIELDS, lengths=length_entry()
    )


def _page(test: StoredTest, step: int, form: Form, doubt: HeadDoubt | None = None) -> str:
    view = step_view(test, step, request.args.get("said", type=int), form, ladder_in_force(), doubt)
    head = state().heads.get_head(test.head_id)
    fix = "yes" if step in test.readings and "fix" in request.args else None
    return render_template("known_heads/step.html", test=test, head=head, form=form, view=view, fix=fix)
