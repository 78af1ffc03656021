"""Heads beside each other: a group, or those that are ticked, at one level, modifier and dial."""

from collections.abc import Sequence
from math import log

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from ....advice.readings.chromaticity import measure
from ....model import HeadReading, Problem, Refused, Setting
from ....model.basis.base import Model, name_key
from ....model.basis.quantities import DimLevel
from ....model.sets.phrases import dial_said
from ....store.known_heads.known import HeadSummary, StoredHead
from ...forms.form import Form, make
from ...state import gels_in_force, state
from ...views.known_heads.beside import HeldAt, beside_view
from ...views.known_heads.on_set import readings_now
from ...wording.values import plain

blueprint = Blueprint("heads_beside", __name__)
MOST = 50
"""The most heads that are held against each other at once."""


@blueprint.get("/heads/beside")
def show_beside() -> ResponseReturnValue:
    """Show how heads stand beside each other; the address names a ``group``, or each ``head``."""
    tested = [one for one in state().heads.list_heads() if one.test_id is not None and one.readings]
    form = Form(request.args.to_dict())
    chosen = _chosen(tested)
    tests_of = state().heads.tests_of
    several = [(one.stored, readings_now(one.stored, tests_of(one.stored.id))) for one in chosen[:MOST]]
    modifiers, dials = _modifiers(several), _dials(several)
    wrong, view, dial = list[Problem](), None, _usual_dial(several)
    try:
        if len(chosen) > MOST:
            raise Refused.one("head", f"{len(chosen)} heads are ticked", f"at most {MOST} at once")
        level = make(_Asked, {"level": form.value("level").strip() or "100"}).level
        dial = next((d for d in dials if _dial_value(d) == form.value("dial")), _usual_dial(several))
        asked = form.value("modifier")
        modifier = next((m for m in modifiers if name_key(m) == name_key(asked)), modifiers[0])
        to = request.args.get("to", type=int)
        if several:
            view = beside_view(several, HeldAt(level, modifier, dial), to, gels_in_force())
    except Refused as no:
        wrong += no.problems
    form.problems = wrong
    page = render_template(
        "known_heads/beside.html",
        view=view,
        form=form,
        group=request.args.get("group", ""),
        tested=tested,
        chosen={one.stored.id for one in chosen},
        dial=_dial_value(dial) if dial else "",
        modifiers=[(m, m or "Bare") for m in modifiers],
        dials=[(_dial_value(d), dial_said(d)) for d in dials],
    )
    return page, 422 if wrong else 200


class _Asked(Model):
    level: DimLevel


def _chosen(tested: Sequence[HeadSummary]) -> list[HeadSummary]:
    """Return the heads that are ticked; without any, those of the group that is named."""
    ids = set(request.args.getlist("head", type=int))
    if ids:
        return [one for one in tested if one.stored.id in ids]
    group = request.args.get("group", "")
    return [one for one in tested if group and one.stored.head.group == group]


_Several = Sequence[tuple[StoredHead, Sequence[HeadReading]]]


def _modifiers(several: _Several) -> list[str]:
    """Return the modifiers that were read, bare first."""
    read = {r.modifier for _, readings in several for r in readings}
    return sorted({name_key(m): m for m in sorted(read)}.values()) or [""]


def _usual_dial(several: _Several) -> Setting | None:
    """Return the dial setting at which heads are compared: that nearest to those without dials.

    Where all have dials it is the one that the most were read at, the warmest of these.
    """
    dials = _dials(several)
    if not dials:
        return None
    fixed = [measure(readings[0]).cct for _, readings in several if readings and not readings[0].dial]
    if fixed:
        middle = sum(fixed) / len(fixed)
        return min(dials, key=lambda dial: (abs(log(dial.cct / middle)), abs(dial.green)))
    return max(dials, key=lambda dial: sum(any(r.dial == dial for r in some) for _, some in several))


def _dials(several: _Several) -> list[Setting]:
    """Return the dial settings that were read, from the warmest up."""
    read = {dial for _, readings in several for r in readings if (dial := r.dial)}
    return sorted(read, key=lambda dial: (dial.cct, dial.green))


def _dial_value(dial: Setting) -> str:
    return f"{plain(dial.cct)}/{plain(dial.green)}"
