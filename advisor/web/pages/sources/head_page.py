"""What the page of one head shows: what to hang, why, what else; its readings and its details."""

from collections.abc import Sequence

from flask import render_template, request

from ....advice.dials.wording import dial_words
from ....advice.known_heads.ageing import step_of
from ....advice.next_plans.moved import left_behind
from ....advice.pictures.rendering import differences, reference_named, render
from ....advice.plan.another_lamp import lamp_helps
from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....advice.plan.questions import by_hand as predicted_by_hand
from ....advice.plan.questions import drifted, kind_question, side_effect, why_beyond
from ....advice.readings.chromaticity import WhitePoint, whites_of
from ....advice.readings.shape import kept_shape, shape_of
from ....advice.wording.cautions import cautions
from ....model import Accuracy, Reading, Refused, Setting, Source, Target
from ....model.sets.behind import stand_in_use
from ....store import NotFound, StoredSet, StoredSource
from ....store.sets.record import ChangeLine
from ....store.tables.records import StoredReading
from ...forms.form import Form
from ...gels.as_modifier import gel_as_modifier
from ...gels.guesses import guess_in
from ...gels.names import in_force
from ...live.conflict import Difference
from ...pictures.dimming_curve import drift_plot
from ...pictures.light_path import light_path_of
from ...pictures.spectrum import spectrum_plot
from ...plans.behind import dials_set, dials_to_meter
from ...plans.kept import plan_for
from ...plans.mended import behind_sheet
from ...plans.onward.drifting import drift_of, drift_said
from ...plans.onward.lamps import lamp_for
from ...plans.since import reasons, target_moved_said
from ...plans.sky import read_ago
from ...state import gels_in_force, state
from ...views.head import HeadView, head_view
from ...views.known_heads.keep import answered_of, kept_lines, to_keep
from ...views.known_heads.on_set import head_choices, kept_elsewhere, newer_test, other_head_said
from ...views.layers import layers_by_hand, one_more
from ...views.pad.alike import alike_heads, answered_together
from ...views.pad.entry import dials_said, pad_view, wanted_said
from ...views.pad.teachable import teachable
from ...views.pulls.stock_short import going_up, short_there
from ...views.pulls.task import mind_there, task_view
from ...views.pulls.wrap import head_at_wrap
from ...views.readings import (
    bare_since,
    concerned_said,
    light_changed_said,
    moved_since_said,
    readings_view,
    shape_kept_said,
)
from ...views.sets.head_groups import band_of, neighbours_of
from ...views.use import lamp_view, use_view
from ...wording.aims import goal_said
from ...wording.gels import lost_said, over_openings
from ...wording.otherwise import read_otherwise
from ...wording.runners_up import placed, read_at, runners_up
from ...wording.stacks import expected_said, over_light
from ...wording.tested import AnsweredTest, tested_said
from ...wording.values import gel, plain


def present(source_id: int) -> StoredSource:
    """Return a source that can be written to. Raises NotFound, for a removed one too."""
    now = state().sets.get_source(source_id)
    if now.deleted:
        raise NotFound("source", source_id, deleted=True)
    return now


def source_page(now: StoredSource, form: Form, conflict: Sequence[Difference] = ()) -> str:
    """Return the page of one head, with what was typed in `form`.

    `conflict` says, where somebody came first, how it is now and how the writer wanted it. Where another form
    of the page was sent, that of a new reading is as it was.
    """
    owner = state().sets.get_set(now.set_id)
    plan = plan_for(owner)
    i = owner.index_of(now.id)
    dial = dials_to_meter(plan.heads[i], now.source)
    if "cct" not in form.values:
        form = Form({**_first_fields(now.source, dial), **request.form.to_dict()}, form.problems)
    picked = in_force([name for name in request.args.getlist("gel") if name])
    by_hand, by_hand_wrong = None, []
    if "gel" in request.args:
        try:
            by_hand = predicted_by_hand(plan, i, picked)
        except Refused as no:
            by_hand_wrong = no.problems
    drifts = drift_of(owner, now)
    head, readings = plan.heads[i].as_told, state().sets.readings_of(now.id)
    why, beyond_why = reasons(owner, plan).get(now.id), why_beyond(plan, i)
    view = head_view(
        head,
        now.source,
        plan.ladder,
        owner.limits.tolerance_of(now.source),
        why=why,
        beyond_why=beyond_why,
        drifted=drifted(plan, i),
        bare_since=bare_since(now, readings, _hung_at(now)),
        lamp_helps=lamp_helps(plan, i),
        gels=gels_in_force(),
    )
    other = view.other_gel
    answered, kept_to = answered_of(now, readings, state().heads)
    return render_template(
        "sources/show.html",
        **_spectrum(plan, i, owner.target, readings),
        owner=owner,
        now=now,
        plan=plan,
        i=i,
        head=head,
        band=band_of(head),
        more=one_more(now.source, owner.limits, _told_of_limits(view, head, beyond_why)),
        wanted=goal_said(plan.prepared[i].wanted.cct, owner.target) if i in plan.prepared else "",
        neighbours=neighbours_of(owner.sources, plan, i),
        view=view,
        over_gel=gel_as_modifier(now.source.modifier_in_use, gels_in_force()),
        concerned=concerned_said(behind_sheet(now, readings, other.said[0][0])) if other else "",
        why=why,
        keeps=to_keep(now, readings, state().heads, plan.ladder, owner.limits.accuracy),
        tested=_tested(now.source, plan, head, owner.limits.accuracy, answered) or read_ago(now),
        kept_to=kept_to,
        kept=kept_lines(request.args.getlist("kept", type=int), state().heads),
        side=side_effect(plan, i),
        hint=kind_question(plan, i),
        alike=alike_heads(owner, plan, i),
        other_heads=head_choices(owner, now, state().heads),
        newer=newer_test(owner, now, readings, state().sets, state().heads),
        unit=_unit(owner, now, request.args.get("unit", type=int)),
        answered=answered_together(now, request.args.getlist("kinds", type=int)),
        beyond_why=beyond_why,
        other_lamp=lamp_for(owner, plan, i),
        lamp=lamp_view(now.source, readings),
        runners=read_at(runners_up(head, owner.limits), readings),
        form=form,
        new=pad_view(
            form,
            head,
            now.source.work,
            dials_said(dial, dials_set(now.source)),
            owner.target,
            wanted_said(plan, i, owner.limits.tolerance_of(now.source)),
        ),
        target_moved=target_moved_said(owner) if "target" in request.args else "",
        conflict=conflict,
        teaches=teachable(head, now.source, owner.limits.accuracy),
        guess=guess_in(head, gels_in_force()),
        drift=drift_plot(now.source),
        drifts=drift_said(drifts) if drifts and not head.gel_on else "",
        over_light=over_light(head, plan.limits),
        use=use_view(form, now.source),
        dials=dial_words(head.source, plan.ladder, worked_out=_worked_out(now.source, head)),
        cautions=cautions([now.source], owner.hidden_cautions),
        path=light_path_of(plan, i, head.best) if head.best else None,
        by_hand=by_hand,
        path_by_hand=light_path_of(plan, i, by_hand) if by_hand else None,
        place=placed(head, by_hand, owner.limits, plan.gel_arrays) if by_hand else "",
        layers=layers_by_hand(picked, gels_in_force()),
        by_hand_wrong=by_hand_wrong,
        readings=readings_view(head, now, readings),
        light_changed=light_changed_said(head, readings),
        moved_since=moved_since_said(left_behind(plan, i, owner.target), readings),
        otherwise=read_otherwise(now.source, readings, changed=head.changed is not None),
        last_work=_last_work(now),
        by_light=state().sets.by_light(now.id) if now.source.as_far != 1.0 else None,
        task=task_view(owner, now),
        short=() if owner.wrapped or now.source.lamp_out else short_there(owner, plan, i),
        expected=expected_said(head),
        sheets_up=_sheets_up(now),
        lost=lost_said(request.args.get("lost", ""), gels_in_force()),
        covers=over_openings(going_up(head), now.source.openings),
        mind=() if owner.wrapped else mind_there(owner, now, head),
        ended=head_at_wrap(owner, now, head) if owner.wrapped else None,
    )


def _sheets_up(now: StoredSource) -> list[tuple[str, str]]:
    """Return the gels that hang on a head, as values and words: a sheet of one may burn or tear."""
    up = now.source.work.gels if now.source.work and now.hangs else []
    return [(name, gel(name)) for name in dict.fromkeys(up)]


def _tested(
    source: Source, plan: Plan, head: PlannedSource, accuracy: Accuracy, answered: AnsweredTest
) -> str:
    """Say how a head goes by its test, empty without one."""
    apart, settled = (head.check.apart, head.check.settled) if head.check else (0.0, False)
    unlike = head.unlike_test
    return tested_said(
        source, plan.ladder, accuracy, answered=answered, unlike=unlike, apart=apart, settled=settled
    )


def _unit(owner: StoredSet, now: StoredSource, number: int | None) -> dict[str, object] | None:
    """Return what the page says of the change by which a head is another one; None where that is undone."""
    if number is None:
        return None
    done = [c for c in state().sets.history(owner.id) if c.id == number or c.undoes == number]
    if len(done) != 1 or done[0].source_id != now.id or not (said := other_head_said(done[0], owner, now)):
        return None
    return {"change": number, "said": said, "kept": kept_elsewhere(done[0], now, state().heads)}


def _worked_out(source: Source, head: PlannedSource) -> bool:
    """Whether a source is used as nobody read it bare: at another level, say."""
    return step_of(head.source.reading) not in map(step_of, source.bare_readings)


def _told_of_limits(view: HeadView, head: PlannedSource, beyond_why: str) -> list[str]:
    """Return what the page of a head says of its limits."""
    stuck = view.found.stuck if view.found else ""
    return [view.closest, stuck, beyond_why if head.out else ""]


def _first_fields(source: Source, dial: Setting | None) -> dict[str, object]:
    """Return the fields of a new reading at a `dial`: of the source as it is used, until somebody says more.

    Where nobody said at which level, it is used as it was read last: behind what hangs, else bare.
    """
    level, found = stand_in_use(source).level, source.work.read_behind if source.work else None
    if source.level is None and found and found.level is not None:
        level = found.level
    fields: dict[str, object] = {"level": plain(level), "modifier": source.modifier_in_use}
    if dial:
        fields |= {"dial_cct": plain(dial.cct), "dial_green": plain(dial.green)}
    return fields


def _hung_at(now: StoredSource) -> str:
    """Return since when what hangs on a source hangs; empty where nothing was read behind it."""
    work = now.source.work
    return state().sets.hangs_since(now.id, work.gels) if work and now.behind else ""


def _last_work(now: StoredSource) -> ChangeLine | None:
    """Return the last thing that was decided for a head, where it can be undone: it may have been a slip."""
    lines = state().sets.record.lines(now.set_id, 50, now.id, gel)
    last = next((line for line in lines if line.worked), None)
    return last if last and last.stands else None


def _metered(head: PlannedSource) -> WhitePoint | None:
    """Return what was metered behind the best stack; None where nothing was."""
    if head.check and head.hangs:
        return whites_of([head.check.reading])[0]
    read = head.best.read if head.best else None
    return whites_of([Reading(cct=read.cct, duv=read.duv)])[0] if read else None


def _spectrum(plan: Plan, i: int, target: Target, readings: Sequence[StoredReading]) -> dict[str, object]:
    """Return what the page shows of a head whose spectrum was measured; nothing for the others."""
    head = plan.heads[i]
    if shape_of(head.source) is None or head.best is None or plan.target is None:
        return {}
    reference = reference_named(target, plan.target)
    assert plan.gel_arrays is not None, "a head with a stack has a gel table"
    lit = plan.prepared[i]
    bare, gelled = (render(lit, plan.gel_arrays, gels, reference) for gels in ([], head.best.gels))
    return {
        "plot": spectrum_plot(bare, gelled),
        "bare": bare,
        "gelled": gelled,
        "reference": reference,
        "metered": _metered(head),
        "compared": differences(head.source.reading, bare) if head.source.reading.spectrum else [],
        "shape_kept": shape_kept_said(kept_shape(head.source), readings),
    }
