"""Which white should all go to: the answer, or how far it is."""

from functools import partial
from hashlib import sha256

from flask import Blueprint, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....advice.common_white.find import common_whites
from ....advice.common_white.options import Whites
from ....advice.stacks.watch import go_on, tell
from ....model import Problem, Refused, Target
from ....model.basis.problems import within
from ....store import Conflict, StoredSet
from ....store.tables.records import Change
from ...forms.form import Form, make
from ...live.aside import owner, work_of
from ...live.conflict import seen_of
from ...live.idempotency import conflict_status, tell_revision
from ...live.jobs import Job, Jobs, JobState, Work
from ...plans.kept import PlanInputs, asked_of
from ...state import ladder_in_force, state
from ...views.sets.whites import to_adopt, view_of
from .sets import set_page

blueprint = Blueprint("whites", __name__)
JOBS: Jobs[Whites] = Jobs()
PATIENCE = 0.3
"""How long the first who asks waits for the answer itself. [s]"""


@blueprint.get("/sets/<int:set_id>/whites")
def show_whites(set_id: int) -> ResponseReturnValue:
    """Show the whites that serve the set best. ``?part=progress&job=…`` only says how far a job is."""
    now = state().sets.get_set(set_id)
    if request.args.get("part") == "progress":
        job = JOBS.look(request.args.get("job", ""))
        return jsonify(state=job.state if job else "unknown", percent=job.percent if job else 0)
    return _page(now)


@blueprint.post("/sets/<int:set_id>/whites")
def adopt_white(set_id: int) -> ResponseReturnValue:
    """Make a white the set's target."""
    now = state().sets.get_set(set_id)
    form = Form(request.form)
    try:
        with within("target"):
            wanted = make(Target, {name: form.value(name) for name in ("cct", "locus", "tint")})
        seen = seen_of(now)
        kept = state().sets.update_set(set_id, target=wanted, revision=seen)
        tell_revision(seen, now.revision, kept.revision)
    except Refused as no:
        return _page(now, problems=no.problems), 422
    except Conflict as other:
        return _page(state().sets.get_set(set_id), conflict=wanted, by=other.by), conflict_status()
    adopted = None if kept.target == now.target else "yes"
    return redirect(url_for("sets.show_set", set_id=set_id, adopted=adopted))


@blueprint.route("/sets/<int:set_id>/whites/back", methods=["GET", "POST"])
def take_back(set_id: int) -> ResponseReturnValue:
    """Put the target before the present one back."""
    if request.method != "POST":  # a page on which nothing was put back, opened again by its address
        return redirect(url_for("sets.show_set", set_id=set_id))
    previous = state().sets.previous_target(set_id)
    if previous is None:
        raise Refused.one("target", "there is no earlier target to go back to", "another target, by hand")
    try:
        now = state().sets.get_set(set_id)
        seen = seen_of(now)
        kept = state().sets.update_set(set_id, target=previous, revision=seen)
        tell_revision(seen, now.revision, kept.revision)
    except Conflict as other:
        return set_page(set_id, conflict=other), conflict_status()
    return redirect(url_for("sets.show_set", set_id=set_id))


@blueprint.post("/sets/<int:set_id>/whites/stop")
def stop_search(set_id: int) -> ResponseReturnValue:
    """Stop the search of which the form has the number, for all who wait for it."""
    JOBS.stop(request.form.get("job", ""))
    return redirect(url_for("whites.show_whites", set_id=set_id, tints=_tints()))


@blueprint.post("/sets/<int:set_id>/whites/again")
def search_again(set_id: int) -> ResponseReturnValue:
    """Begin a search anew that was stopped."""
    number, work = _search(state().sets.get_set(set_id))
    JOBS.ask(number, work, again=True, owner=owner())
    return redirect(url_for("whites.show_whites", set_id=set_id, tints=_tints()))


def _search(now: StoredSet) -> tuple[str, Work[Whites]]:
    """Return what is to be done, and its number: the same for whatever asks the same."""
    asked, tints = asked_of(now), _tints()
    number = sha256("\n".join((tints or "", *asked.text)).encode()).hexdigest()[:32]
    return number, work_of(partial(_found, tints=bool(tints)), asked)


def _found(asked: PlanInputs, *, tints: bool) -> Whites:
    """Find them, watched: it runs in another process where there are some."""

    def stopped() -> bool:
        go_on()
        return False

    return common_whites(asked.sources, asked.target, asked.limits, asked.gels, tell, stopped, tints=tints)


def _tints() -> str | None:
    """Return whether whites that ask the camera for a tint stand among the others: ``?tints=yes``."""
    return "yes" if request.args.get("tints") == "yes" else None


def _page(
    now: StoredSet,
    conflict: Target | None = None,
    problems: list[Problem] | None = None,
    by: Change | None = None,
) -> str:
    number, work = _search(now)
    job = JOBS.ask(number, work, patience=PATIENCE, owner=owner())
    if job.state is JobState.FAILED and not isinstance(job.error, Refused):
        JOBS.forget(number)
        raise RuntimeError("the search for whites failed") from job.error
    return render_template(
        "sets/whites.html",
        now=now,
        number=number,
        tints=_tints(),
        view=view_of(job, ladder_in_force()),
        conflict=conflict,
        mine=to_adopt(conflict) if conflict else None,
        by=by,
        problems=[*(problems or []), *_refused(job)],
    )


def _refused(job: Job[Whites]) -> list[Problem]:
    return job.error.problems if isinstance(job.error, Refused) else []
