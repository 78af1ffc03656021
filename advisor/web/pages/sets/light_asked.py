"""Light that is asked for: an f-number, a ratio and limits; what each source does, planned at a tap."""

import re
from collections.abc import Mapping
from math import log2
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.light_aims.wanted import LightAims
from ....advice.overview.f_number import exposure_time, time_said
from ....model import Refused, Role
from ....model.asked_light import AskedAims, AskedContrast, AskedLimit, AskedThanNow
from ....model.sets.phrases import counted
from ....store import Change, Conflict, StoredSet, StoredSource
from ...forms.form import Form, in_row, make
from ...live.conflict import Adoptable, adopt
from ...live.idempotency import conflict_status
from ...plans.kept import plan_for
from ...plans.onward.light_asked import ASKED, asked_fields, light_asked_page, solution_of
from ...plans.onward.light_planned import is_planned, works_of_light
from ...state import gels_in_force, state
from ...wording.values import plain
from .next_plans import joined

_SAME_STOPS = 0.1
"""A ratio and stops that differ by less were rounded. [stop]"""
_TIMES = re.compile(r"(\d+(?:[.,]\d+)?)\s*[x×]|[x×]\s*(\d+(?:[.,]\d+)?)", re.IGNORECASE)
"""How many times as bright: “1.5x”, “×1.5”."""
blueprint = Blueprint("light_asked", __name__)


@blueprint.get("/sets/<int:set_id>/light/asked")
def ask_light(set_id: int) -> ResponseReturnValue:
    """Show the form and, where something is asked (``?f_number=``), what each source does for it."""
    return _page(state().sets.get_set(set_id))


@blueprint.post("/sets/<int:set_id>/light/asked")
def plan_light(set_id: int) -> ResponseReturnValue:
    """Plan what was shown: levels of dimmers, and stacks in the place of what hangs."""
    now = state().sets.get_set(set_id)
    plan = plan_for(now)

    def lit() -> Adoptable:
        aims = _aims(now, request.form)
        chosen = {one.id: request.form.get(f"way_{one.id}", "") for one in now.sources}
        return Adoptable(now.target, *works_of_light(now, plan, solution_of(now, plan, aims), chosen))

    try:
        numbers = adopt(now, lit)
    except Refused as no:
        return _page(now, no=no), 422
    except Conflict as other:
        return _page(state().sets.get_set(set_id), late=True, by=other.by), conflict_status()
    again: dict[str, Any] = {**asked_fields(request.form), "done": joined(numbers)}
    return redirect(url_for("light_asked.ask_light", set_id=set_id, **again))


@blueprint.route("/sets/<int:set_id>/light/scrims", methods=["GET", "POST"])
def add_scrims(set_id: int) -> ResponseReturnValue:
    """Put the shipped scrims into the crew's own gel table, and go on with what was asked."""
    if request.method == "POST":
        state().gels.add_shipped(lambda gel: gel.scrim, "single and double scrim in use")
    again: dict[str, Any] = {**asked_fields(request.form)}
    return redirect(url_for("light_asked.ask_light", set_id=set_id, **again))


def _aims(now: StoredSet, typed: Mapping[str, str]) -> LightAims:
    """Read what is asked; an empty field asks nothing, and a limit left empty is the source's own."""
    form = Form(typed)
    said = {name: form.value(name).strip().lower().removeprefix("f/").strip() for name in ASKED}
    said["key_to_fill"] = said["key_to_fill"].removesuffix(":1").strip()
    contrast = said.pop("contrast")
    asked = make(AskedAims, {name: text for name, text in said.items() if text})
    key_to_fill = _ratio(asked.key_to_fill, contrast)
    limits = {}
    for index, stored in enumerate(now.sources):
        text = form.value(f"over_key_{stored.id}").strip()
        if text and stored.source.role is not Role.KEY:
            try:
                limits[index] = make(AskedLimit, {"over_key": text}).over_key
            except Refused as no:
                raise Refused(in_row(no, stored.id)) from None
    than_now = {
        index: _than_now(text, stored, asked)
        for index, stored in enumerate(now.sources)
        if (text := form.value(f"than_now_{stored.id}").strip())
    }
    return LightAims(now.exposure, asked.f_number, key_to_fill, limits, than_now)


def _than_now(text: str, stored: StoredSource, asked: AskedAims) -> float:
    """Read how much brighter a source is to be: “0.6”, or how many times as bright, “1.5x”.

    Raises Refused for anything else, and where its light is asked for in another way too.
    """
    times, role = _TIMES.fullmatch(text), stored.source.role
    where = f"than_now_{stored.id}"
    if times:
        many = float(next(filter(None, times.groups())).replace(",", "."))
        text = str(round(log2(many), 3)) if many else text
    also = {Role.KEY: (asked.f_number, "the f-number"), Role.FILL: (asked.key_to_fill, "key to fill")}
    other, words = also.get(role, (None, ""))
    if other is not None:
        says = f"the light of {stored.source.name} is asked for by {words} too"
        raise Refused.one(where, says, "one of the two, the other empty")
    try:
        return make(AskedThanNow, {"than_now": text}).than_now
    except Refused as no:
        raise Refused(in_row(no, stored.id)) from None


def _ratio(key_to_fill: float | None, contrast: str) -> float | None:
    """Return the ratio that is asked for, by itself or in stops; raises Refused where the two are not one."""
    if not contrast:
        return key_to_fill
    stops = make(AskedContrast, {"contrast": contrast}).contrast
    ratio = float(2.0**stops)
    if key_to_fill is not None and abs(log2(key_to_fill) - stops) > _SAME_STOPS:
        same = f"{counted(stops, 'stop')} {'is' if stops == 1 else 'are'} {plain(round(ratio, 1))}:1"
        says = f"{same}, and {plain(key_to_fill)}:1 is asked"
        raise Refused.one("contrast", says, "one of the two, the other empty")
    return ratio


def _page(now: StoredSet, *, no: Refused | None = None, late: bool = False, by: Change | None = None) -> str:
    typed = request.form if request.method == "POST" else request.args
    form, view, done = Form(typed), None, request.args.get("done", "")
    try:
        aims = _aims(now, typed)
        if aims.some and no is None:
            plan = plan_for(now)
            found = solution_of(now, plan, aims)
            view = light_asked_page(now, plan, aims, found)
            if request.method == "GET" and not done and is_planned(now, found):
                done = joined(state().sets.adopted.newest(now.id))  # it was sent while there was no link
    except Refused as wrong:
        no = wrong
    limited = [
        (stored, plain(stored.source.over_key))
        for stored in now.sources
        if stored.source.role not in (Role.KEY, Role.FILL)
    ]
    fields = {
        "over_key": [f"over_key_{stored.id}" for stored, _ in limited],
        "than_now": [f"than_now_{stored.id}" for stored in now.sources],
    }
    return render_template(
        "sets/light_asked.html",
        now=now,
        form=form.after(no) if no else form,
        view=view,
        fields=[*ASKED, *fields["over_key"], *fields["than_now"]],
        folds=fields,
        limited=limited,
        camera=f"At ISO {plain(now.exposure.iso)} and {time_said(exposure_time(now.exposure))}, "
        f"C {plain(now.exposure.constant)}.",
        asked=asked_fields(typed),
        no_scrims=not any(gel.scrim and gel.on for gel in gels_in_force()),
        done=done,
        late=late,
        by=by,
    )
