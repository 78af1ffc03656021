"""Heads that are seen together, matched to each other: their stacks chosen jointly, by the worst difference.

Each head may hang any stack that leaves it within its tolerance of what is wanted of it; where none does,
those that leave it about as near as it can be. Of all choices the one is taken whose two results that differ
most differ least. Differences of less than a step are seen by nobody and count alike; then the fewest sheets
move, and then the advisor's own ranking decides. For two heads every choice is tried. For more, each head
follows each stack of each other one, and then the best is bettered head by head.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...colour.observer.data import Array
from ...model import Refused, Seen, Setting
from ...model.sets.behind import changed
from ..plan.plan import Plan
from ..stacks.enumerate import NONE, Indices
from ..stacks.watch import go_on, tell
from ..wording.words import seen
from .standing import Standing, stand_as_hung

UNSEEN = 1.0
"""Two lights that differ by less look the same. [step] CIE TN 001:2014, from memory."""
_AS_NEAR = 0.5
"""Where no stack is within the tolerance, those count that are no farther off than the nearest. [step]"""
_ROUNDS = 8
"""So often at most a choice for many heads is bettered."""


@dataclass(frozen=True)
class JointTurn:
    """What one head hangs then, by its index in the plan, and what that takes off and puts on.

    `dial` is where the dials of an adjustable head are, and stay.
    """

    index: int
    name: str
    gels: tuple[str, ...]
    off: tuple[str, ...]
    on: tuple[str, ...]
    dial: Setting | None


@dataclass(frozen=True)
class JointMatch:
    """Heads matched to each other.

    `before` [step] is the difference of the two that differ most with what each is advised, or hangs, and
    `after` with what is chosen jointly; `seen` are what the eye makes of both.
    """

    turns: tuple[JointTurn, ...]
    before: float
    after: float
    seen: tuple[Seen, Seen]

    @property
    def moves(self) -> int:
        """Sheets that come off or go on, against what hangs."""
        return sum(len(turn.off) + len(turn.on) for turn in self.turns)


def match_jointly(plan: Plan, indices: Sequence[int]) -> JointMatch:
    """Match the heads at some indices of a plan to each other.

    Raises Refused for fewer than two, and for one that has no answer or is off on purpose.
    """
    if len(set(indices)) < 2:
        raise Refused.one("heads", "one head has nothing to match", "two heads or more")
    heads = [_able(plan, i) for i in dict.fromkeys(indices)]
    assert plan.gel_arrays is not None, "heads with an answer have a gel table"
    uv = [one.uv[rows] for one, rows in heads]
    cost = [np.stack([one.moves[rows], (one.away(_wanted(one))[0] + one.rest)[rows]]) for one, rows in heads]
    chosen = _two(uv, cost) if len(heads) == 2 else _many(uv, cost)
    found = [int(rows[row]) for (_, rows), row in zip(heads, chosen, strict=True)]
    return _matched(plan, [one for one, _ in heads], found)


def _matched(plan: Plan, heads: Sequence[Standing], rows: Sequence[int]) -> JointMatch:
    """Return heads with what hangs by a row of each one's stacks, beside what each is advised by itself."""
    assert plan.gel_arrays is not None, "heads with an answer have a gel table"
    turns, names = [], plan.gel_arrays.names
    for one, row in zip(heads, rows, strict=True):
        gels = tuple(names[k] for k in _hangs(one.stacks[row]))
        off, on = changed(one.hung, gels)
        turns.append(JointTurn(one.index, one.name, gels, tuple(off), tuple(on), one.dial))
    now = [_advised(plan, one) for one in heads]
    before, after = _worst(now), _worst([one.uv[row] for one, row in zip(heads, rows, strict=True)])
    tolerance = plan.limits.tolerance_steps
    return JointMatch(tuple(turns), before, after, (seen(before, tolerance), seen(after, tolerance)))


def match_alike(plan: Plan, indices: Sequence[int]) -> JointMatch:
    """Hang the same gels on several sources, such as the windows of one room.

    It takes the stack that costs the worst of them least, of all that may hang on each. The cost is what is
    beyond the tolerance, and light and layers as the advisor ranks them, where layers on glass are dear. Of
    equal stacks it takes the one that costs least over all. Raises Refused as `match_jointly`, and where none
    may hang on all.
    """
    if len(set(indices)) < 2:
        raise Refused.one("heads", "one source is like itself", "two sources or more")
    heads = [_able(plan, i)[0] for i in dict.fromkeys(indices)]
    rows = [{_hangs(stack): row for row, stack in reversed(list(enumerate(one.stacks)))} for one in heads]
    shared = [gels for gels in rows[0] if all(gels in own for own in rows[1:])]
    if not shared:
        raise Refused.one("heads", "no gels may hang on all of them", "sources with the same fixed gels")
    chosen = [np.array([own[gels] for gels in shared], dtype=np.intp) for own in rows]
    away = [one.away(_wanted(one))[0] for one in heads]
    worst = np.max(
        [(one.beyond(off[None])[0] + one.rest)[at] for one, off, at in zip(heads, away, chosen, strict=True)],
        axis=0,
    )
    cost = sum((off + one.rest)[at] for one, off, at in zip(heads, away, chosen, strict=True))
    best = int(np.lexsort((cost, np.round(worst, 6)))[0])
    return _matched(plan, heads, [int(at[best]) for at in chosen])


def _hangs(stack: Indices) -> tuple[int, ...]:
    return tuple(sorted(k for k in stack.tolist() if k != NONE))


def _able(plan: Plan, i: int) -> tuple[Standing, Indices]:
    """Return a head as it hangs, and which stacks it may hang. Raises Refused where it has no answer."""
    head = plan.heads[i]
    if plan.gel_arrays is None or i not in plan.prepared or head.best is None or not head.source.aim.plain:
        says = f"{head.source.name} has no answer, or is off on purpose"
        raise Refused.one("heads", says, "heads that are to match")
    one = stand_as_hung(plan, i, plan.limits, plan.gel_arrays, fixed=False)
    away = one.away(_wanted(one))[0]
    beyond = one.beyond(away[None])[0]
    rows = np.flatnonzero(beyond <= 0.0)
    return one, rows if len(rows) else np.flatnonzero(away <= away.min() + _AS_NEAR)


def _wanted(one: Standing) -> Array:
    return one.bare.wanted.uv[None]


def _advised(plan: Plan, one: Standing) -> Array:
    """Return where a head is with what hangs, or with what is advised where nothing does (2,)."""
    head = plan.heads[one.index]
    if head.hangs or head.best is None or plan.gel_arrays is None:
        return np.asarray(one.uv[0])
    wanted = sorted(plan.gel_arrays.find(head.best.gels))
    for row, stack in enumerate(one.stacks):
        if sorted(k for k in stack.tolist() if k != NONE) == wanted:
            return np.asarray(one.uv[row])
    return np.asarray(one.uv[0])


def _apart(one: Array, other: Array) -> Array:
    """Return how far the results (n, 2) and (m, 2) are apart (n, m) [step]."""
    return np.asarray(delta_uv_prime(one[:, None], other[None]) / STEP_DELTA_UV)


def _worst(uv: Sequence[Array]) -> float:
    every = np.array(uv)
    return float(_apart(every, every).max())


def _two(uv: Sequence[Array], cost: Sequence[Array]) -> list[int]:
    """Return the best choice for two heads, of all."""
    worst = np.maximum(_apart(uv[0], uv[1]), UNSEEN)
    moves, rest = (cost[0][k][:, None] + cost[1][k][None] for k in (0, 1))
    best = int(np.lexsort((rest.ravel(), moves.ravel(), np.round(worst.ravel(), 6)))[0])
    return [int(k) for k in np.unravel_index(best, worst.shape)]


def _many(uv: Sequence[Array], cost: Sequence[Array]) -> list[int]:
    """Return a good choice for more heads: each follows one stack of one, then it is bettered by turns."""
    found: list[tuple[tuple[float, float, float], list[int]]] = []
    for lead, results in enumerate(uv):
        go_on()
        tell(lead / len(uv))
        for row in range(len(results)):
            chosen = [
                row if k == lead else _nearest(uv[k], cost[k], results[row][None]) for k in range(len(uv))
            ]
            found.append((_counted(uv, cost, chosen), chosen))
    best, chosen = min(found)
    for _ in range(_ROUNDS):
        for k in range(len(uv)):
            others = np.array([uv[j][chosen[j]] for j in range(len(uv)) if j != k])
            row = _nearest(uv[k], cost[k], others)
            tried = [*chosen[:k], row, *chosen[k + 1 :]]
            chosen = min((_counted(uv, cost, one), one) for one in (chosen, tried))[1]
        if (now := _counted(uv, cost, chosen)) >= best:
            break
        best = now
    return chosen


def _nearest(uv: Array, cost: Array, others: Array) -> int:
    """Return the row of a head that differs least from the farthest of some results."""
    worst = np.maximum(_apart(uv, others).max(axis=1), UNSEEN)
    return int(np.lexsort((cost[1], cost[0], np.round(worst, 6)))[0])


def _counted(uv: Sequence[Array], cost: Sequence[Array], chosen: Sequence[int]) -> tuple[float, float, float]:
    worst = max(_worst([u[row] for u, row in zip(uv, chosen, strict=True)]), UNSEEN)
    moves, rest = (sum(float(c[k][row]) for c, row in zip(cost, chosen, strict=True)) for k in (0, 1))
    return round(worst, 6), moves, rest
