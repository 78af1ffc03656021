"""What somebody decided for a head, what that does, and what was found behind it."""

from dataclasses import replace

import numpy as np

from ...colour.observer.cct import uv_of_cct_duv
from ...colour.observer.chromaticity import steps_apart
from ...model import (
    Limits,
    Predicted,
    Refused,
    SourceAdvice,
    StackAdvice,
    Work,
)
from ...model.sets.behind import found_in_use
from ..after_hanging.check import Check, check
from ..after_hanging.dials_first import dials_before_gel, turned
from ..after_hanging.next_move import Swap, change_to
from ..after_hanging.out_of_date import MOVED, change_unread, over_limit, stale
from ..answer.fewest_moves import fewest_moves
from ..answer.one_stack import predict_stack
from ..answer.unlike_test import by_test_alone, unlike_test
from ..dials.turned_since import turned_since
from ..learned.light_here import predicted_here
from ..learned.light_now import ChangedLight
from ..learned.taken import other_lamp
from ..ranking.as_hung import as_predicted
from ..ranking.first_line import first_line
from ..readings.chromaticity import WhitePoint
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..wording.ladder import Ladder
from ..wording.outlook import same_stack
from .day_before import as_before
from .head import PlannedSource
from .plan import Plan

_AS_TESTED = 3.0
"""What is nearer than this to the prediction is close to its test. [step] The usual tolerance."""


def with_decided(
    head: PlannedSource, bare: PreparedSource, limits: Limits, gel_arrays: GelArrays
) -> PlannedSource:
    """Add what was decided for a head, and what was found behind it."""
    work = head.source.work
    if work is None:
        return head
    if _of_other_lamp(bare, work, limits):
        unplanned = head.source.model_copy(update={"work": None})
        return replace(head, source=unplanned, notes=(*head.notes, _OTHER_LAMP))
    tolerance = limits.tolerance_of(bare.source)
    head = replace(head, turned=turned_since(work, bare.wanted, tolerance, gel_arrays.ladder))
    try:
        plain = chosen = predict_stack(bare, limits, gel_arrays, work.gels, work.dial)
        if work.predicted and work.read_bare == bare.source.reading:
            # After a swap it was predicted from the lamp as it was seen behind what hung before.
            then = predicted_here(bare.source, work.predicted)
            chosen = as_predicted(chosen, then, bare.wanted, tolerance, gel_arrays.ladder, work.steps_off)
            head = replace(head, known=True)
        elif not work.hangs and (known := as_before(bare, work, chosen, limits, gel_arrays)):
            chosen = as_predicted(chosen, known, bare.wanted, tolerance, gel_arrays.ladder)
            known_so = _listed_as(head.advice, chosen) if head.advice else None
            head = replace(head, before=work.read_day_before, known=True, advice=known_so)
        if head.source.lamp_out:
            return replace(head, chosen=chosen)
        checked = check(bare, work, limits, gel_arrays)
        if checked and _unlike_test(bare, checked, work, limits, gel_arrays):
            lamp_first = checked.odd and checked.mistake is not None
            head, checked = replace(head, unlike_test=True), replace(checked, lamp_first=lamp_first)
        if checked and not head.known:
            then = checked.predicted
            chosen = as_predicted(chosen, then, bare.wanted, tolerance, gel_arrays.ladder, work.steps_off)
        if checked and not head.changed and _first_of_its_light(head, checked, work):
            checked = replace(checked, unforeseen=True, stops=None)
        if checked and head.changed:
            checked = replace(_as_promised(checked, work, head.changed), lit_anew=True)
        again = found_in_use(bare.source, work).again if work.hangs and not checked else ""
        if not again and not checked and head.changed and head.changed.again:
            again = "The light changed since it was read: meter it again"
        decided = replace(head, chosen=chosen, check=checked, again=again)
        if head.advice is None:
            return decided
        if work.instead:
            decided = _instead(decided, chosen, work.instead, bare, limits, gel_arrays)
        if decided.instead:
            return decided
        if checked:
            return replace(decided, check=turned(checked, bare, work, chosen, limits, gel_arrays))
        # If gel cannot bring a source in, a stack on it is wrong only if the source is nearer without.
        stacks = head.advice.stacks
        first = first_line(stacks, bare.least_stops)
        if bare.source.reach:
            first = dials_before_gel(stacks, work.gels, tolerance)
        first = head.ungelled or first
        change = stale(bare, work, chosen, plain, first, limits)
        if not again and (moved := change_unread(bare, work, chosen, head.advice, limits)):
            change = change_to(chosen, first) if bare.source.reach else moved
        over = over_limit(bare, work, chosen, limits) if change else ""
        if work.hangs:
            if change and not (over or bare.source.reach or head.ungelled):
                change = _worth_its_moves(chosen, bare, work, limits, gel_arrays)
            return replace(decided, change=change, over=over)
        return replace(decided, outdated=change is not None, over=over)
    except Refused as no:
        return replace(head, notes=(*head.notes, _lost(work, no, gel_arrays)))


def _listed_as(answer: SourceAdvice, known: StackAdvice) -> SourceAdvice:
    """Return an answer in whose list a stack stands as it is known, so that it has one chance."""
    stacks = [
        known.model_copy(update={"same_as": one.same_as}) if same_stack(one, known) else one
        for one in answer.stacks
    ]
    return answer.model_copy(update={"stacks": stacks})


_OTHER_LAMP = (
    "Another lamp than the day before, or another level, by its bare reading. So that plan is dropped."
)
"""Said of a lamp of which only the plan, and what was read behind it, came along from the day before."""


def _of_other_lamp(bare: PreparedSource, work: Work, limits: Limits) -> bool:
    """Whether what is planned was read the day before behind another lamp, and says nothing of this one."""
    if work.hangs or work.read_day_before is None or work.read_bare is None:
        return False
    return other_lamp(bare.source, work.read_bare, limits.accuracy)


def _worth_its_moves(
    hung: StackAdvice, bare: PreparedSource, work: Work, limits: Limits, gel_arrays: GelArrays
) -> Swap | None:
    """Return the change to what hangs that is worth its moves, as in a set's plans; None if none is."""
    change = change_to(hung, fewest_moves(bare, work.gels, limits, gel_arrays))
    return change if change.some else None


def _unlike_test(
    bare: PreparedSource, checked: Check, work: Work, limits: Limits, gel_arrays: GelArrays
) -> bool:
    """Whether what was found does not come from the light of a test.

    What hung first and reads as predicted does: that was predicted from the test. What was mistyped or
    read with the gel off says nothing of the head. What reads like another gel may as well be another head.
    """
    if bare.source.reading.tested_at is None or checked.other_sign or (checked.odd and checked.slip):
        return False
    if checked.odd and not checked.burnt:
        return by_test_alone(bare.source)
    if checked.apart <= _AS_TESTED and sum(1 for one in bare.source.readings if one.gels) < 2:
        return False
    return unlike_test(bare, checked.white, checked.reading.gels or work.gels, limits, gel_arrays)


def _as_promised(checked: Check, work: Work, changed: ChangedLight) -> Check:
    """Compare the light with what was promised when it was hung.

    Where no bare reading is of the light now, that is worked out from the very reading, which so always
    agrees with what it predicts.
    """
    if not changed.by_behind or checked.predicted is work.predicted:
        return checked
    promised = changed.promised
    lux, then = checked.reading.lux, promised.lux if promised else None
    return replace(checked, promised=promised, stops=float(np.log2(lux / then)) if lux and then else None)


def _first_of_its_light(head: PlannedSource, checked: Check, work: Work) -> bool:
    """Whether a reading is the first of its light, as of a new lamp: what it is compared with comes of it."""
    readings = head.source.readings
    return (
        head.worked_out
        and work.predicted is None
        and all(reading.gels for reading in readings)
        and len(readings) <= 1
        and not checked.odd
    )


def _lost(work: Work, no: Refused, gel_arrays: GelArrays) -> str:
    """Say why what was decided cannot be predicted: a gel of it was removed, or else what is refused."""
    try:
        gel_arrays.find(work.gels)
    except Refused:
        which = "It" if len(work.gels) == 1 else "A gel of it"
        return f"{which} is no longer in the gel table. Bring it back on Gels."
    return f"What was decided cannot be predicted any more: {no.problems[0].says}."


def _instead(
    head: PlannedSource,
    hung: StackAdvice,
    planned: Work,
    bare: PreparedSource,
    limits: Limits,
    gel_arrays: GelArrays,
) -> PlannedSource:
    """Add the change from what hangs to what somebody planned in its place, unless that is out of date.

    The plan is predicted anew, since the old prediction does not know later readings. But a reading behind
    what hangs is no reason by itself to drop what somebody chose.
    """
    plan = planned.model_copy(update={"predicted": None})
    unhung = replace(head, source=head.source.model_copy(update={"work": plan}), chosen=None, check=None)
    there = with_decided(unhung, bare, limits, gel_arrays)
    if there.chosen is None:
        return replace(head, notes=there.notes)
    if there.outdated and (there.over or not _as_planned(planned, bare)):
        return replace(head, notes=(*head.notes, "What was planned instead is out of date."))
    change = change_to(hung, there.chosen)
    return replace(head, instead=change) if change.some else head


def _as_planned(planned: Work, bare: PreparedSource) -> bool:
    """Whether a source reads bare, and is wanted, as when a stack was planned for it."""
    then = planned.predicted
    if then is None or planned.steps_off is None or planned.read_bare != bare.source.reading:
        return False
    promised = uv_of_cct_duv(np.array(then.cct), np.array(then.duv))
    off = float(steps_apart(promised, bare.wanted.uv))
    return abs(off - planned.steps_off) <= MOVED


def with_work(plan: Plan, i: int, work: Work, limits: Limits) -> PlannedSource:
    """Return the `i`-th head as it would be with other work on it; nothing else is planned anew."""
    head = plan.heads[i]
    if head.advice is None or plan.gel_arrays is None:
        return head
    source = head.source.model_copy(update={"work": work})
    bare = replace(plan.prepared[i], source=source)
    fresh = replace(head, source=source, chosen=None, check=None, again="", change=None, before=None)
    fresh = replace(fresh, instead=None, turned=None, known=False, outdated=False, over="", unlike_test=False)
    return with_decided(fresh, bare, limits, plan.gel_arrays)


def as_wanted(plan: Plan, i: int, wanted: WhitePoint) -> PlannedSource:
    """Return the `i`-th head, which hangs and was metered, as it would be if it were `wanted` elsewhere.

    What somebody planned in its place does not count there.
    """
    work = plan.heads[i].source.work
    assert work is not None, "something hangs on it"
    there = {**plan.prepared, i: replace(plan.prepared[i], wanted=wanted)}
    alone = work.model_copy(update={"instead": None})
    return with_work(replace(plan, prepared=there), i, alone, plan.limits)


def bare_on_target(head: PlannedSource, white: WhitePoint, tolerance: float, ladder: Ladder) -> PlannedSource:
    """Return the source that a set is matched to, which bare is the target, however well that is known.

    `white` is that target, and `tolerance` [step] the source's own.
    """
    there = Predicted(
        cct=white.cct, duv=white.duv, uncertainty_steps=0.0, within=1.0, tolerance_steps=tolerance
    )

    def known(entry: StackAdvice) -> StackAdvice:
        if entry.gels or entry.dial:
            return entry
        exact = as_predicted(entry, there, white, tolerance, ladder, 0.0)
        return exact.model_copy(update={"after": entry.after, "read": entry.read})

    def led(swap: Swap | None) -> Swap | None:
        return replace(swap, result=known(swap.result)) if swap else None

    advice, check = head.advice, head.check
    return replace(
        head,
        advice=advice and advice.model_copy(update={"stacks": [known(one) for one in advice.stacks]}),
        check=check and replace(check, swap=led(check.swap), smaller=led(check.smaller)),
        chosen=known(head.chosen) if head.chosen else None,
        ungelled=known(head.ungelled) if head.ungelled else None,
        change=led(head.change),
        instead=led(head.instead),
    )
