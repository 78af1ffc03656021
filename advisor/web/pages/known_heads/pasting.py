"""The test of a head from a pasted table or spectra: what was understood is shown before it is kept."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....imports.head_test import PastedTest, read_head_test
from ....imports.text.decode import characters, decode
from ....model import HeadReading, HeadTest, KnownHead, Problem, Refused
from ....store.known_heads.known import StoredHead
from ...forms.files import uploaded_file
from ...forms.form import Form
from ...forms.head_form import fields_of_test, read_test
from ...forms.lengths import length_entry
from ...gels.as_modifier import IN_A_TEST, refuse_gels
from ...live.idempotency import nothing_written
from ...pastes.long_texts import given_text, shown_text
from ...state import gels_in_force, state
from ...views.known_heads.pasted import lines_named, row_said
from .heads import present_head

blueprint = Blueprint("test_paste", __name__)


@blueprint.route("/heads/<int:head_id>/paste", methods=["GET", "POST"])
def paste_test(head_id: int) -> ResponseReturnValue:
    """Read a text as the test of a head and show what was understood; with ``save``, keep it as a test."""
    now = present_head(head_id)
    if request.method != "POST":
        earlier = state().heads.tests_of(head_id)
        proposed = fields_of_test(earlier[0].test) if earlier else {}
        return _page(now, Form({**proposed, "meter": state().heads.newest_meter()}))
    form, found = Form(request.form), PastedTest((), ())
    try:
        if (data := uploaded_file()) is not None:
            form = Form(request.form.to_dict() | {"text": _text(data)})
        else:
            form = Form(request.form.to_dict() | {"text": given_text(request.form)})
        found = read_head_test(form.value("text"))
        if not found.readings:
            raise Refused(lines_named(found.problems) or [_NOTHING])
        test = _test(found.readings, form, now.head)
        if "save" in request.form:
            test_id = state().heads.add_test(head_id, test, found.readings)
            return redirect(url_for("test_sheet.show_sheet", test_id=test_id))
    except Refused as no:
        nothing_written()
        return _page(now, form.after(no), found), 422
    nothing_written()
    return _page(now, form, found)


_NOTHING = Problem(where="text", says="there is no reading in it", allowed="a table, lines, or spectra")


def _text(data: bytes) -> str:
    text = characters(data, where="the file")
    return text if "IESTM2714" in text[:2000] else decode(data, where="the file")


def _test(readings: tuple[HeadReading, ...], form: Form, head: KnownHead) -> HeadTest:
    """Return the test that asks for just what was read; raises Refused."""
    if any(r.dial for r in readings) and not all(r.dial for r in readings):
        raise Refused.one("text", "some rows say how the dials stood, and others do not", "dials in all rows")
    refuse_gels((r.modifier for r in readings), gels_in_force(), "text", IN_A_TEST)
    return read_test(form, readings, head)


def _page(now: StoredHead, form: Form, found: PastedTest | None = None) -> str:
    return render_template(
        "known_heads/paste.html",
        now=now,
        form=form,
        text=shown_text(form.value("text"), form.problems),
        rows=[row_said(reading) for reading in found.readings] if found else [],
        left_out=lines_named(found.problems) if found and found.readings else (),
        fields=("distance", "minutes_on", "meter"),
        lengths=length_entry(),
    )
