"""Which white should all go to: the whites that need the least gel and lose the least light over a set.

The cost of a white is a sum over the sources: for each, the least cost (`cost.counted`) of bringing it there.
Risk, light and layers count together. Each source has its own tolerance, and its own aim. Sources that are to
be left as they are count nothing: they are off on purpose. Those on which nothing may hang, and practicals
for which another bulb is the answer, have no say either, but nobody goes to a white that puts one of them
off. A layer on a source of many sheets, as a window is, counts as many layers as it has sheets.

The sums are made over a grid of whites (`grid`), for every stack, with one scatter for each stack. They leave
out four things, which the answer then takes in. If there are very many gels, the grid tries only some of them
(`gone_through`). If sources share one stock, the grid gives each a stock of its own. The grid turns no dials.
It hangs no ND to keep sources below the key. The answer has the whole plan for each white found and for the
present one, made as on the set's own page, but afresh, whatever hangs now. At the present white, a source
that was found right behind what hangs counts as right.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

import numpy as np

from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...model import Gel, Limits, Refused, Seen, Source, Stage, Target, WantedOffset
from ...model.basis.problems import within
from ...model.sets.source import pieces_over
from ..cost.counted import LAYER_IN_STEPS, dear
from ..plan.head import PlannedSource
from ..plan.make import make_plan
from ..ranking.candidates import choice_of
from ..readings.chromaticity import WhitePoint
from ..readings.lamp_out import left_while_out
from ..stacks.gel_arrays import GelArrays, gel_arrays_of
from ..stacks.prediction import PreparedSource, prepare
from ..wording.outlook import NEAR
from .grid import Grid, distinct, few_enough, grid, least_costs
from .options import Option, Part, Whites, brings_in
from .say import without_say

MOST = 3
"""The most whites that are shown."""
_ROUNDS = 2
"""The most rounds of finding sources that should not be weighed."""
_NEAREST, _FURTHEST = 3.0, 10.0
"""Whites that are shown lie further apart than the tolerance, clipped to this range. [step] Our judgement."""


class Stopped(Exception):
    """Whoever asked does not want the answer any more."""


def common_whites(
    sources: Sequence[Source],
    target: Target,
    limits: Limits,
    gels: Sequence[Gel],
    progress: Callable[[float], None] = lambda share: None,
    stopped: Callable[[], bool] = lambda: False,
    *,
    tints: bool = False,
) -> Whites:
    """Find the whites that serve a set best, and compare them with its present `target`.

    With `tints`, or where the target has one, those that ask the camera for a tint stand among the others.
    `progress` is told the share that is done, 0 to 1. Raises Stopped once `stopped` returns true. Raises
    Refused, with the place, for a gel table that cannot be used, and for limits that name something the table
    lacks.
    """
    with within("gels"):
        gel_arrays = gel_arrays_of(tuple(gels))
    sources, whites, tints = left_while_out(sources), grid(), tints or bool(target.tint)
    bares, left_out = _prepared(sources, gel_arrays, whites)
    no_pull = without_say(sources, target, limits, gels)
    stays = [bare for bare in bares if bare.source.name in no_pull and bare.source.no_gel is not None]
    bares = [bare for bare in bares if bare.source.name not in no_pull]
    done, of = 0, len(bares) + (1 + _ROUNDS) * (1 + MOST)

    def pause(share: float = 0.0) -> None:
        if stopped():
            raise Stopped
        progress((done + share) / of)

    each, gone_through = [], None
    for bare in bares:
        with within("limits"):  # those of a source itself were looked at when it was prepared
            choice = choice_of(bare, limits, gel_arrays)
        few = few_enough(choice, gel_arrays)
        if few != choice:
            gone_through = len(few.gels) if gone_through is None else min(gone_through, len(few.gels))
        wanted, extra = whites.wanted(bare.source.aim), LAYER_IN_STEPS * dear(bare.source)
        each.append(least_costs(bare, wanted, few, limits, gel_arrays, pause, dear=extra))
        done += 1
    # What hangs now, or is planned, is for the present white: each white is planned afresh.
    hanging = [s for s in sources if s.work is not None and s.work.hangs]
    sources = [s.model_copy(update={"work": None}) for s in sources if s.name not in left_out]

    def weighed(without: frozenset[str]) -> Whites:
        """Weigh the whites without some sources."""
        nonlocal done
        here = [cost for bare, cost in zip(bares, each, strict=True) if bare.source.name not in without]
        costs = sum(here, np.zeros(len(whites.cct)))
        found = Whites(None, (), whites, costs, gone_through, left_out, no_pull=no_pull, tints=tints)
        if not here:
            return found
        counted = [s for s in sources if s.name not in without]
        pause()
        try:
            present = _option(counted, target, limits, gels, no_pull)
            found = replace(found, present=_as_found(present, hanging, sources, limits, gels))
        except Refused as no:
            found = replace(found, problems=tuple(no.problems))
        done += 1
        apart = float(np.clip(limits.tolerance_steps, _NEAREST, _FURTHEST))
        best = []
        for i in _shown(costs, whites, apart, tints=tints):
            pause()
            best.append(_option(counted, whites.target(i), limits, gels, no_pull))
            done += 1
        best = with_who_is_kept(best, found.present, costs, counted)
        best.sort(key=lambda option: (not tints and option.target.tint != 0.0, option.value))
        return replace(found, best=tuple(best))

    def with_who_is_kept(
        best: list[Option], present: Option | None, costs: Array, counted: Sequence[Source]
    ) -> list[Option]:
        """Show also a white that brings in who takes no gel and is off now, where it costs few cuts."""
        off = [] if present is None else [part.name for part in present.off]
        kept = sorted((b for b in stays if b.source.name in off), key=lambda b: off.index(b.source.name))
        for bare in kept:
            if present is None or any(brings_in(one, present, bare.source.name) for one in best):
                break
            pause()
            i = _white_for(bare, costs, whites, limits, gel_arrays)
            option = None if i is None else _option(counted, whites.target(i), limits, gels, no_pull)
            if option and brings_in(option, present, bare.source.name):
                return [*best[: MOST - 1], replace(option, follows=bare.source.name)]
        return best

    found = weighed(frozenset())
    out = _never_in(found, target)
    for _ in range(_ROUNDS):
        if not out:
            break
        again = weighed(frozenset(out))
        still = _still_out(out, again, sources, limits, gels) if again.best else set()
        if still == out:
            found = replace(again, unweighed=tuple(s.name for s in sources if s.name in out))
            break
        out = still
    progress(1.0)
    return found


def _shown(costs: Array, whites: Grid, apart: float, *, tints: bool) -> list[int]:
    """Return the places of the whites to show: distinct ones, with the best that asks no tint among them.

    Without `tints` there are at most two that ask none, and after them what is cheaper with one.
    """
    found = distinct(costs, whites.uv, apart, MOST)
    plain = np.where(whites.tint == 0.0, costs, np.inf)
    if not tints:
        shown = distinct(plain, whites.uv, apart, MOST)
        tinted = [i for i in found if whites.tint[i] != 0.0 and (not shown or costs[i] < costs[shown[0]])]
        return [*shown[: MOST - min(len(tinted), 1)], *tinted[:1]]
    best = int(plain.argmin())
    if not found or best in found or not np.isfinite(plain[best]):
        return found
    return [*found[: MOST - 1], best]


def _white_for(
    bare: PreparedSource, costs: Array, whites: Grid, limits: Limits, gel_arrays: GelArrays
) -> int | None:
    """Return the index of the cheapest white without a tint that suits a source as it is, if any.

    `costs` (n,) [step] are those of the other sources.
    """
    choice = choice_of(bare, limits, gel_arrays)
    own = least_costs(bare, whites.wanted(bare.source.aim), choice, limits, gel_arrays)
    plain = whites.tint == 0.0
    near = plain & (own <= own[plain].min() + limits.tolerance_of(bare.source))
    both = np.where(near, costs + own, np.inf)
    i = int(both.argmin())
    return i if np.isfinite(both[i]) else None


def _never_in(found: Whites, target: Target) -> set[str]:
    """Return the sources that may have swayed the answer although it does not bring them in.

    They are off at every white shown and out of reach at the present one, or out of reach at every white
    shown. The source that the target matches is never among them.
    """
    options = [*found.best, *([found.present] if found.present else [])]
    if not options:
        return set()
    off = set.intersection(*({part.name for part in option.off} for option in options))
    out = set.intersection(*({part.name for part in option.parts if part.out} for option in options))
    now = {part.name for part in found.present.parts if part.out} if found.present else set()
    return (out | off & now) - {target.source or "", *found.no_pull}


def _still_out(
    names: set[str], found: Whites, sources: Sequence[Source], limits: Limits, gels: Sequence[Gel]
) -> set[str]:
    """Return those of `names`, which were not weighed, that are out of reach at every white then found."""
    alone = [s for s in sources if s.name in names]
    options = [_option(alone, option.target, limits, gels) for option in found.best]
    return set.intersection(*({part.name for part in option.parts if part.out} for option in options))


def _prepared(
    sources: Sequence[Source], gel_arrays: GelArrays, whites: Grid
) -> tuple[list[PreparedSource], tuple[str, ...]]:
    """Make ready the sources that are to be corrected; return also the names of those that cannot be."""
    bares, left_out = [], []
    anywhere = WhitePoint(whites.uv[0], MIRED_K / float(whites.mired[0]), float(whites.duv[0]))
    for source in sources:
        if source.aim.leave:
            continue
        try:
            bare = prepare(source.model_copy(update={"aim": WantedOffset()}), gel_arrays, anywhere)
        except Refused:
            left_out.append(source.name)
        else:
            aimed = bare.source.model_copy(update={"aim": source.aim})
            bares.append(replace(bare, source=aimed))
    return bares, tuple(left_out)


def _option(
    sources: Sequence[Source],
    target: Target,
    limits: Limits,
    gels: Sequence[Gel],
    no_pull: Collection[str] = (),
) -> Option:
    """Plan for a white; its value is without those of `no_pull`.

    Raises Refused where there is no such white, or a source that has no plan.
    """
    plan = make_plan(sources, target, limits, gels)
    problems = [*plan.problems, *(p for head in plan.heads for p in head.problems)]
    if plan.target is None or problems:
        raise Refused(problems)
    counted = [head for head in plan.heads if not head.source.aim.leave]
    return Option(
        target=target,
        white=plan.target,
        value=sum(_value(head) for head in counted if head.source.name not in no_pull),
        parts=tuple(_part(head) for head in counted),
    )


def _as_found(
    option: Option, hanging: Sequence[Source], sources: Sequence[Source], limits: Limits, gels: Sequence[Gel]
) -> Option:
    """At the present white, tell each source that hangs as its page does, where nothing is to be changed.

    What was found right there is not off. What was metered, and is left as it is, is as it was metered.
    """
    if not hanging:
        return option
    work = {source.name: source.work for source in hanging}
    as_they_are = [s.model_copy(update={"work": work.get(s.name)}) for s in sources]
    heads = make_plan(as_they_are, option.target, limits, gels).heads
    seen = {head.source.name: _as_it_hangs(head) for head in heads if head.source.name in work}
    parts = tuple(replace(part, seen=seen.get(part.name) or part.seen) for part in option.parts)
    return replace(option, parts=parts)


def _as_it_hangs(head: PlannedSource) -> Seen | None:
    """Return the word for what hangs, metered or looked at; None where that is to be changed, or unread."""
    if head.check is None:
        return Seen.CLOSE if head.stage is Stage.CONFIRMED else None
    if head.check.reached:
        return head.check.seen if head.check.seen in NEAR else Seen.CLOSE
    return head.check.seen if head.closest_hangs else None


def _value(head: PlannedSource) -> float:
    """Return the cost of what a head gets from a shared stock, else that of its cheapest stack."""
    assert head.advice is not None, "only heads with advice are counted"
    allocated = head.advice.allocated
    stacks = [allocated.stack] if allocated else head.advice.stacks
    each, kept = LAYER_IN_STEPS * dear(head.source), len(head.source.keep)
    # Each layer counts by the glass here, so what a second one costs more there is not counted twice.
    glass = head.advice.glass_steps
    return min(s.cost - glass * max(s.layers - 1, 0) + each * (s.layers - kept) for s in stacks)


def _part(head: PlannedSource) -> Part:
    assert head.best is not None, "only heads with advice are counted"
    layers = head.best.layers - len(head.source.keep)
    pieces = pieces_over(head.source.openings)
    lux = head.source.reading.lux if head.source.lights_subject else 0.0
    return Part(head.source.name, head.best, layers, layers * pieces, head.best.miss.seen, head.out, lux)
