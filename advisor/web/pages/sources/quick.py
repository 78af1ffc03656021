"""The first page: two numbers in, an answer out, nothing saved."""

from urllib.parse import urlencode

from flask import Blueprint, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.plan.questions import kind_question, side_effect, why_beyond
from ....model import Kind, Limits, Locus, Refused, Target
from ....model.basis.problems import within
from ....model.sets.phrases import white
from ....model.sets.target import PLANCKIAN_BELOW
from ...forms.form import Form, make
from ...forms.set_form import target_data
from ...forms.source_form import source_from
from ...gels.guesses import guess_in
from ...pictures.light_path import light_path_of
from ...plans.kept import plan_alone
from ...state import gels_in_force, state, truck_unasked
from ...wording.runners_up import runners_up

blueprint = Blueprint("quick", __name__)
_USUAL = {"kind": "unknown", "target_cct": "5600", "target_locus": "daylight"}

_MOST_SETS = 5
"""How many sets are offered to add the source to: those that were changed last."""
_CARRIED = ("cct", "duv", "kind", "lux")
"""Fields that the form of a new source is given."""
_BESIDE = ("cct", "duv", "kind", "target_cct", "lux")
"""Fields that show their own problems."""


@blueprint.get("/")
def quick_check() -> ResponseReturnValue:
    """Show the fields, and the answer once CCT and Duv are there.

    The address carries what was typed, so that going back, reloading and sharing work. A script asks
    for ``?part=answer`` as the person types.
    """
    form = Form({**_USUAL, **request.args.to_dict(), "name": "This source"})
    asked = any(form.value(name).strip() for name in ("cct", "duv"))
    plan = None
    if asked:
        try:
            plan = plan_alone(source_from(form), _target_from(form), Limits())
            form = Form(form.values, [*plan.problems, *plan.alone.problems])
        except Refused as no:
            form = form.after(no)
    part = request.args.get("part") == "answer"
    template = "quick/answer.html" if part else "quick/page.html"
    runners = runners_up(plan.alone, Limits()) if plan else []
    return render_template(
        template,
        form=form,
        plan=plan,
        runners=runners,
        asked=asked,
        guess=guess_in(plan.alone, gels_in_force()) if plan else None,
        truck_unasked=not asked and truck_unasked(),
        part=part,
        beside=_BESIDE,
        path=light_path_of(plan, 0, plan.alone.best) if plan and plan.alone.best else None,
        hint=kind_question(plan, 0) if plan else None,
        kind_links=_kind_links(),
        side=side_effect(plan, 0) if plan else "",
        beyond_why=why_beyond(plan, 0) if plan else "",
        target_words=_target_words(form),
        locus_why=_locus_why(form),
        add_to=_sets_to_add_to(form) if plan and plan.alone.best else [],
    )


def _kind_links() -> dict[Kind, str]:
    """Return the address of this answer for each kind of source."""
    asked = {name: text for name, text in request.args.items() if name != "part"}
    here = url_for("quick.quick_check")
    return {kind: f"{here}?{urlencode({**asked, 'kind': kind.value})}" for kind in Kind}


def _sets_to_add_to(form: Form) -> list[tuple[str, str]]:
    """Return the names of sets, the one changed last first, each with a form that holds the reading."""
    asked = urlencode({name: form.value(name) for name in _CARRIED if form.value(name)})
    sets = state().sets.list_sets()[:_MOST_SETS]
    return [(one.name, f"{url_for('sources.new_source', set_id=one.id)}?{asked}") for one in sets]


def _target_from(form: Form) -> Target:
    """Read the target; on the locus of daylight, which stands in the form, as far as that goes."""
    data = target_data(form)
    if data.get("locus") == Locus.DAYLIGHT:
        del data["locus"]
    with within("target"):
        return make(Target, data)


def _locus_why(form: Form) -> str:
    """Say why the target is not on the locus that the form shows; empty where it is."""
    try:
        moved = form.value("target_locus") == Locus.DAYLIGHT and _target_from(form).locus is Locus.PLANCKIAN
    except Refused:
        return ""
    return PLANCKIAN_BELOW if moved else ""


def _target_words(form: Form) -> str:
    try:
        return white(_target_from(form))
    except Refused:
        return f"{form.value('target_cct')} K, {form.value('target_locus')}"
