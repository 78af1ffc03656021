"""A source as it hangs, and every stack that could hang in its place: moves, light, and where each lands."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import steps_apart
from ...colour.observer.data import Array
from ...colour.spectra.sources import Unbendable
from ...model import Limits, Refused, Setting, Stage
from ..answer.fewest_moves import cost_with_moves, hangable, least, moves_between
from ..cost.judge import Judge
from ..dials.ranking import dialled, standing
from ..learned.informed import judge_of
from ..plan.light import uv_read
from ..plan.plan import Plan
from ..readings.chromaticity import WhitePoint
from ..readings.target import aimed
from ..stacks.enumerate import NONE, Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource


@dataclass(frozen=True, eq=False)
class Standing:
    """A source as it hangs. `stacks` (m, w) may hang on it; the first row is what hangs now.

    `moves` (m,) are the sheets that come off or go on. `uv` (m, 2) is where the light lands, as read where it
    was read; `passed` (m,) the share of it that is left. `rest` (m,) [step] is what stacks cost by
    light, layers and the habits that they break. `tolerance` [step] is the source's own, and `taken` [step]
    the miss with which somebody took what hangs for right, and `read` says that what hangs was metered. A
    source that is `fixed` keeps what hangs. `dial` is where the dials are now.
    """

    index: int
    bare: PreparedSource
    judge: Judge
    hung: tuple[str, ...]
    stacks: Indices
    moves: NDArray[np.intp]
    uv: Array
    passed: Array
    rest: Array
    tolerance: float
    taken: float = 0.0
    fixed: bool = False
    dial: Setting | None = None
    read: bool = False

    @property
    def name(self) -> str:
        """The source's name."""
        return self.bare.source.name

    @property
    def dials(self) -> bool:
        """Whether it has dials that may be turned."""
        return self.bare.source.reach is not None and not self.fixed

    def wanted(self, white: WhitePoint) -> WhitePoint | None:
        """Return where it is wanted at a white; None where its aim leads to no white from there."""
        try:
            return aimed(white, self.bare.source.aim)
        except Refused:
            return None

    def away(self, wanted: Array) -> Array:
        """Return how far off its stacks land (n, m) [step], for n places (n, 2) where it is wanted."""
        return np.asarray(steps_apart(self.uv[None], wanted[:, None, :]))

    def beyond(self, away: Array) -> Array:
        """Return by how much stacks count as beyond the tolerance (n, m) [step], landing `away` (n, m)."""
        allowed = np.full(len(self.moves), self.tolerance)
        allowed[0] = max(self.tolerance, self.taken)
        return np.asarray(np.maximum(away - allowed, 0.0))


@dataclass(frozen=True, eq=False)
class Choosing:
    """What a source may do at a white: rows of `stacks` (r, w), each with a dial setting (None: none).

    `cost` (r,) [step] is the miss beyond the tolerance, plus a fixed cost for each move; `rest` (r,) tells
    rows apart that cost the same in as many moves: it is the cost by which the advisor ranks.
    """

    stacks: Indices
    dials: tuple[Setting | None, ...]
    moves: NDArray[np.intp]
    away: Array
    beyond: Array
    passed: Array
    rest: Array

    @property
    def cost(self) -> Array:
        """The cost (r,) [step], rounding aside."""
        return cost_with_moves(self.beyond, self.moves)

    @property
    def best(self) -> int:
        """The row of the least cost; of equal ones the fewest moves, then what ranks first."""
        return least(self.cost, self.moves, self.rest)


def stand_as_hung(plan: Plan, i: int, limits: Limits, gel_arrays: GelArrays, *, fixed: bool) -> Standing:
    """Return the `i`-th source of a plan as it hangs, with what could hang where it is not `fixed`.

    Raises Refused for gels that the table lacks.
    """
    bare, head = plan.prepared[i], plan.heads[i]
    work = head.source.work if head.source.work and head.source.work.hangs else None
    dial = work.dial if work and work.dial else bare.source.reading.dial
    as_set = _with_dials(bare, work.dial if work else None)
    judge = judge_of(as_set, gel_arrays, limits)
    hanging = bare.source.hanging
    hung = [gel_arrays.names[k] for k in bare.keep] if hanging is None else hanging
    now = sorted(gel_arrays.find(hung))
    can = hangable(judge, as_set, limits, gel_arrays, now, fixed=fixed)
    uv = can.uv
    read = uv_read(plan, i) if work else None
    if read is not None:
        uv[0] = read
    taken = work.steps_off if work and work.stage is Stage.CONFIRMED and work.steps_off else 0.0
    return Standing(
        index=i,
        bare=as_set,
        judge=judge,
        hung=tuple(gel_arrays.names[k] for k in now),
        stacks=can.stacks,
        moves=can.moves,
        uv=uv,
        passed=can.passed,
        rest=can.rest,
        tolerance=limits.tolerance_of(bare.source),
        taken=taken,
        fixed=fixed,
        dial=dial,
        read=read is not None,
    )


def choosing(one: Standing, white: WhitePoint, limits: Limits, gel_arrays: GelArrays) -> Choosing | None:
    """Return what a source may do at a white; None where its aim leads to no white from there."""
    wanted = one.wanted(white)
    if wanted is None:
        return None
    rows = slice(0, 1) if one.fixed else slice(None)
    away = one.away(wanted.uv[None])[0]
    beyond = one.beyond(away[None])[0]
    stands = Choosing(
        one.stacks[rows],
        (one.dial,) * len(one.moves[rows]),
        one.moves[rows],
        away[rows],
        beyond[rows],
        one.passed[rows],
        (away + one.rest)[rows],
    )
    return _with_settings(stands, one, wanted, limits, gel_arrays) if one.dials else stands


def _with_settings(
    stands: Choosing, one: Standing, wanted: WhitePoint, limits: Limits, gel_arrays: GelArrays
) -> Choosing:
    """Add what its dials can do, with the stacks that the advisor ranks with them."""
    advice = dialled(replace(one.bare, wanted=wanted), limits, gel_arrays)
    ranked = [stack for stack in advice.stacks if stack.dial is not None] if advice else []
    if not ranked:
        return stands
    now = gel_arrays.find(one.hung)
    stacks = np.full((len(ranked), max(stack.layers for stack in ranked)), NONE, dtype=np.intp)
    for row, stack in enumerate(ranked):
        stacks[row, : stack.layers] = gel_arrays.find(stack.gels)
    away = np.array([stack.miss.steps for stack in ranked])
    width = max(stacks.shape[1], stands.stacks.shape[1])
    both = [
        np.pad(rows, ((0, 0), (0, width - rows.shape[1])), constant_values=NONE)
        for rows in (stands.stacks, stacks)
    ]
    return Choosing(
        np.concatenate(both),
        (*stands.dials, *(stack.dial for stack in ranked)),
        np.concatenate([stands.moves, moves_between(stacks, now)]),
        np.concatenate([stands.away, away]),
        np.concatenate([stands.beyond, np.maximum(away - one.tolerance, 0.0)]),
        np.concatenate([stands.passed, [2.0**-stack.stops for stack in ranked]]),
        np.concatenate([stands.rest, [stack.cost for stack in ranked]]),
    )


def _with_dials(bare: PreparedSource, dial: Setting | None) -> PreparedSource:
    try:
        return standing(bare, dial)
    except (Unbendable, Refused):
        return bare
