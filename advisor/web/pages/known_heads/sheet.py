"""The test sheet of a head, on screen and on paper."""

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Exposure, Problem, Refused
from ....model.basis.base import Model
from ....model.basis.quantities import DimLevel, TestDistance, quantity_of
from ...forms.form import Form, make
from ...forms.lengths import length_entry, metres
from ...state import gels_in_force, state
from ...views.known_heads.sheet import sheet_view
from ...wording.values import plain

blueprint = Blueprint("test_sheet", __name__)
_CAMERA = ("iso", "frame_rate", "shutter_angle")


@blueprint.get("/tests/<int:test_id>/sheet")
def show_sheet(test_id: int) -> ResponseReturnValue:
    """Show what a test says; the address may hold the camera, another distance, and a level asked for."""
    test = state().heads.get_test(test_id)
    if not test.readings:
        return redirect(url_for("known_heads.show_head", head_id=test.head_id))
    usual = {name: plain(getattr(Exposure(), name)) for name in _CAMERA} | {"shutter_angle": "180"}
    form = Form({**usual, **request.args.to_dict()})
    exposure, distance, level, wrong = Exposure(), None, None, list[Problem]()
    try:
        exposure = make(Exposure, {name: form.value(name) or usual[name] for name in _CAMERA})
    except Refused as no:
        wrong += no.problems
    try:
        if form.value("distance").strip():
            distance = metres(form.value("distance"), quantity_of(TestDistance), "distance")
    except Refused as no:
        wrong += no.problems
    head = state().heads.get_head(test.head_id)
    asked = (head, test, gels_in_force(), exposure, distance)
    tests = state().heads.tests_of(test.head_id)
    try:
        level = _level(form)
        view = sheet_view(*asked, level, tests=tests)
    except Refused as no:
        wrong += no.problems
        view = sheet_view(*asked, tests=tests)
    form.problems = wrong
    page = render_template(
        "known_heads/sheet.html", head=head, test=test, form=form, view=view, lengths=length_entry()
    )
    return page, 422 if wrong else 200


class _Asked(Model):
    level: DimLevel


def _level(form: Form) -> float | None:
    """Return the level that is asked for, None where none is; raises Refused."""
    typed = form.value("level").strip()
    return make(_Asked, {"level": typed}).level if typed else None
