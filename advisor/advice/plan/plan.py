"""A plan for the screen: every source with its words and stacks, and what stands in the way of the others.

Where the API refuses a request whole, a crew with one impossible reading still wants the other five. To the
advice a plan adds what was decided, what was found behind it (`confirm`), and what pages draw.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from ...colour.cct import uv_of_cct_duv
from ...colour.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...colour.data import Array
from ...colour.sources import Unbendable
from ...model import (
    Gel,
    KindQuestion,
    Limits,
    Locus,
    Problem,
    Refused,
    Setting,
    Source,
    SourceAdvice,
    StackAdvice,
    Stage,
    Target,
    Work,
)
from ...model.problems import within
from ..after_hanging.check import change_unread, check
from ..after_hanging.dials_first import dials_before_gel, turned
from ..after_hanging.next_move import change_to
from ..after_hanging.out_of_date import over_limit, stale
from ..answer.advise import advise_on, predict_stack
from ..answer.kind_hint import kind_hint
from ..dials.ranking import standing
from ..learned.off_label import OffLabel, off_labels
from ..learned.posterior import Posterior, posterior, unread_so
from ..learned.taken import changed_words
from ..pictures.light_path import LightPath, light_path, uv_behind
from ..pictures.rendering import Rendered, render
from ..pictures.shift_plane import placed, trail
from ..ranking.report import as_predicted
from ..readings.behind_gels import found_in_use
from ..readings.chromaticity import WhitePoint, measure, white_at
from ..readings.dim_levels import InUse, in_use
from ..readings.steps import Point
from ..readings.target import locus_duv, white_of
from ..stacks.bare_behind_gels import worked_out
from ..stacks.gel_arrays import GelArrays, gel_arrays_of
from ..stacks.prediction import PreparedSource, prepare
from ..wording import words
from ..wording.ladder import TRADE, Ladder, ladder_of
from .day_before import as_before
from .green_side_effect import green_taken_out
from .head import PlannedSource
from .out_of_reach import nearest, out_of_reach, why_not

_MOVED = 0.5
"""What is further off than when it was planned by less than this is left alone. [step] Our judgement."""


@dataclass(frozen=True, eq=False)
class Plan:
    """What to do about every source; `target` is None, with the problems, where there is no such white.

    `ladder` is how large the fractions of gels are that its words are said in.
    """

    heads: tuple[PlannedSource, ...]
    target: WhitePoint | None = None
    problems: tuple[Problem, ...] = ()
    gel_arrays: GelArrays | None = None
    limits: Limits = field(default_factory=Limits)
    ladder: Ladder = TRADE
    _bares: dict[int, PreparedSource] = field(default_factory=dict)

    @property
    def alone(self) -> PlannedSource:
        """The only head of a plan for one source."""
        [head] = self.heads
        return head

    @property
    def out_of_date(self) -> list[int]:
        """The places of the heads whose plan was made for something else."""
        return [i for i, head in enumerate(self.heads) if head.outdated]

    @property
    def hung_wrong(self) -> list[int]:
        """The places of the heads on which something hangs that is not what is wanted now."""
        return [i for i, head in enumerate(self.heads) if head.change]

    def path(self, i: int, stack: StackAdvice) -> LightPath | None:
        """Return the `i`-th head's light through a stack, as colours for the screen."""
        if self.target is None or self.gel_arrays is None or i not in self._bares:
            return None
        head = self.heads[i]
        read = self._read(i) if stack is head.best else None
        return light_path(self._stood(i, stack), stack, self.gel_arrays, read)

    def after(self, i: int) -> Array | None:
        """Return the (u, v), (2,), of the `i`-th head behind its best stack; None where there is none.

        It is what was read there, where something was.
        """
        best, read = self.heads[i].best, self._read(i)
        if read is not None:
            return read
        if best is None or self.gel_arrays is None or i not in self._bares:
            return None
        return uv_behind(self._stood(i, best), best, self.gel_arrays)

    def why_beyond(self, i: int) -> str:
        """Say which limits keep the `i`-th head beyond its tolerance; empty where none does."""
        head = self.heads[i]
        if head.advice is None or self.gel_arrays is None or head.source.aim.leave:
            return ""
        best = nearest(head.advice)
        if best.miss.steps <= self.limits.tolerance_of(head.source):
            return ""
        return why_not(self._bares[i], best, self.limits, self.gel_arrays)

    @cached_property
    def off_labels(self) -> list[OffLabel]:
        """The gels that readings behind them on several sources agree on to be off their labels."""
        if self.gel_arrays is None:
            return []
        fits = [fit for fit in self._fits.values() if not fit.loose]
        return off_labels(fits, self.gel_arrays, self.limits.accuracy)

    @cached_property
    def _fits(self) -> dict[int, Posterior]:
        """What the readings behind gels tell of the heads that have any, by their places."""
        if self.gel_arrays is None:
            return {}
        fits = {i: posterior(bare, self.gel_arrays, self.limits.accuracy) for i, bare in self._bares.items()}
        return {i: fit for i, fit in fits.items() if fit}

    def drifted(self, i: int) -> bool:
        """Whether what was read behind gels of the `i`-th head says that it is not the lamp it was bare."""
        fit = self._fits.get(i)
        return fit is not None and fit.loose and not unread_so(fit.bare)

    def kind_hint(self, i: int) -> KindQuestion | None:
        """Return the kinds that the `i`-th head may be of, where saying which narrows its answer most.

        Where that has to be asked before any answer, or something was read behind its gels, it is not asked.
        """
        head = self.heads[i]
        if self.gel_arrays is None or i not in self._bares or head.best is None:
            return None
        if head.asks or head.check or head.before:
            return None
        return kind_hint(self._bares[i], head.best, self.limits, self.gel_arrays)

    def side_effect(self, i: int) -> str:
        """Say how much green the `i`-th head's mired gels take out, where that stands in for minus green."""
        head = self.heads[i]
        if head.advice is None or head.best is None or self.gel_arrays is None or i not in self._bares:
            return ""
        return green_taken_out(self._stood(i, head.best), head.advice.needed, head.best, self.gel_arrays)

    def rendered(self, i: int, gels: Sequence[str], reference: str) -> Rendered:
        """Return how the `i`-th head, which has advice, renders colours behind gels."""
        assert self.gel_arrays is not None, "a head with advice has a gel table"
        return render(self._bares[i], self.gel_arrays, gels, reference)

    def trail(self, i: int) -> list[Point]:
        """Return the `i`-th head's way over the shift plane with its best stack; empty if there is none.

        It ends at what was read there, where something was.
        """
        if self.target is None or self.gel_arrays is None or i not in self._bares:
            return []
        bare, best = self._bares[i], self.heads[i].best
        stood = self._stood(i, best) if best else bare
        points = trail(bare, stood, best, self.target, self.gel_arrays)
        read = self._read(i)
        if read is not None and len(points) > 1 and (white := white_at(read)):
            points[-1] = placed(self.target, white)
        return points

    def _read(self, i: int) -> Array | None:
        """Return the (u, v), (2,), read behind the `i`-th head's best stack, or known from what was read."""
        head = self.heads[i]
        if head.check:
            return head.check.white.uv
        if not head.known or head.chosen is None:
            return None
        after = head.chosen.after
        return uv_of_cct_duv(np.array(after.cct), np.array(after.duv))

    def decided(self, i: int, work: Work, limits: Limits) -> PlannedSource:
        """Return the `i`-th head as it would be with other work on it; nothing else is planned anew."""
        head = self.heads[i]
        if head.advice is None or self.gel_arrays is None:
            return head
        source = head.source.model_copy(update={"work": work})
        bare = replace(self._bares[i], source=source)
        fresh = replace(head, source=source, chosen=None, check=None, again="", change=None, before=None)
        fresh = replace(fresh, instead=None)
        return _decided(replace(fresh, known=False, outdated=False, over=""), bare, limits, self.gel_arrays)

    def _stood(self, i: int, stack: StackAdvice) -> PreparedSource:
        """Return the `i`-th head with its dials where a stack wants them."""
        try:
            return standing(self._bares[i], stack.dial)
        except Unbendable:
            return self._bares[i]

    def by_hand(self, i: int, gels: Sequence[str], dial: Setting | None = None) -> StackAdvice | None:
        """Predict a stack that somebody built for the `i`-th head, its dials at a setting if it has them.

        Raises Refused for unknown gels, and for a setting that the head does not have.
        """
        if self.target is None or self.gel_arrays is None or i not in self._bares:
            return None
        return predict_stack(self._bares[i], self.limits, self.gel_arrays, gels, dial)


def make_plan(
    sources: Sequence[Source],
    target: Target,
    limits: Limits,
    gels: Sequence[Gel],
) -> Plan:
    """Advise on every source that can be advised on, and say of the others why not."""
    ladder, uses = ladder_of(gels), [_in_use(source) for source in sources]
    heads = [_described(source, use, ladder) for source, use in zip(sources, uses, strict=True)]
    try:
        with within("target"):
            white = white_of(target, list(sources))
        with within("gels"):
            gel_arrays = gel_arrays_of(tuple(gels))
    except Refused as no:
        return Plan(tuple(heads), problems=tuple(no.problems), limits=limits, ladder=ladder)
    bares: dict[int, PreparedSource] = {}
    for i, source in enumerate(sources):
        try:
            if not source.reading.said:
                uses[i] = worked_out(source, gel_arrays)
                heads[i] = _described(source, uses[i], ladder)
            bares[i] = prepare(source, gel_arrays, white, uses[i])
            if note := changed_words(bares[i].source, limits.accuracy):
                heads[i] = replace(heads[i], notes=(*heads[i].notes, note))
        except Refused as no:
            heads[i] = replace(heads[i], problems=tuple(no.problems))
    try:
        advised = advise_on(list(bares.values()), limits, gel_arrays)
    except Refused as no:
        return Plan(tuple(heads), white, tuple(no.problems), gel_arrays, limits, ladder, bares)
    bares = dict(zip(bares, advised.bares, strict=True))
    for (i, bare), advice in zip(bares.items(), advised.answers, strict=True):
        tolerance, leave = limits.tolerance_of(bare.source), bare.source.aim.leave
        beyond = out_of_reach(advice, tolerance, leave=leave)
        ungelled = _ungelled(bare, advice, limits, gel_arrays) if beyond else None
        first = dials_before_gel(advice.stacks, bare.source.keep, tolerance)
        dialled = first if bare.source.reach and first is not advice.stacks[0] else None
        head = replace(heads[i], advice=advice, beyond=beyond, ungelled=ungelled, dialled=dialled)
        heads[i] = _decided(head, bare, limits, gel_arrays)
    return Plan(tuple(heads), white, (), gel_arrays, limits, ladder, bares)


def _ungelled(
    bare: PreparedSource, answer: SourceAdvice, limits: Limits, gel_arrays: GelArrays
) -> StackAdvice:
    """Return a head with no more on it than it keeps, its dials where they bring it nearest."""
    kept = Counter(gel_arrays.names[i] for i in bare.keep)
    alone = [stack for stack in answer.stacks if stack.dial and Counter(stack.gels) == kept]
    if alone:
        return min(alone, key=lambda stack: stack.miss.steps)
    return predict_stack(bare, limits, gel_arrays, list(kept.elements()))


def _decided(
    head: PlannedSource, bare: PreparedSource, limits: Limits, gel_arrays: GelArrays
) -> PlannedSource:
    """Add what was decided for a head, and what was found behind it."""
    work = head.source.work
    if work is None:
        return head
    tolerance = limits.tolerance_of(bare.source)
    try:
        plain = chosen = predict_stack(bare, limits, gel_arrays, work.gels, work.dial)
        if work.predicted and work.read_bare == bare.source.reading:
            # After a swap it was predicted from the lamp as it was seen behind what hung before.
            chosen = as_predicted(
                chosen, work.predicted, bare.wanted, tolerance, gel_arrays.ladder, work.steps_off
            )
            head = replace(head, known=True)
        elif work.stage is Stage.PLANNED and (known := as_before(bare, work, chosen, limits, gel_arrays)):
            chosen = as_predicted(chosen, known, bare.wanted, tolerance, gel_arrays.ladder)
            head = replace(head, before=work.read_day_before, known=True)
        checked = check(bare, work, limits, gel_arrays)
        if checked and not head.known:
            then = checked.predicted
            chosen = as_predicted(chosen, then, bare.wanted, tolerance, gel_arrays.ladder, work.steps_off)
        again = "" if work.stage is Stage.PLANNED or checked else found_in_use(bare.source, work).again
        decided = replace(head, chosen=chosen, check=checked, again=again)
        if head.advice is None:
            return decided
        if work.instead:
            decided = _instead(decided, chosen, work.instead, bare, limits, gel_arrays)
        if decided.instead:
            return decided
        if checked:
            return replace(decided, check=turned(checked, bare, work, chosen, limits, gel_arrays))
        # What gel cannot bring in is only wrong with gel where it is nearer without.
        first = head.ungelled or dials_before_gel(head.advice.stacks, work.gels, tolerance)
        change = stale(bare, work, chosen, plain, first, limits)
        if not again and (moved := change_unread(bare, work, chosen, head.advice, limits)):
            change = change_to(chosen, first) if bare.source.reach else moved
        over = over_limit(bare, work, chosen, limits) if change else ""
        if work.stage is Stage.PLANNED:
            return replace(decided, outdated=change is not None, over=over)
        return replace(decided, change=change, over=over)
    except Refused as no:
        says = f"What was decided cannot be predicted any more: {no.problems[0].says}."
        return replace(head, notes=(*head.notes, says))


def _instead(
    head: PlannedSource,
    hung: StackAdvice,
    planned: Work,
    bare: PreparedSource,
    limits: Limits,
    gel_arrays: GelArrays,
) -> PlannedSource:
    """Add the change from what hangs to what somebody planned in its place, unless that is out of date.

    It goes by what is known now: what was predicted when it was planned knows no later reading. What is read
    behind what hangs is no reason by itself to drop what somebody chose.
    """
    plan = planned.model_copy(update={"predicted": None})
    unhung = replace(head, source=head.source.model_copy(update={"work": plan}), chosen=None, check=None)
    there = _decided(unhung, bare, limits, gel_arrays)
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
    off = (
        float(delta_uv_prime(uv_of_cct_duv(np.array(then.cct), np.array(then.duv)), bare.wanted.uv))
        / STEP_DELTA_UV
    )
    return abs(off - planned.steps_off) <= _MOVED


def _in_use(source: Source) -> InUse | None:
    try:
        return in_use(source)
    except Refused:
        return None


def _described(source: Source, use: InUse | None, ladder: Ladder) -> PlannedSource:
    if use is None:
        return PlannedSource(source)
    as_used = source.model_copy(update={"reading": use.reading})
    try:
        white = measure(use.reading)
    except Refused:
        return PlannedSource(as_used)
    worked_out = use.reading not in (source.reading, *source.readings)
    return PlannedSource(as_used, white, describe(white, ladder), notes=use.notes, worked_out=worked_out)


def describe(white: WhitePoint, ladder: Ladder) -> tuple[str, ...]:
    """Say where a white lies against the Planckian and, where that reaches, the daylight locus."""
    return tuple(
        words.against_locus(white.duv, duv, locus, ladder)
        for locus in Locus
        if (duv := locus_duv(white.cct, locus)) is not None
    )
