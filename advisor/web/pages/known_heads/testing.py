"""The test of a head: what to read is chosen once, then one reading a screen; it can be left and resumed."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.known_heads.doubts import HeadDoubt, doubt_of
from ....model import HeadReading, HeadSetup, HeadTest, Refused
from ....model.sets.known_head import HeadStep
from ....store.known_heads.known import StoredHead, StoredTest
from ...forms.form import Form
from ...forms.head_form import USUAL_LEVELS, beyond_dials, fields_of_test, test_from
from ...forms.head_step import fields_of_setup, fields_of_step, read_again, step_reading
from ...forms.lengths import length_entry
from ...forms.taken import age
from ...gels.as_modifier import IN_A_TEST, gels_in, refuse_gels
from ...live.idempotency import nothing_written
from ...state import gels_in_force, ladder_in_force, state
from ...views.known_heads.shorter import ShorterPlan, shorter_plan
from ...views.known_heads.step import Doubted, next_step, step_view
from .heads import present_head

blueprint = Blueprint("head_tests", __name__)
_LATE = 60.0
"""A reading that waited so long on its phone came late: nobody is at the head any more. Our judgement. [s]"""
_ELSEWHERE = "another level or modifier. Or fix that one from the sheet, or strike this one out"
_FIELDS = ("levels", "modifiers", "dial_cct", "dial_green", "distance", "minutes_on", "meter")


@blueprint.route("/heads/<int:head_id>/test", methods=["GET", "POST"])
def new_test(head_id: int) -> ResponseReturnValue:
    """Choose what to read of a head: levels and modifiers, and how it stands; as in its last test.

    For one that was never tested it is as in the last test of a head of its kind: a crew tests several alike.
    The meter is the one that any head was tested with last: a crew has one. A long test is begun once
    somebody said whether it is to be the whole, or the short one.
    """
    now = present_head(head_id)
    if request.method != "POST":
        own = (one.test for one in state().heads.tests_of(head_id) if not one.test.on_set)
        earlier = next(own, None) or state().heads.newest_test(now.head.kind)
        proposed = _again(earlier) if earlier else {"levels": USUAL_LEVELS, "bare": "yes"}
        return _choose(now, Form({**proposed, "meter": state().heads.newest_meter()}))
    form = Form(request.form)
    try:
        test = test_from(form, now.head)
        refuse_gels(test.modifiers, gels_in_force(), "modifiers", IN_A_TEST)
        if not form.value("plan") and (shorter := shorter_plan(test)):
            nothing_written()
            return _choose(now, form, shorter), 422
        test_id = state().heads.begin_test(head_id, test)
    except Refused as no:
        return _choose(now, form.after(no), _short_of(form, now)), 422
    return redirect(url_for("head_tests.take_reading", test_id=test_id))


@blueprint.route("/tests/<int:test_id>", methods=["GET", "POST"])
def take_reading(test_id: int) -> ResponseReturnValue:
    """Take the next reading that is not taken yet, or that of step ``?at=``, counted from 0.

    With ``?fix=`` that one alone is corrected, and the sheet comes next. What was read before is passed over,
    unless somebody goes through that. Where the form says that the head
    was set otherwise, the reading is one of that, whether the test asks for it or not.

    A reading that does not fit the others is asked about before it is kept, unless it comes in late: then
    the head does not stand there any more. What reads alike twice is kept. With ``then`` it is kept, and the
    step that it was held against is corrected next. With ``drop`` what was read there is struck out.
    """
    test = state().heads.get_test(test_id)
    step = _step(test)
    if step is None:
        return redirect(url_for("test_sheet.show_sheet", test_id=test_id))
    if request.method != "POST":
        read = test.readings.get(step)
        set_as = fields_of_setup(test.test.steps[step])
        return _page(test, step, Form({**set_as, **(fields_of_step(read.reading) if read else {})}))
    form = Form(request.form)
    if form.value("drop"):
        state().heads.drop_step(test_id, step)
        return redirect(url_for("test_sheet.show_sheet", test_id=test_id))
    read, said = test.readings.get(step), step
    if read is None or form_differs(form, fields_of_step(read.reading)):
        try:
            reading = step_reading(form, test.test.steps[step])
            if reading.modifier != test.test.steps[step].setup.modifier:
                refuse_gels([reading.modifier], gels_in_force(), "modifier", IN_A_TEST)
            _refuse_elsewhere(test, step, reading)
            sure = form.value("sure") or age() > _LATE or read_again(form, reading)
            doubt = None if sure else _doubt(test, step, reading)
            if doubt:
                nothing_written()
                return _page(test, step, form, Doubted(reading, doubt)), 422
            moved = step if test.test.step_of(reading) != step else None
            state().heads.take_reading(test_id, reading, moved, other=True)
            said = test.test.asking_for(reading).step_of(reading) or 0
        except Refused as no:
            return _page(test, step, form.after(no)), 422
    if (wrong := request.form.get("then", type=int)) is not None:
        return redirect(url_for("head_tests.take_reading", test_id=test_id, at=wrong, fix="yes"))
    onward = None if "fix" in request.args else next_step(test, step, said)
    if onward is not None:
        return redirect(url_for("head_tests.take_reading", test_id=test_id, at=onward, said=said))
    return redirect(url_for("test_sheet.show_sheet", test_id=test_id))


def _again(earlier: HeadTest) -> dict[str, str]:
    """Return the fields of a test like an earlier one, without gels that were taken for modifiers."""
    left = [one for one in earlier.modifiers if not gels_in(one, gels_in_force())]
    return fields_of_test(earlier.model_copy(update={"modifiers": left or [""]}))


def _refuse_elsewhere(test: StoredTest, step: int, reading: HeadReading) -> None:
    """Raise Refused for a reading in the place of `step` that is of one read already, or beyond the dials."""
    to = test.test.step_of(reading)
    if to not in (None, step) and to in test.readings:
        says = f"{test.test.steps[to].words} is read already"
        raise Refused.one("level", says, _ELSEWHERE)
    if to is None and reading.dial and (wrong := beyond_dials(reading.dial, _head_of(test).head.reach)):
        raise Refused([wrong])


def _doubt(test: StoredTest, step: int, reading: HeadReading) -> HeadDoubt | None:
    """Return what is odd about a reading in the place of `step`, as it says that the head was set."""
    steps = test.test.steps
    others = {(steps[k].setup, steps[k].level): t.reading for k, t in test.readings.items() if k != step}
    # A modifier is the same in capitals: the step of the test has it as it was called there.
    to = test.test.step_of(reading)
    here = HeadStep(HeadSetup(reading.modifier, reading.dial), reading.level) if to is None else steps[to]
    return doubt_of(here, reading, others, ladder_in_force())


def _head_of(test: StoredTest) -> StoredHead:
    return state().heads.get_head(test.head_id)


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


def _short_of(form: Form, now: StoredHead) -> ShorterPlan | None:
    """Return the short plan of a test that is too long as a whole; None where that is no help."""
    try:
        return shorter_plan(test_from(Form({**form.values, "plan": "short"}), now.head))
    except Refused:
        return None


def _choose(now: StoredHead, form: Form, shorter: ShorterPlan | None = None) -> str:
    return render_template(
        "known_heads/new_test.html",
        now=now,
        form=form,
        shorter=shorter,
        fields=_FIELDS,
        lengths=length_entry(),
    )


def _page(test: StoredTest, step: int, form: Form, doubted: Doubted | None = None) -> str:
    head, said = _head_of(test), request.args.get("said", type=int)
    view = step_view(test, step, said, form, ladder_in_force(), doubted, head.head.kind)
    fix = "yes" if step in test.readings and "fix" in request.args else None
    return render_template("known_heads/step.html", test=test, head=head, form=form, view=view, fix=fix)
