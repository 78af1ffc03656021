"""Heads beside each other: a group, or those that are ticked, at one level, modifier and dial."""

from collections.abc import Sequence

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from ....model import Problem, Refused, Setting
from ....model.basis.base import Model, name_key
from ....model.basis.quantities import DimLevel
from ....model.sets.phrases import dial_said
from ....store.known_heads.known import HeadSummary, StoredHead, StoredTest
from ...forms.form import Form, make
from ...state import gels_in_force, state
from ...views.known_heads.beside import HeldAt, beside_view
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
    several = [(one.stored, state().heads.get_test(one.test_id)) for one in chosen if one.test_id]
    modifiers, dials = _modifiers(several), _dials(several)
    wrong, view = list[Problem](), None
    try:
        if len(chosen) > MOST:
            raise Refused.one("head", f"{len(chosen)} heads are ticked", f"at most {MOST} at once")
        level = make(_Asked, {"level": form.value("level").strip() or "100"}).level
        dial = next((d for d in dials if _dial_value(d) == form.value("dial")), dials[0] if dials else None)
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


def _modifiers(several: Sequence[tuple[StoredHead, StoredTest]]) -> list[str]:
    """Return the modifiers that were read, bare first."""
    read = {t.reading.modifier for _, test in several for t in test.readings.values()}
    return sorted({name_key(m): m for m in sorted(read)}.values()) or [""]


def _dials(several: Sequence[tuple[StoredHead, StoredTest]]) -> list[Setting]:
    """Return the dial settings that were read, from the warmest up."""
    read = {dial for _, test in several for t in test.readings.values() if (dial := t.reading.dial)}
    return sorted(read, key=lambda dial: (dial.cct, dial.green))


def _dial_value(dial: Setting) -> str:
    return f"{plain(dial.cct)}/{plain(dial.green)}"
