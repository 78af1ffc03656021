"""What each white of a fine grid costs a source: the least ranking cost over the stacks that may hang on it.

Every white of the grid takes part, and every stack that is tried. The risk of a stack is that of one normal
scatter around the mean place of the ensemble. Its covariance is the spread of the members plus everything
else that is uncertain. (What is shown in the end is judged member by member.) The expected loss is at least
the loss of the mean place, and at least that of the scatter around the target itself (Jensen's inequality:
the loss is convex). So both give lower bounds of the cost. For each white, the stack with the least bound is
worked out exactly. Only stacks with a bound below its cost can be cheaper, and this handful is worked out
too. Before that, runs of neighbouring whites are bounded as one, which leaves a few stacks for each run.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.cct import CCT_RANGE, cct_duv_of_uv, in_range, normal_at, planckian_uv, uv_of_cct_duv
from ...colour.observer.chromaticity import PER_STEP, STEP_DELTA_UV, delta_uv_prime
from ...colour.observer.data import Array
from ...colour.observer.loci import CC_PER_DUV, MIRED_K, daylight_uv
from ...colour.observer.real_light import is_real_uv
from ...model import Limits, Locus, Target, WantedOffset
from ...model.sets.target import DAYLIGHT_FROM
from ..cost.judge import Judge
from ..cost.loss import SHARES, expected_at, loss, scattered
from ..readings.target import offset
from ..stacks.enumerate import NONE, Choice, Indices, stacks_on
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, predict_stacks
from ..wording.ladder import TRADE

_MIREDS = np.arange(100.0, 401.0, 5.0)
"""10 000 K down to 2 500 K in steps of 5 MK⁻¹. [MK⁻¹]"""
TINTS = np.arange(-10.0, 31.0)
"""What the camera takes out, from between a quarter and a half of magenta to a full green. [CC]"""
MOST_STACKS = 11_000
"""The most stacks of a source of which all are tried, opposites not counted: 20 gels in four layers."""
_THINNED = 3_000
"""If there are more, the most stacks that are tried, of fewer gels: twenty-four gels in three layers."""
_AT_ONCE = 4_000_000
"""Whites times stacks at a time. Few stacks are left of a run, so arrays stay at a few megabytes."""
_ROUNDING = 1e-9
"""By so much a bound may be above what it bounds. [step]"""
_TOGETHER = 8
"""Neighbouring whites that are bounded as one run, before each is by itself."""


@dataclass(frozen=True, eq=False)
class Grid:
    """The whites that are compared: n of them, CCT by CCT and in each by tint, Planckian ones first.

    `cct` (n,) [K] is nominal on the locus and `tint` (n,) [CC]; `uv` (n, 2), `mired` and `duv` (n,) are the
    white itself, green by its tint; `real` (n,) says whether any light can have it.
    """

    loci: tuple[Locus, ...]
    cct: Array
    tint: Array
    uv: Array
    mired: Array
    duv: Array
    real: NDArray[np.bool_]

    def target(self, i: int) -> Target:
        """Return the `i`-th white as a target."""
        return Target(cct=float(self.cct[i]), locus=self.loci[i], tint=float(self.tint[i]))

    @property
    def planckian(self) -> int:
        """How many whites are on the Planckian locus."""
        return self.loci.count(Locus.PLANCKIAN)

    def wanted(self, aim: WantedOffset) -> Array:
        """Return the (u, v), (n, 2), where a source with this aim is wanted; NaN where that is no white."""
        mired, duv = offset(self.mired, self.duv, aim)
        able = self.real & in_range(mired, duv)
        result = np.full_like(self.uv, np.nan)
        if aim.mired or aim.duv:
            result[able] = uv_of_cct_duv(np.clip(MIRED_K / mired[able], *CCT_RANGE), duv[able])
        else:
            result[able] = self.uv[able]
        return result


@cache
def grid() -> Grid:
    """Return the whites on both loci, every 5 MK⁻¹, at CCTs that cameras offer, and for every CC of tint.

    CCTs are rounded to 10 K below 4 000 K and to 50 K above, where 5 MK⁻¹ are at least 80 K.
    """
    exact = MIRED_K / _MIREDS
    kelvins = np.where(exact < DAYLIGHT_FROM, np.round(exact, -1), np.round(exact / 50.0) * 50.0)
    daylight = kelvins[kelvins >= DAYLIGHT_FROM]
    on_locus = np.concatenate([planckian_uv(MIRED_K / kelvins)[0], daylight_uv(daylight)])
    across = normal_at(cct_duv_of_uv(on_locus)[0])
    uv = (on_locus[:, None] + TINTS[None, :, None] / CC_PER_DUV * across[:, None]).reshape(-1, 2)
    cct, duv = cct_duv_of_uv(uv)
    loci = [Locus.PLANCKIAN] * len(kelvins) + [Locus.DAYLIGHT] * len(daylight)
    return Grid(
        loci=tuple(locus for locus in loci for _ in TINTS),
        cct=np.repeat(np.concatenate([kelvins, daylight]), len(TINTS)),
        tint=np.tile(TINTS, len(on_locus)),
        uv=uv,
        mired=MIRED_K / cct,
        duv=duv,
        real=is_real_uv(uv),
    )


def few_enough(choice: Choice, gel_arrays: GelArrays) -> Choice:
    """Return what may hang on a source; of very many gels, only some that cover what all of them do.

    The first is the strongest. Each next one is as far as possible from those before, in the trade's eighths
    of CTO and of green. With fewer gels all layers can be tried, which matters more than every strength: from
    500 gels, a thinned table finds cheaper whites than all gels in one layer do.
    """
    if choice.count <= MOST_STACKS:
        return choice
    most = len(choice.gels)
    while math.comb(most + choice.free, choice.free) > _THINNED:
        most -= 1
    gels = list(choice.gels)
    does = np.stack(
        [gel_arrays.mired[gels] / TRADE.cto[0], gel_arrays.cc[gels] / (CC_PER_DUV * TRADE.plus_green[0])],
        axis=1,
    )
    taken = [int(np.hypot(*does.T).argmax())]
    away = np.hypot(*(does - does[taken[0]]).T)
    while len(taken) < most:
        taken.append(int(away.argmax()))
        away = np.minimum(away, np.hypot(*(does - does[taken[-1]]).T))
    taken.sort()
    return replace(
        choice,
        gels=tuple(choice.gels[k] for k in taken),
        sheets=tuple(choice.sheets[k] for k in taken),
    )


def least_costs(
    bare: PreparedSource,
    whites: Array,
    choice: Choice,
    limits: Limits,
    gel_arrays: GelArrays,
    pause: Callable[[float], None] = lambda share: None,
    *,
    dear: float = 0.0,
) -> Array:
    """Return the least cost (n,) [step] of bringing a source to each of `whites` (n, 2) in (u, v).

    It is infinite where a white is NaN. The first stack, with nothing added, takes part however much light it
    loses. `dear` [step] is what each layer costs more than a layer on a head. `pause` is called now and
    then with the share that is done, and may raise.
    """
    stacks = stacks_on(gel_arrays, choice)
    judge = Judge(bare, gel_arrays, limits.for_source(bare.source))
    sure = judge.certainty(stacks)
    weights, tolerance = bare.ensemble.weights, judge.limits.tolerance_steps
    [outcomes] = predict_stacks([bare], gel_arrays, stacks)
    able = judge.affordable(outcomes.passed)
    able[0] = True
    able &= np.isfinite(sure.offsets).all(axis=(1, 2))  # what lets no light through is no stack
    stacks, sure, outcomes = stacks[able], sure.at(np.flatnonzero(able)), outcomes.at(np.flatnonzero(able))
    mean = np.einsum("mkc,k->mc", sure.offsets, weights)
    spread = sure.offsets - mean[:, None, :]
    points = scattered(sure.covariance + np.einsum("mki,mkj,k->mij", spread, spread, weights))
    mean = mean + bare.wanted.uv * PER_STEP
    layers = (stacks != NONE).sum(axis=1)
    fixed = judge.cost(stacks, np.zeros(len(stacks)), outcomes.passed)
    fixed = np.asarray(fixed + dear * (layers - layers[0]), dtype=np.float64)
    around = loss(np.hypot(points[..., 0], points[..., 1]), tolerance) @ SHARES + fixed
    at = whites * PER_STEP
    result = np.full(len(whites), np.inf)

    def exactly(rows: Indices, columns: Indices) -> Array:
        away = mean[columns] - at[rows]
        risk = expected_at(away[:, None, :], np.ones(1), points[columns], tolerance)
        return np.asarray(risk + fixed[columns])

    def bounds(away: Array, columns: Indices | slice) -> Array:
        return np.asarray(np.maximum(loss(away, tolerance) + fixed[columns], around[columns]))

    finite = np.flatnonzero(np.isfinite(at).all(axis=1))
    for rows in _parts(finite, max(_AT_ONCE // len(mean), _TOGETHER)):
        pause(float(rows[0]) / len(whites))
        runs = _runs(rows)
        middle = at[runs].mean(axis=1)
        radius = np.hypot(*(at[runs] - middle[:, None, :]).transpose(2, 0, 1)).max(axis=1)
        off = np.hypot(*(middle.T[:, :, None] - mean.T[:, None, :]))
        # What is cheap in the middle of a run says how dear the dearest of its whites is at most.
        cheap = np.repeat(bounds(off, slice(None)).argmin(axis=1), _TOGETHER)
        most = exactly(runs.ravel(), cheap).reshape(runs.shape).max(axis=1) + _ROUNDING
        run, column = np.nonzero(bounds(np.maximum(off - radius[:, None], 0.0), slice(None)) <= most[:, None])
        away = np.hypot(*(at[runs[run]] - mean[column][:, None, :]).transpose(2, 0, 1))
        bound = bounds(away.T, column).T
        starts = np.flatnonzero(np.diff(run, prepend=-1))
        pair, place = np.nonzero(bound == np.minimum.reduceat(bound, starts)[run])
        first = np.zeros(runs.shape, dtype=np.intp)
        first[run[pair], place] = column[pair]
        least = exactly(runs.ravel(), first.ravel()).reshape(runs.shape)
        pair, place = np.nonzero(bound < least[run])
        np.minimum.at(least, (run[pair], place), exactly(runs[run[pair], place], column[pair]))
        result[runs] = least
    return result


def _runs(rows: Indices) -> Indices:
    """Return rows in runs of neighbours (r, w); the last one is filled up with its last row."""
    short = -len(rows) % _TOGETHER
    return np.concatenate([rows, np.repeat(rows[-1:], short)]).reshape(-1, _TOGETHER)


def distinct(costs: Array, uv: Array, apart: float, most: int) -> list[int]:
    """Return the rows of the cheapest whites, each the cheapest of all within `apart` [step] of it.

    So any two are further apart than that, and none is just a neighbour of a better one.
    """
    found: list[int] = []
    for i in np.argsort(costs, kind="stable"):
        if len(found) == most or not np.isfinite(costs[i]):
            break
        near = delta_uv_prime(uv, uv[i]) <= apart * STEP_DELTA_UV
        if costs[near].min() >= costs[i] and not near[found].any():
            found.append(int(i))
    return found


def _parts(places: Indices, size: int) -> Iterator[Indices]:
    yield from (places[start : start + size] for start in range(0, len(places), size))
