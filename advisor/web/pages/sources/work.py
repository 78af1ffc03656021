"""The work on a head: the level in use, what was decided, hung and confirmed; cautions put away."""

from dataclasses import replace

from flask import Blueprint, redirect, request, url_for
from flask.typing import ResponseReturnValue
from pydantic import Field, ValidationError
from werkzeug import Response

from ....advice.after_hanging.check import predicted_of
from ....advice.learned.light_here import as_filed
from ....advice.plan.plan import Plan
from ....advice.plan.questions import by_hand
from ....advice.wording.cautions import KEYS
from ....model import Kind, Refused, Setting, Source, StackAdvice, Stage, Work, refuse
from ....model.basis.base import Model
from ....model.basis.problems import short, within
from ....model.sets.behind import with_found, without_found
from ....store import Conflict, StoredSource
from ...forms.form import Form, make
from ...gels.names import in_force
from ...live.idempotency import tell_revision
from ...plans.behind import works_found
from ...plans.kept import plan_for
from ...plans.mended import work_mended
from ...plans.onward.order import reused_by
from ...state import state
from ...wording.sources import stood_at, used
from ...wording.work import worked
from .head_page import present, source_page
from .kept_fields import kept

blueprint = Blueprint("work", __name__)


class _Decided(Model):
    """What a form says of a stack, and all that it may: what was read or predicted is not for it to say."""

    gels: list[str] = Field(default_factory=list, max_length=8)
    dial: Setting | None = None


@blueprint.route("/sources/<int:source_id>/use", methods=["GET", "POST"])
def use_level(source_id: int) -> ResponseReturnValue:
    """Say at which level and with which modifier a source is used; empty is as it was read last."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    now, form = present(source_id), Form(request.form)
    modifier = form.value("use_modifier")
    data = {
        "level": form.value("use_level").strip() or None,
        "modifier": None if modifier in ("", "as-read") else modifier.removeprefix("with:"),
    }
    try:
        with within("use"):
            wanted = make(Source, {**dict(now.source), **data})
    except Refused as no:
        return source_page(now, form.after(no)), 422
    return kept(now, wanted, ("level", "modifier"), form, "Used", used)


@blueprint.route("/sources/<int:source_id>/kind", methods=["GET", "POST"])
def set_kind(source_id: int) -> ResponseReturnValue:
    """Say what lamp a source is, as its page asks, and so of others alike; one tap undoes all."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    now, form = present(source_id), Form(request.form)
    try:
        wanted = make(Source, {**dict(now.source), "kind": form.value("kind")})
    except Refused as no:
        return source_page(now, form.after(no)), 422
    others = _asked_alike(now, form)
    last = max((change.id for change in state().sets.history(now.set_id)), default=0)
    answer = kept(now, wanted, ("kind",), form, "The kind", lambda source: source.kind.words)
    if not others or not isinstance(answer, Response):  # somebody said another kind meanwhile
        return answer
    state().sets.change_sources(now.set_id, {one: {"kind": wanted.kind} for one in others})
    made = [change for change in state().sets.history(now.set_id) if change.id > last]
    ids = [change.id for change in made if change.source_id in (now.id, *others)]
    return redirect(url_for("sources.show_source", source_id=now.id, kinds=ids))


def _asked_alike(now: StoredSource, form: Form) -> list[int]:
    """Return the heads alike for which a form answers too, by their ids: those of which nobody said more."""
    sources = state().sets.get_set(now.set_id).sources
    said = {text for value in form.chosen("alike") for text in value.split()}
    unknown = [one for one in sources if one.source.kind is Kind.UNKNOWN and one.id != now.id]
    return [one.id for one in unknown if str(one.id) in said]


@blueprint.route("/sources/<int:source_id>/layer", methods=["GET", "POST"])
def allow_layer(source_id: int) -> ResponseReturnValue:
    """Allow a source so many `layers`, as its page offers where one more brings it nearer."""
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    now, form = present(source_id), Form(request.form)
    try:
        wanted = make(Source, {**dict(now.source), "max_layers": form.value("layers")})
    except Refused as no:
        return source_page(now, form.after(no)), 422
    return kept(now, wanted, ("max_layers",), form, "Its layers", lambda source: str(source.max_layers))


@blueprint.route("/sources/<int:source_id>/work", methods=["GET", "POST"])
def set_work(source_id: int) -> ResponseReturnValue:
    """Decide for a `stack` (plan), say that it hangs (hung) or is right as it is (confirm), or clear.

    While something hangs, what is planned is planned in its place, until it is said to hang or that what
    hangs stays (keep). Dials that were turned since are set back (set-back), or stay (as-turned).
    """
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    now, form = present(source_id), Form(request.form)
    try:
        wanted = now.source.model_copy(update={"work": _work(now, form)})
    except Refused as no:
        return source_page(now, form.after(no)), 422
    return kept(now, wanted, ("work",), form, "The work", worked)


@blueprint.route("/sources/<int:source_id>/stand", methods=["GET", "POST"])
def move_stand(source_id: int) -> ResponseReturnValue:
    """Say that a stand was moved as it was to be (done), that it was not (back), or that it stays (stays).

    Where it was taken as moved by the light of a reading, it was not when that was taken (unmoved).
    """
    if request.method != "POST":  # a page with what was refused, opened again by its address
        return redirect(url_for("sources.show_source", source_id=source_id))
    now, form = present(source_id), Form(request.form)
    action, stand = form.value("action"), now.source.stand
    if action == "unmoved":
        return _unmoved(now)
    if action not in ("done", "back", "stays"):
        says = f"{short(action)} is not a step for a stand"
        return source_page(now, form.after(Refused.one("action", says, "done, back, stays"))), 422
    if stand is None:  # it was read there already, or somebody said that it stays
        return redirect(url_for("sources.show_source", source_id=source_id))
    fresh = None if action == "stays" else stand.model_copy(update={"done": action == "done"})
    wanted = now.source.model_copy(update={"stand": fresh})
    return kept(now, wanted, ("stand",), form, "Where it stands", stood_at)


def _unmoved(now: StoredSource) -> ResponseReturnValue:
    """File the reading by whose light a stand was taken as moved where it stood before; it is still to go."""
    took = state().sets.by_light(now.id)
    if took is not None:
        readings = state().sets.readings_of(now.id)
        before = {"stand": took.stand, "as_far": took.as_far}
        was = replace(now, source=now.source.model_copy(update=before))
        [wrong] = [one.reading for one in readings if one.id == took.reading_id]
        mended = {took.reading_id: wrong.model_copy(update={"as_far": took.as_far})}
        work = work_mended(was, readings, mended)
        try:
            mended_now = state().sets.mend(now.id, mended, work, now.source.work, unmoved=took)
        except Conflict:  # somebody wrote between the lines
            return move_stand(now.id)
        tell_revision(now.revision, now.revision, mended_now.revision)
    return redirect(url_for("sources.show_source", source_id=now.id))


@blueprint.route("/sets/<int:set_id>/cautions", methods=["GET", "POST"])
def hide_cautions(set_id: int) -> ResponseReturnValue:
    """Put a caution away for a set; with ``show``, bring all back."""
    if request.method != "POST":  # a page that refused one, opened again by its address
        return redirect(url_for("sets.show_set", set_id=set_id))
    form = Form(request.form)
    key, show = form.value("hide"), bool(form.value("show"))
    if key and key not in KEYS:
        raise Refused.one("hide", f"{short(key)} is not a caution", ", ".join(KEYS))
    while True:
        now = state().sets.get_set(set_id)
        hidden = [] if show else [k for k in dict.fromkeys([*now.hidden_cautions, key]) if k]
        try:
            state().sets.update_set(set_id, hidden_cautions=hidden, revision=now.revision)
            break
        except Conflict:  # somebody put another one away between the lines: add this one to that
            continue
    return redirect(url_for("sets.show_set", set_id=set_id) + "#cautions")


def _work(now: StoredSource, form: Form) -> Work | None:
    action, was = form.value("action"), now.source.work
    if action == "clear":
        return was.instead if was else None
    if action == "keep":
        return was.model_copy(update={"instead": None}) if was else None
    if action == "set-back":
        return was.model_copy(update={"read_turned": None}) if was else None
    if action == "as-turned":
        return _as_turned(now, was)
    if action == "confirm":
        if was is None or not was.hangs:
            raise Refused.one(
                "action", "nothing hangs here yet, so there is nothing to confirm", "tap Hung first"
            )
        return _taken_for_right(now, was)
    if action not in ("plan", "hung"):
        steps = "plan, hung, confirm, keep, set-back, as-turned, clear"
        raise Refused.one("action", f"{action[:20]!r} is not a step here", steps)
    if not form.value("stack").strip():
        raise Refused.one("stack", "nothing was chosen", "choose what hangs, then tap it again")
    try:
        decided = _Decided.model_validate_json(form.value("stack"))
    except ValidationError as error:
        raise refuse(error).under("stack") from None
    plan, i = _plan_and_index(now)
    gels = in_force(decided.gels)
    entry, tolerance = _entry(plan, i, gels, decided.dial), plan.limits.tolerance_of(now.source)
    work = Work(
        stage=Stage.PLANNED if action == "plan" else Stage.HUNG,
        gels=gels,
        dial=decided.dial,
        predicted=predicted_of(entry, tolerance, now.source.stands_as_far) if entry else None,
        read_bare=reading if (reading := as_filed(now.source, plan.heads[i].source.reading)).said else None,
        steps_off=entry.miss.steps if entry else None,
    )
    if action == "hung":
        return work.model_copy(update={"reused": reused_by(now, work)})
    if was is None or not was.hangs:
        return work
    same = (work.gels, work.dial) == (was.gels, was.dial)
    return was.model_copy(update={"instead": None if same else work})


def _as_turned(now: StoredSource, was: Work | None) -> Work | None:
    """Return the work on a head that stays with its dials as they were read last, with that reading."""
    if was is None or was.read_turned is None:
        return was
    reading = was.read_turned
    turned = Work(
        stage=Stage.HUNG, gels=was.gels, dial=reading.dial, read_bare=was.read_bare, reused=was.reused
    )
    there = replace(now, source=now.source.model_copy(update={"work": turned}))
    return works_found(there, turned, [reading])


def _taken_for_right(now: StoredSource, was: Work) -> Work:
    """Return the work that somebody takes for right as it is: as it was read, else by eye."""
    plan, i = _plan_and_index(now)
    head = plan.heads[i]
    if head.check:
        return with_found(was, head.check.reading).model_copy(
            update={"stage": Stage.CONFIRMED, "steps_off": head.check.left, "instead": None}
        )
    left = head.chosen.miss.steps if head.chosen else was.steps_off
    now_known = without_found(was) if head.again else was
    return now_known.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": left, "instead": None})


def _entry(plan: Plan, i: int, gels: list[str], dial: Setting | None) -> StackAdvice | None:
    """Predict what is decided; None where there is no white to go to. Raises Refused for unknown gels."""
    head = plan.heads[i]
    if head.chosen and (head.chosen.gels, head.chosen.dial) == (gels, dial):
        return head.chosen  # with what is known of it from the day before
    swap = head.swap
    # After a swap, of the lamp as it was seen behind what hung.
    if swap and (swap.result.gels, swap.result.dial) == (gels, dial):
        return swap.result
    return by_hand(plan, i, gels, dial)


def _plan_and_index(now: StoredSource) -> tuple[Plan, int]:
    owner = state().sets.get_set(now.set_id)
    return plan_for(owner), owner.index_of(now.id)
