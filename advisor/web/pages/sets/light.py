"""The light at the subject: f-number, key-to-fill and other ratios, the mix, and how the camera is set."""

import re
from collections.abc import Sequence
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Exposure, Refused
from ....store import Conflict, StoredSet
from ...forms.form import Form, make
from ...forms.merge import Contest, same
from ...live.conflict import mergeable, over
from ...live.idempotency import conflict_status, tell_revision
from ...plans.kept import plan_for
from ...state import state
from ...views.sets.light import view_of
from ...wording.values import plain

blueprint = Blueprint("light", __name__)
_FIELDS = ("iso", "frame_rate", "shutter_angle", "shutter_time", "constant")
_UNITS = {"shutter_angle": ("shutter_angle", "shutter_time")}
_PATHS = {
    "shutter_angle": ("exposure.shutter_angle", "exposure.shutter_time"),
    **{name: (f"exposure.{name}",) for name in ("iso", "frame_rate", "constant")},
}
_PART = re.compile(r"\s*1\s*/\s*(\d+(?:[.,]\d+)?)\s*(?:s|sec)?\s*")
"""An exposure time as cameras show it: 1/48, 1/48 s."""


@blueprint.get("/sets/<int:set_id>/light")
def show_light(set_id: int) -> ResponseReturnValue:
    """Show the light of a set; ``?first=…&second=…`` are the two sources of a ratio."""
    now = state().sets.get_set(set_id)
    return _page(now, Form(_fields_of(now.exposure)))


@blueprint.route("/sets/<int:set_id>/exposure", methods=["GET", "POST"])
def set_exposure(set_id: int) -> ResponseReturnValue:
    """Set ISO, frame rate, shutter and the meter's constant."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("light.show_light", set_id=set_id))
    now = state().sets.get_set(set_id)
    form = Form(request.form)
    try:
        both = over(form, now, _fields_of(now.exposure), _UNITS, _PATHS)
        form = both.form
        if contests := both.merged.contests:
            return _page(now, form, contests=contests), conflict_status()
        kept = state().sets.update_set(
            set_id, exposure=_exposure_from(form, now.exposure), revision=both.revision
        )
        tell_revision(both.revision, now.revision, kept.revision)
    except Refused as no:
        return _page(now, form.after(no)), 422
    except Conflict as other:
        if mergeable():  # somebody wrote between the lines: that is merged too
            return set_exposure(set_id)
        assert isinstance(other.current, StoredSet), "a set's conflict is with a set"
        return _page(other.current, form, conflict=True), conflict_status()
    return redirect(url_for("light.show_light", set_id=set_id))


def _exposure_from(form: Form, before: Exposure) -> Exposure:
    """Read how the camera is set, which was as `before`; an empty shutter is left open. Raises Refused."""
    data: dict[str, Any] = {name: form.value(name) for name in _FIELDS if form.value(name).strip()}
    for name in ("iso", "frame_rate", "constant"):
        data.setdefault(name, "")  # the model says that it is empty
    part = _PART.fullmatch(form.value("shutter_time"))
    if part and (of := float(part[1].replace(",", "."))) > 0:
        data["shutter_time"] = 1.0 / of
    shown_as = _fields_of(before)
    exact = {k: getattr(before, k) for k in data if same(k, form.value(k), shown_as[k])}
    return make(Exposure, data | exact)


def _fields_of(exposure: Exposure) -> dict[str, str]:
    time = exposure.shutter_time
    fields = {name: plain(getattr(exposure, name)) for name in _FIELDS}
    return fields | {
        "shutter_time": "" if time is None else plain(time) if time > 0.4 else f"1/{1 / time:.6g}"
    }


def _page(now: StoredSet, form: Form, *, conflict: bool = False, contests: Sequence[Contest] = ()) -> str:
    plan = plan_for(now)
    asked = [request.args.get(name, type=int) for name in ("first", "second")]
    return render_template(
        "sets/light.html",
        now=now,
        plan=plan,
        view=view_of(now, plan, asked),
        page=url_for("light.show_light", set_id=now.id) if request.method == "POST" else "",
        form=form,
        fields=_FIELDS,
        theirs=_fields_of(now.exposure),
        camera_open=bool(form.problems or conflict or contests),
        conflict=conflict,
        contests=contests,
    )
