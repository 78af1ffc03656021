"""Sets: the list, one set with its sources, its target, and the sample."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache, partial

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.pictures.light_path import LightPath
from ....advice.plan.plan import Plan
from ....advice.stacks.kept import Kept
from ....advice.wording.cautions import cautions
from ....model import Refused, Target
from ....store import Conflict, StoredSet
from ...forms.form import Form
from ...forms.set_form import PATHS, UNITS, fields_of_set, light_set_from, words_of_set
from ...gels.names import with_gels_named
from ...live.conflict import mergeable, over
from ...live.idempotency import conflict_status, tell_revision
from ...pictures.chromaticity_diagram import Diagram, diagram
from ...pictures.light_path import best_light_paths
from ...pictures.shift_plane import Picture, picture, trails_of
from ...plans.kept import PlanInputs, asked_of, planned
from ...plans.since import reasons
from ...plans.sky import of_today
from ...sample import add_sample, bring_heads_back, take_out_sample
from ...state import gels_in_force, ladder_in_force, state
from ...views.known_heads.on_set import newer_tests
from ...views.pulls.stock_short import short_on_set
from ...views.sets import next_plans, set_form, sheet, tags
from ...views.sets import set_page as set_view

blueprint = Blueprint("sets", __name__)
_NEW = {
    "target_cct": "5600",
    "target_locus": "daylight",
    "tolerance_steps": "3",
    "max_layers": "3",
    "share_stock": "yes",
}


@blueprint.get("/sets")
def list_sets() -> ResponseReturnValue:
    """List the sets, the one changed last first."""
    removed = request.args.get("removed", type=int)
    return render_template(
        "sets/list.html",
        sets=state().sets.list_sets(),
        removed=removed,
        gone=state().sets.removed_sets(),
    )


@blueprint.route("/sets/new", methods=["GET", "POST"])
def new_set() -> ResponseReturnValue:
    """Make a set: a name and a target are enough."""
    if request.method != "POST":
        return _edit(Form(_NEW))
    form = with_gels_named(Form(request.form))
    try:
        set_id = state().sets.create_set(light_set_from(form, ladder_in_force()))
    except Refused as no:
        return _edit(form.after(no)), 422
    return redirect(url_for("sets.show_set", set_id=set_id))


@blueprint.get("/sets/<int:set_id>")
def show_set(set_id: int) -> ResponseReturnValue:
    """Show what each source needs; ``?view=plane`` shows the plane, ``?adopted=`` offers the old target."""
    adopted = "adopted" in request.args
    return set_page(set_id, previous=state().sets.previous_target(set_id) if adopted else None)


def set_page(set_id: int, *, previous: Target | None = None, conflict: Conflict | None = None) -> str:
    """Return the page of a set, with a way back to a `previous` target where there is one.

    `conflict` says that somebody came before who wanted to go back.
    """
    now, asked, drawn = _drawn_set(set_id)
    plan = of_today(now, drawn.plan)
    as_plane = request.args.get("view") == "plane"
    return render_template(
        "sets/show.html",
        now=now,
        plan=plan,
        view=set_view.view_of(now, asked, plan, drawn.paths, reasons(now, plan), as_plane=as_plane),
        plane=drawn.plane,
        as_plane=as_plane,
        links=[url_for("sources.show_source", source_id=s.id) for s in now.sources],
        diagram=drawn.diagram if as_plane else None,
        cautions=cautions([s.source for s in now.sources], now.hidden_cautions),
        removed=request.args.get("removed", type=int),
        gone=state().sets.removed_sources(set_id),
        added=request.args.get("added", type=int),
        previous=previous,
        conflict=conflict,
        ways=next_plans.line_of(now, asked),
        short=short_on_set(now, plan),
        newer_tests=[] if now.wrapped else newer_tests(now, state().sets, state().heads),
    )


@blueprint.get("/sets/<int:set_id>/sheet")
def show_sheet(set_id: int) -> ResponseReturnValue:
    """Show the set as one sheet to print, with all cautions: whoever reads paper has put none away."""
    now, _, drawn = _drawn_set(set_id)
    plan = of_today(now, drawn.plan)
    return render_template(
        "sets/sheet.html",
        now=now,
        sheet=sheet.view_of(now, plan, reasons(now, plan)),
        plane=drawn.plane_on_paper,
        cautions=cautions([s.source for s in now.sources]),
    )


@blueprint.get("/sets/<int:set_id>/tags")
def show_tags(set_id: int) -> ResponseReturnValue:
    """Show a tag for each head, to print and stick on."""
    now, _, drawn = _drawn_set(set_id)
    plan = of_today(now, drawn.plan)
    view = tags.view_of(now, plan, reasons(now, plan))
    return render_template("sets/tags.html", now=now, tags=view)


@blueprint.route("/sets/<int:set_id>/edit", methods=["GET", "POST"])
def edit_set(set_id: int) -> ResponseReturnValue:
    """Change a set's name, note, target and limits."""
    now = state().sets.get_set(set_id)
    if request.method != "POST":
        return _edit(Form(fields_of_set(now.light_set)), now)
    form = with_gels_named(Form(request.form))
    try:
        both = over(form, now, fields_of_set(now.light_set), UNITS, PATHS, words_of_set)
        form = both.form
        if contests := both.merged.contests:
            return _edit(form, now, contests=contests), conflict_status()
        wanted = light_set_from(form, ladder_in_force(), [s.source for s in now.sources], now.light_set)
        kept = state().sets.update_set(
            set_id,
            name=wanted.name,
            note=wanted.note,
            target=wanted.target,
            limits=wanted.limits,
            revision=both.revision,
        )
        tell_revision(both.revision, now.revision, kept.revision)
    except Refused as no:
        return _edit(form.after(no), now), 422
    except Conflict as other:
        if mergeable():  # somebody wrote between the lines: that is merged too
            return edit_set(set_id)
        assert isinstance(other.current, StoredSet), "a set's conflict is with a set"
        return _edit(form, other.current, conflict=True), conflict_status()
    return redirect(url_for("sets.show_set", set_id=set_id))


def _edit(form: Form, now: StoredSet | None = None, **also: object) -> str:
    """Return the form of a set, or of a new one."""
    showed = fields_of_set(now.light_set) if now else {}
    view = set_form.view_of(form, now, showed, gels_in_force())
    return render_template("sets/edit.html", view=view, form=form, now=now, showed=showed, **also)


@blueprint.post("/sets/<int:set_id>/delete")
def delete_set(set_id: int) -> ResponseReturnValue:
    """Remove a set; the list offers to undo it."""
    state().sets.delete_set(set_id)
    return redirect(url_for("sets.list_sets", removed=set_id))


@blueprint.post("/sets/<int:set_id>/restore")
def restore_set(set_id: int) -> ResponseReturnValue:
    """Undo the removal of a set; the sample's heads come back with it."""
    state().sets.restore_set(set_id)
    if state().sets.get_set(set_id).sample:
        bring_heads_back(state())
    return redirect(url_for("sets.show_set", set_id=set_id))


@blueprint.post("/sample")
def load_sample() -> ResponseReturnValue:
    """Add the invented sample set with its heads."""
    return redirect(url_for("sets.show_set", set_id=add_sample(state())))


@blueprint.post("/sample/remove")
def remove_sample() -> ResponseReturnValue:
    """Remove every sample set, and the sample's heads."""
    removed = take_out_sample(state())
    return redirect(url_for("sets.list_sets", removed=removed[-1] if removed else None))


@dataclass(frozen=True)
class _Drawn:
    """A plan with what is drawn of it: the light path of every head, and, once asked for, plane and diagram.

    `draw` draws the plane, gathered for a screen or not for paper, which nobody can tap. `numbers` are those
    of the sources.
    """

    plan: Plan
    paths: tuple[LightPath | None, ...]
    draw: Callable[..., Picture | None]
    numbers: tuple[int, ...]

    @cached_property
    def plane(self) -> Picture | None:
        """The plane on a screen, where a tap tells names."""
        return self.draw(gather=True)

    @cached_property
    def plane_on_paper(self) -> Picture | None:
        """The plane with a number for each source."""
        return self.draw(gather=False) if self.plane and self.plane.gathered else self.plane

    @cached_property
    def diagram(self) -> Diagram | None:
        """The chromaticity diagram."""
        return diagram(self.plan, self.numbers)


def _drawn_set(set_id: int) -> tuple[StoredSet, PlanInputs, _Drawn]:
    now = state().sets.get_set(set_id)
    asked = asked_of(now)
    return now, asked, _drawn(asked, tuple(source.number for source in now.sources))


@lru_cache(maxsize=6)
def _drawn(asked: PlanInputs, numbers: tuple[int, ...]) -> _Drawn:
    plan, names = planned(asked), [source.name for source in asked.sources]
    # What is drawn of one head stays as long as the head, the white and the gels are the same objects.
    white = (plan.target.cct, plan.target.duv) if plan.target else None
    sheets = plan.gel_arrays.number if plan.gel_arrays else None
    keys = [(head, plan.prepared.get(i), white, sheets) for i, head in enumerate(plan.heads)]
    with _KEPT.noted() as noted:
        paths = _KEPT.of_all([("path", *key) for key in keys], partial(best_light_paths, plan))
        trails = _KEPT.of_all([("trail", *key) for key in keys], partial(trails_of, plan))
    _KEPT.take(noted, asked.set_id)
    return _Drawn(
        plan,
        tuple(paths),
        partial(picture, plan, names, asked.limits.tolerance_steps, numbers, trails),
        numbers,
    )


_KEPT = Kept()
