"""The light at the subject: f-number, key-to-fill and other ratios, the mix, and how the camera is set."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.overview import ratios
from ....advice.overview.f_number import FStop, exposure_time, f_stop, time_said
from ....advice.overview.mix import Mix, left_out, mix
from ....advice.plan.plan import Plan
from ....model import Exposure, Refused, Role, Seen
from ....store import Conflict, StoredSet
from ...forms.form import Form, make
from ...forms.merge import Contest, same
from ...heads.plans import plan_for
from ...live.conflict import mergeable, over
from ...live.idempotency import conflict_status, tell_revision
from ...state import state
from ...wording.values import duv, kelvin, plain, steps

blueprint = Blueprint("light", __name__)
_FIELDS = ("iso", "frame_rate", "shutter_angle", "shutter_time", "constant")
_UNITS = {"shutter_angle": ("shutter_angle", "shutter_time")}
_PATHS = {
    "shutter_angle": ("exposure.shutter_angle", "exposure.shutter_time"),
    **{name: (f"exposure.{name}",) for name in ("iso", "frame_rate", "constant")},
}
_PART = re.compile(r"\s*1\s*/\s*(\d+(?:[.,]\d+)?)\s*(?:s|sec)?\s*")
"""An exposure time as cameras show it: 1/48, 1/48 s."""


@dataclass(frozen=True)
class _Stage:
    """The bare light, or the light behind the gels."""

    name: str
    subject: ratios.Sum
    stop: FStop | None
    key: ratios.Sum
    key_stop: FStop | None
    ratio: ratios.KeyToFill
    mix: Mix | None


@dataclass(frozen=True)
class _Row:
    """A source in the table: illuminances [lx] and how it stands to the key, bare and hung; stops lost.

    `as_read` says that the light behind the gels was read, not predicted.
    """

    number: int
    name: str
    now: float | None
    hung: float | None
    lost: float | None
    key_now: ratios.Ratio | None
    key_hung: ratios.Ratio | None
    as_read: bool


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
    stages = [_stage(plan, now, "bare", hung=False)]
    if ratios.planned(plan):
        stages.append(_stage(plan, now, ratios.then(plan), hung=True))
    ids = [s.id for s in now.sources]
    first, second = _pair(plan, ids)
    return render_template(
        "sets/light.html",
        now=now,
        plan=plan,
        heading=_heading(plan, stages),
        stages=stages,
        rows=[_row(plan, i, stored.number) for i, stored in enumerate(now.sources)],
        missing=[now.sources[i] for i, head in enumerate(plan.heads) if head.source.reading.lux is None],
        left_out=left_out(plan),
        limits=ratios.over_key(plan),
        first=first,
        second=second,
        ratios=[(s.name, ratios.between(plan, first, second, hung=k > 0)) for k, s in enumerate(stages)]
        if ids
        else [],
        time=time_said(exposure_time(now.exposure)),
        form=form,
        fields=_FIELDS,
        theirs=_fields_of(now.exposure),
        conflict=conflict,
        contests=contests,
    )


def _stage(plan: Plan, now: StoredSet, name: str, *, hung: bool) -> _Stage:
    subject, key = ratios.at_subject(plan, hung=hung), ratios.of_role(plan, Role.KEY, hung=hung)
    return _Stage(
        name,
        subject,
        None if subject.lux is None else f_stop(subject.lux, now.exposure),
        key,
        None if key.lux is None else f_stop(key.lux, now.exposure),
        ratios.key_to_fill(plan, hung=hung),
        mix(plan, hung=hung, tolerance=now.limits.tolerance_steps),
    )


def _row(plan: Plan, i: int, number: int) -> _Row:
    head = plan.heads[i]
    return _Row(
        number,
        head.source.name,
        ratios.lux_of(plan, i, hung=False),
        ratios.lux_of(plan, i, hung=True),
        head.lost if head.best else None,
        ratios.against_key(plan, i, hung=False),
        ratios.against_key(plan, i, hung=True),
        bool(head.check and head.check.reading.lux),
    )


def _pair(plan: Plan, ids: list[int]) -> tuple[int, int]:
    """Return the places of the two sources that were asked for; else a key and a fill, or what there is."""
    roles = [head.source.role for head in plan.heads]
    key = roles.index(Role.KEY) if Role.KEY in roles else 0
    other = 1 if key == 0 and len(ids) > 1 else 0
    fill = roles.index(Role.FILL) if Role.FILL in roles else other
    first, second = (request.args.get(name, type=int) for name in ("first", "second"))
    return ids.index(first) if first in ids else key, ids.index(second) if second in ids else fill


def _heading(plan: Plan, stages: list[_Stage]) -> str:
    """Answer in a sentence: how far off the mix sits, and which source spoils it most."""
    if not plan.heads:
        return "No source, so no light yet"
    if not stages[0].subject.names:
        return "No source falls on the subject"
    got, later = stages[-1].mix, len(stages) > 1 and not ratios.all_hang(plan)
    if got is None:
        return (
            "No source on the subject has a lux reading"
            if stages[0].subject.lux is None
            else "No white to mix"
        )
    if got.steps is None:
        return (
            f"The mix reads {kelvin(got.cct)}, Duv {duv(got.duv)}"
            if got.cct
            else "The mix is too far from white to have a CCT"
        )
    if got.words == Seen.MATCHES:
        return f"The mix {'will match' if later else 'matches'}: {steps(got.steps)} off"
    spoiled = f", spoiled most by {got.spoiler.name}" if got.spoiler else ""
    return f"The mix {'will sit' if later else 'sits'} {steps(got.steps)} off{spoiled}"
