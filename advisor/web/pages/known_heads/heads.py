"""The heads that a crew knows: listed, added, changed, removed, and what was done to each taken back."""

from collections.abc import Sequence

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from ....model import Reach, Refused
from ....store import Conflict, NotFound
from ....store.known_heads.known import StoredHead
from ...forms.form import Form
from ...forms.head_form import fields_of_head, head_from
from ...forms.merge import Contest, Merged, merge, showed_in
from ...forms.source_form import words_of_source
from ...live.idempotency import asked_revision, conflict_status, matched_by_header
from ...state import ladder_in_force, state
from ...views.known_heads.history import history_of
from ...views.known_heads.lines import changes_said, green_range, groups_of, tests_counted, tests_said

blueprint = Blueprint("known_heads", __name__)
_UNITS = {"reach": tuple(f"reach_{name}" for name in Reach.model_fields)}
_MOST_SAID = 100
"""The most changes of a head that its page tells."""


@blueprint.get("/heads")
def list_heads() -> ResponseReturnValue:
    """List the heads by group; ``?removed=`` offers to bring one back, ``?brought=`` counts what came."""
    heads = state().heads.list_heads()
    return render_template(
        "known_heads/list.html",
        count=len(heads),
        groups=groups_of(heads),
        removed=request.args.get("removed", type=int),
        brought=request.args.get("brought", type=int),
        gone=state().heads.removed_heads(),
    )


@blueprint.route("/heads/new", methods=["GET", "POST"])
def new_head() -> ResponseReturnValue:
    """Add a head: a name is enough; ``?like=`` proposes the kind, group and dials of another."""
    if request.method != "POST":
        like = request.args.get("like", type=int)
        known = fields_of_head(present_head(like).head) if like is not None else {}
        return _edit(Form({"group": request.args.get("group", ""), **known, "name": "", "note": ""}), None)
    form = Form(request.form)
    try:
        head_id = state().heads.add_head(head_from(form))
    except Refused as no:
        return _edit(form.after(no), None), 422
    return redirect(url_for("known_heads.show_head", head_id=head_id))


@blueprint.get("/heads/<int:head_id>")
def show_head(head_id: int) -> ResponseReturnValue:
    """Show a head with its tests, and what was done to it, which ``?done=`` opens."""
    return _page(head_id)


@blueprint.route("/heads/<int:head_id>/edit", methods=["GET", "POST"])
def edit_head(head_id: int) -> ResponseReturnValue:
    """Change a head: what two people changed is put together; one field of both is asked about."""
    now = present_head(head_id)
    if request.method != "POST":
        return _edit(Form(fields_of_head(now.head)), now)
    form = Form(request.form)
    try:
        both, revision = _over(form, now)
        form = both.form
        if both.contests:
            return _edit(form, now, contests=both.contests), conflict_status()
        state().heads.change_head(head_id, head_from(form), revision=revision)
    except Refused as no:
        return _edit(form.after(no), now), 422
    except Conflict:
        return _edit(form, present_head(head_id), meanwhile=True), conflict_status()
    return redirect(url_for("known_heads.show_head", head_id=head_id))


@blueprint.post("/heads/<int:head_id>/delete")
def delete_head(head_id: int) -> ResponseReturnValue:
    """Remove a head; the list offers to undo it."""
    state().heads.delete_head(head_id)
    return redirect(url_for("known_heads.list_heads", removed=head_id))


@blueprint.post("/heads/<int:head_id>/restore")
def restore_head(head_id: int) -> ResponseReturnValue:
    """Bring a removed head back."""
    state().heads.restore_head(head_id)
    return redirect(url_for("known_heads.show_head", head_id=head_id))


@blueprint.post("/head-changes/<int:change_id>/undo")
def undo_change(change_id: int) -> ResponseReturnValue:
    """Undo what was done to a head, whatever it was; from what a set or a source kept it leads back there."""
    now = state().heads.undo(change_id)
    if (set_id := request.form.get("kept_on", type=int)) is not None:
        kept = request.form.getlist("kept", type=int)
        return redirect(url_for("keep_readings.keep", set_id=set_id, kept=kept))
    if (source_id := request.form.get("kept_of", type=int)) is not None:
        return redirect(url_for("sources.show_source", source_id=source_id))
    if now.deleted:
        return redirect(url_for("known_heads.list_heads", removed=now.id))
    return redirect(url_for("known_heads.show_head", head_id=now.id, done="yes", _anchor="done"))


def present_head(head_id: int) -> StoredHead:
    """Return a head that can be written to. Raises NotFound, for a removed one too."""
    now = state().heads.get_head(head_id)
    if now.deleted:
        raise NotFound("head", head_id, deleted=True)
    return now


def _page(head_id: int) -> str:
    now = present_head(head_id)
    tests = state().heads.tests_of(head_id)
    own = next((t for t in tests if not t.test.on_set), None)
    return render_template(
        "known_heads/show.html",
        now=now,
        tests=tests_said(tests),
        counted=tests_counted(tests),
        history=history_of(tests, ladder_in_force()),
        changes=changes_said(state().heads.changes(head_id), tests)[:_MOST_SAID],
        going=own.id if own and own.unread else None,
        green=green_range(now.head.reach),
        done="done" in request.args,
        same=state().heads.same_readings(head_id),
    )


def _over(form: Form, now: StoredHead) -> tuple[Merged, int | None]:
    """Lay a form over a head as it stands `now`; what both changed names who was first. Raises Refused."""
    seen, showed = asked_revision(), showed_in(form)
    if seen is None or showed is None or matched_by_header():
        return Merged(form), seen
    moved = seen != now.revision
    merged = merge(form, showed, fields_of_head(now.head), _UNITS, words_of_source, moved=moved)
    changes = [(c, c.before, c.after) for c in state().heads.changes(now.id)] if merged.contests else []

    def first(unit: str) -> tuple[str, str]:
        touched = (c for c, was, is_ in changes if was and is_ and getattr(was, unit) != getattr(is_, unit))
        return next(((c.who, c.at) for c in touched), ("", ""))

    return merged.by(first), now.revision


def _edit(
    form: Form, now: StoredHead | None, *, meanwhile: bool = False, contests: Sequence[Contest] = ()
) -> str:
    by = next((c.who for c in state().heads.changes(now.id) if c.what == "head.changed"), "") if now else ""
    return render_template(
        "known_heads/edit.html",
        form=form,
        now=now,
        showed=fields_of_head(now.head) if now else {},
        contests=contests,
        meanwhile=(by or "Somebody") if meanwhile else "",
    )
