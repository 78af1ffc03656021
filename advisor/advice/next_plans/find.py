"""Three plans for a set that no longer fits: hold, follow, move the white.

A plan is a white with a stack for each source. It costs by how much its sources miss their tolerances,
added up, plus half a step for each sheet that comes off or goes on (`cost.counted.MOVE_IN_STEPS`); turned
dials are free. Each source has the stack of the least cost, so no other choice of the known stacks has fewer
moves for no larger miss. Of equal ones it is what the advisor ranks first.
What was metered as it hangs has what its own page says there, by all its readings (`said`).

Only what hangs, what moved, and what is right as it is take part. The rest has no moves yet to save.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from math import log2

import numpy as np

from ...colour.observer.data import Array
from ...model import Limits, Refused, Source, Target
from ...model.basis.base import name_key
from ...model.sets.behind import changed
from ..answer.one_stack import landing
from ..cost.counted import MOVE_IN_STEPS
from ..dials.calibration import fit_dial
from ..plan.plan import Plan
from ..ranking.report import stack_reports
from ..readings.chromaticity import WhitePoint
from ..readings.target import white_of
from ..stacks.enumerate import NONE
from ..stacks.gel_arrays import GelArrays
from ..stacks.watch import go_on, tell
from ..wording.outlook import NEAR
from ..wording.words import seen
from .cuts import NOTHING, AtHand, cuts_for
from .said import said_there
from .standing import Standing, choosing, stand_as_hung
from .way import EVEN, NextPlan, NextPlans, PlanWay, Turn
from .whites import camera_whites, frozen, held, light_now, matched_before, total_beyond

_AT_ONCE = 1_000_000
"""Whites times stacks weighed at a time: a few arrays of 8 MB."""


def next_plans(
    plan: Plan,
    target: Target,
    moved: Collection[str],
    former: Target | None = None,
    at_hand: AtHand = NOTHING,
) -> NextPlans:
    """Return the ways on for a set as it hangs, planned for `target`.

    `moved` are the sources whose light moved. `former` is the target before, where that was changed by hand.
    Cuts that are `at_hand` go up before new ones, as the crew walks. Raises Refused for whites that cannot
    be.
    """
    if plan.target is None or plan.gel_arrays is None:
        raise Refused(list(plan.problems))
    asked = _Asked(plan, target, plan.target, plan.gel_arrays, plan.limits, at_hand)
    names = {name_key(name) for name in moved}
    some = [i for i in plan.prepared if not plan.heads[i].source.aim.leave]
    every = []
    for k, i in enumerate(some):
        go_on()
        tell(k / (2 * len(some)))  # then there are the whites, as much work again
        every.append(asked.standing(i))
    at_first = asked.held_at(every, names, former)
    # What fits without a move now, or did before, has something to lose: so has what was followed.
    fitted = [plan.target, *([at_first[1]] if at_first else [])]
    heads = [
        one
        for one in every
        if name_key(one.name) in names
        or one.bare.source.hanging is not None
        or any(total_beyond([one], white) <= EVEN for white in fitted)
    ]
    mover = _farthest([one for one in heads if name_key(one.name) in names], at_first)
    found = []
    if at_first:
        found.append(asked.at(PlanWay.HOLD, at_first[0], at_first[1], heads))
    if follow := asked.followed(mover, former):
        # A source that is matched itself is wanted bare: what hangs on it does not stay for that.
        stays = mover is not None and name_key(mover.name) != name_key(target.source or "")
        kept = [replace(one, fixed=(stays and one is mover) or one.fixed) for one in heads]
        found.append(asked.at(PlanWay.FOLLOW, follow[0], follow[1], kept))
    if camera := asked.best_white(heads):
        found.append(asked.at(PlanWay.WHITE, camera[0], camera[1], heads))
    left_out = {plan.heads[i].source.name for i in range(len(plan.heads))} - {one.name for one in heads}
    return NextPlans(
        _worth_showing([one for one in found if one is not None]),
        tuple(one.name for one in heads if name_key(one.name) in names),
        former is not None,
        tuple(sorted(left_out)),
    )


def _worth_showing(found: Sequence[NextPlan]) -> tuple[NextPlan, ...]:
    """Return plans, the fewest moves first; another white only where it saves a move against both others."""
    plain = [one for one in found if one.way is not PlanWay.WHITE]
    least = min((one.cost for one in plain), default=np.inf)
    kept = [*plain, *(one for one in found if one.way is PlanWay.WHITE and one.cost <= least - MOVE_IN_STEPS)]
    return tuple(sorted(kept, key=lambda one: (one.moves, round(one.miss, 6))))


def _farthest(moved: Sequence[Standing], at_first: tuple[Target, WhitePoint] | None) -> Standing | None:
    if not moved or at_first is None:
        return moved[0] if moved else None
    return max(moved, key=lambda one: total_beyond([one], at_first[1]))


@dataclass(frozen=True, eq=False)
class _Asked:
    plan: Plan
    target: Target
    white: WhitePoint
    gel_arrays: GelArrays
    limits: Limits
    at_hand: AtHand

    def standing(self, i: int) -> Standing:
        return stand_as_hung(self.plan, i, self.limits, self.gel_arrays, fixed=False)

    def source(self, name: str) -> Source | None:
        key = name_key(name)
        return next((h.source for h in self.plan.heads if name_key(h.source.name) == key), None)

    def held_at(
        self, every: Sequence[Standing], names: set[str], former: Target | None
    ) -> tuple[Target, WhitePoint] | None:
        """Return the white that the set was matched to; None where nobody knows."""
        hung = [one for one in every if one.bare.source.hanging is not None]
        if former is not None:
            return matched_before(former, [head.source for head in self.plan.heads], hung)
        if self.target.source is None:
            return self.target, self.white
        if name_key(self.target.source) not in names:
            return self.target, self.white
        matched = self.source(self.target.source)
        others = [one for one in hung if name_key(one.name) != name_key(self.target.source)]
        white = held(matched, others) if matched and others else None
        if white is None:
            return None
        goal = frozen(white, self.target.tint)
        return goal, white_of(goal, [])

    def followed(self, mover: Standing | None, former: Target | None) -> tuple[Target, WhitePoint] | None:
        """Return the white of what moved: of the target itself where that was changed, or matches it."""
        if former is not None:
            return self.target, self.white
        if mover is None:
            return None
        if self.target.source is not None and name_key(self.target.source) == name_key(mover.name):
            return self.target, self.white
        light = light_now(mover)
        if light is None:
            return None
        try:
            goal = frozen(light, self.target.tint)
            return goal, white_of(goal, [])
        except Refused:
            return None

    def best_white(self, heads: Sequence[Standing]) -> tuple[Target, WhitePoint] | None:
        """Return the white of a camera at which a set costs least, as if dials reached every white."""
        whites = camera_whites(self.target.tint)
        cost, moves, rest = (np.zeros(len(whites)) for _ in range(3))
        for one in heads:
            if one.dials and fit_dial(one.bare.source) is not None:
                continue
            aims = [one.wanted(white) for _, white in whites]
            able = np.array([aim is not None for aim in aims])
            wanted = np.array([np.zeros(2) if aim is None else aim.uv for aim in aims])
            size = max(_AT_ONCE // len(one.moves), 1)
            for start in range(0, len(whites), size):
                go_on()
                some = slice(start, start + size)
                least, fewest, nearest = _cheapest(one, wanted[some])
                cost[some] += np.where(able[some], least, np.inf)
                moves[some] += fewest
                rest[some] += nearest
        if not len(whites) or not np.isfinite(cost).any():
            return None
        return whites[int(np.lexsort((rest, moves, np.round(cost, 9)))[0])]

    def at(
        self, way: PlanWay, target: Target, white: WhitePoint, heads: Sequence[Standing]
    ) -> NextPlan | None:
        """Return the plan for a white; None where the aim of a source leads to no white from there."""
        turns = []
        for one in heads:
            go_on()
            if (said := said_there(self.plan, one, white, here=target == self.target)) is not None:
                turns.append(said)
                continue
            can = choosing(one, white, self.limits, self.gel_arrays)
            if can is None:
                return None
            best = can.best
            gels = tuple(self.gel_arrays.names[k] for k in sorted(can.stacks[best].tolist()) if k != NONE)
            off, on = changed(one.hung, gels)
            passed = float(can.passed[best] / one.passed[0]) if one.passed[0] > 0.0 else 1.0
            steps = float(can.away[best])
            dial = can.dials[best]
            turns.append(
                Turn(
                    index=one.index,
                    name=one.name,
                    gels=gels,
                    off=off,
                    on=on,
                    dial=dial if dial != one.dial else None,
                    steps=steps,
                    before=float(can.away[0]),
                    beyond=float(can.beyond[best]),
                    seen=seen(steps, one.tolerance),
                    passed=passed,
                    standing=dial,
                )
            )
        turns = self.doubted(turns, heads, white)
        cuts = cuts_for(self.plan, turns, self.at_hand)
        return NextPlan(way, target, white, tuple(turns), _lost(heads, turns), cuts.again, cuts.fresh)

    def doubted(self, turns: Sequence[Turn], heads: Sequence[Standing], white: WhitePoint) -> list[Turn]:
        """Mark the turns that come near enough as predicted, but are told as off by their doubt."""
        asked, landed = [], []
        for k, (turn, one) in enumerate(zip(turns, heads, strict=True)):
            known = not turn.moves and turn.dial is None and (one.read or one.taken)
            wanted = one.wanted(white)
            if turn.beyond > EVEN or known or wanted is None:
                continue
            go_on()
            bare = replace(self.plan.prepared[one.index], wanted=wanted)
            dial = turn.standing if one.bare.source.reach else None
            asked.append(k)
            landed.append(landing(bare, self.limits, self.gel_arrays, turn.gels, dial))
        reports = dict(zip(asked, stack_reports(landed), strict=True))
        return [
            replace(turn, unsure=k in reports and reports[k][0].miss.seen not in NEAR)
            for k, turn in enumerate(turns)
        ]


def _cheapest(one: Standing, wanted: Array) -> tuple[Array, Array, Array]:
    """Return the least cost of a source at places (n, 2), with the moves and the miss it takes, (n,) each."""
    away = one.away(wanted)
    costs = np.round(one.beyond(away) + MOVE_IN_STEPS * one.moves, 9)
    least = costs.min(axis=1)
    tied = costs <= least[:, None]
    fewest = np.where(tied, one.moves, np.iinfo(np.intp).max).min(axis=1)
    nearest = np.where(tied & (one.moves == fewest[:, None]), away, np.inf).min(axis=1)
    return least, fewest.astype(np.float64), nearest


def _lost(heads: Sequence[Standing], turns: Sequence[Turn]) -> float | None:
    """Return the light lost at the subject [stop]: over all that falls on it; None where one has no lux."""
    now = then = 0.0
    for one, turn in zip(heads, turns, strict=True):
        if not one.bare.source.lights_subject:
            continue
        lux = one.bare.source.reading.lux
        if not lux:
            return None
        now += lux * float(one.passed[0])
        then += lux * float(one.passed[0]) * turn.passed
    return log2(now / then) if now > 0.0 and then > 0.0 else None
