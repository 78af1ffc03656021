"""The whole way from a set as it hangs, and what changed, to plans: model in, model out."""

from collections.abc import Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass

from ...model import Gel, Limits, Refused, Source, Target
from ...model.advice import White
from ...model.asked_plans import AskedPlans, ToldPlan, ToldPlans, ToldTurn
from ...model.basis.base import name_key
from ...model.basis.problems import within
from ...model.basis.quantities import tidy
from ...model.sets.phrases import counted
from ..plan.make import make_plan
from ..readings.target import white_of
from ..stacks.enumerate import allowed_by, choice_on
from ..stacks.gel_arrays import gel_arrays_of
from .cuts import AtHand, fallen_from
from .find import next_plans
from .moved import Moved, what_moved
from .way import NextPlan
from .whites import frozen

_SMALL = 1e-6
MOST_WEIGHED = 60_000
"""The most stacks of all sources together: a second of work. Twenty gels in three layers on 33 sources."""
MOST_ADJUSTABLE = 24
"""The most heads whose dials are searched: each takes as long as thousands of stacks."""


@dataclass(frozen=True)
class SetToPlan:
    """A set as it hangs that was looked at, and is not more than a call may take time for.

    `standing` are its sources that are lit, at `indices` in the request; `failed` names the others.
    """

    asked: AskedPlans
    sources: Sequence[Source]
    standing: Sequence[Source]
    indices: Sequence[int]
    failed: frozenset[str]
    moved: Sequence[str]
    target: Target
    gels: Sequence[Gel]


def set_to_plan(asked: AskedPlans, sources: Sequence[Source], table: Sequence[Gel]) -> SetToPlan:
    """Look at a request before any work; `sources` are those of the request, with their light.

    Raises Refused, with the place in the request, for what cannot be named or matched, and for more stacks
    or adjustable heads than a call may take time for.
    """
    moved = _named(asked.changed.sources, sources, "sources")
    failed = frozenset(name_key(name) for name in _named(asked.changed.failed, sources, "failed"))
    standing = [one for one in sources if name_key(one.name) not in failed]
    if not standing:
        raise Refused.one("changed.failed", "every source failed", "one source that is lit")
    target = _fixed(asked.target, sources, failed)
    gels = table if asked.gels is None else asked.gels
    _few_enough(standing, asked.limits, gels)
    if asked.changed.before is not None:
        with within("changed.before"):
            white_of(asked.changed.before, list(standing))
    indices = [i for i, one in enumerate(sources) if name_key(one.name) not in failed]
    return SetToPlan(asked, sources, standing, indices, failed, moved, target, gels)


def plans_for(given: SetToPlan) -> ToldPlans:
    """Return the ways on for a set. Raises Refused, with the place in the request, for what has no white."""
    plan = make_plan(given.standing, given.target, given.asked.limits, given.gels)
    if plan.problems:
        raise Refused(list(plan.problems))
    for index, head in zip(given.indices, plan.heads, strict=True):
        if head.problems:
            with within("sources", index):
                raise Refused(list(head.problems))
    before = given.asked.changed.before
    found: Moved | None = Moved(tuple(given.moved), before)
    if not (given.moved or before or given.failed):
        found = what_moved(plan, given.target)
    if found is None:
        return ToldPlans(moved=[], target_moved=False, plans=[], left_out=[])
    fallen = [cut for one in given.sources if name_key(one.name) in given.failed for cut in fallen_from(one)]
    answer = next_plans(plan, given.target, found.sources, found.former, AtHand(tuple(fallen)))
    return ToldPlans(
        moved=list(answer.moved),
        target_moved=answer.white_moved,
        plans=[_told(one) for one in answer.plans],
        left_out=list(answer.left_out),
    )


def _few_enough(sources: Sequence[Source], limits: Limits, gels: Sequence[Gel]) -> None:
    """Raise Refused, before any work, where there is more to weigh than a call may take time for."""
    adjustable = sum(one.reach is not None for one in sources)
    if adjustable > MOST_ADJUSTABLE:
        says = f"{adjustable} sources have a dial range (reach)"
        allowed = (
            f"up to {MOST_ADJUSTABLE} in a call: fewer sources, or leave reach out of heads that stay as set"
        )
        raise Refused.one("sources", says, allowed)
    with within("gels"):
        gel_arrays = gel_arrays_of(tuple(gels))
    count = 0
    for source in sources:
        own = limits.for_source(source)
        layers = 0 if source.aim.leave else own.max_layers
        with suppress(Refused):  # what the table does not have is told with its place by the plan
            count += choice_on(gel_arrays, (), layers, allowed_by(gel_arrays, own), dimmed=False).count
    if count > MOST_WEIGHED:
        on = counted(int(gel_arrays.ranked.sum()), "gel")
        says = f"{counted(len(sources), 'source')} with {on} make {tidy(count)} stacks to weigh"
        allowed = f"up to {tidy(MOST_WEIGHED)} in all: fewer sources, fewer gels (only_gels) or max_layers"
        raise Refused.one("sources", says, allowed)


def _named(names: Sequence[str], sources: Sequence[Source], where: str) -> list[str]:
    """Return the names of sources as those have them. Raises Refused for what names none."""
    known, found = {name_key(one.name): one.name for one in sources}, []
    for index, name in enumerate(names):
        if name_key(name) not in known:
            says = f"no source here is called {name!r}"
            allowed = f"one of the sources: {', '.join(known.values())}"
            raise Refused.one(f"changed.{where}[{index}]", says, allowed)
        found.append(known[name_key(name)])
    return found


def _fixed(target: Target, sources: Sequence[Source], failed: Collection[str]) -> Target:
    """Return the target; one that matches a head that failed is fixed at what that read."""
    if target.source is None or name_key(target.source) not in failed:
        return target
    with within("target"):
        return frozen(white_of(target, list(sources)), target.tint)


def _told(plan: NextPlan) -> ToldPlan:
    return ToldPlan(
        way=plan.way.value,
        target=plan.target,
        white=White(cct=round(plan.white.cct, 1), duv=round(plan.white.duv, 5)),
        moves=plan.moves,
        heads=len(plan.heads),
        miss_steps=round(plan.miss, 3),
        stops=None if plan.stops is None else round(plan.stops, 3),
        turns=[
            ToldTurn(
                name=turn.name,
                gels=list(turn.gels),
                take_off=list(turn.off),
                hang=list(turn.on),
                dial=turn.dial,
                steps=round(turn.steps, 3),
                seen=turn.seen,
                in_tolerance=turn.beyond <= _SMALL,
            )
            for turn in plan.turns
        ],
        used_again=[cut.gel for cut in plan.again],
        new=[cut.gel for cut in plan.fresh],
    )
