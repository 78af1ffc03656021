"""Turn numbers into the models that the API answers with, and add the words."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import cct_duv_of_uv, in_range, uv_of_cct_duv
from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, stops, xy_of_uv
from ...colour.observer.data import Array
from ...colour.observer.loci import CC_PER_DUV, MIRED_K
from ...model import (
    After,
    Miss,
    Moves,
    Predicted,
    ReadBehind,
    Refused,
    Shift,
    SourceAdvice,
    StackAdvice,
    White,
)
from ...model.sets.behind import changed
from ..cost.counted import LAYER_IN_STEPS, cost, counted_loss
from ..cost.glass import counted_layers, second_layer
from ..cost.judge import Judge, Read
from ..cost.loss import chance_within
from ..readings.chromaticity import WhitePoint
from ..stacks.enumerate import NONE, Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..stacks.uncertainty import ROUND
from ..wording import words
from ..wording.ladder import Ladder
from .pareto import Ranked


def needed(bare: PreparedSource, ladder: Ladder) -> Shift:
    """Return the shift that carries a source to where it is wanted."""
    mired, duv = bare.white.shift_to(bare.wanted)
    said = words.shift(mired, duv, ladder)
    return Shift(mired=_round(mired, 2), duv=_round(duv, 6), cc=_round(CC_PER_DUV * duv, 2), words=said)


class _Figures(NamedTuple):
    """What is said of f stacks, (f,) each.

    CCT [K] and Duv are NaN where the light is no white. `lost` [stop] is the light, `away` [Δu′v′] how far
    off it lands, `price` [step] the cost.
    """

    cct: Array
    duv: Array
    x: Array
    y: Array
    lost: Array
    away: Array
    price: Array


def stack_reports(ranked: Sequence[Ranked]) -> list[list[StackAdvice]]:
    """Report what the stacks of each source do to it, and how certain that is."""
    if not ranked:
        return []
    sizes = [len(one.stacks) for one in ranked]
    uv, passed = (
        np.concatenate([getattr(one.outcomes, part) for one in ranked]) for part in ("uv", "passed")
    )
    wanted = np.repeat([one.judge.bare.wanted.uv for one in ranked], sizes, axis=0)
    bares = [one.judge.bare for one in ranked]
    due, just = (np.repeat(each, sizes) for each in zip(*((b.due_stops, b.just) for b in bares), strict=True))
    layers = np.concatenate([(one.stacks != NONE).sum(axis=1) for one in ranked])
    risk = np.concatenate([_risk(one) for one in ranked])
    lost = stops(passed)
    more = np.repeat([second_layer(bare.source) for bare in bares], sizes)
    price = cost(risk, counted_loss(lost, due, just), counted_layers(layers, more))
    figures = *cct_duv_of_uv(uv), *xy_of_uv(uv).T, lost, delta_uv_prime(uv, wanted), price
    each = np.split(np.stack(figures), np.cumsum(sizes)[:-1], axis=1)
    return [_reports(one, _Figures(*own)) for one, own in zip(ranked, each, strict=True)]


def _risk(one: Ranked) -> Array:
    return one.judge.risk(one.stacks, one.sure) if one.risk is None else one.risk


def _reports(ranked: Ranked, figures: _Figures) -> list[StackAdvice]:
    judge, stacks, outcomes, sure, _ = ranked
    cct, duv, x, y, lost, away, price = figures
    bare, gel_arrays = judge.bare, judge.gel_arrays
    lux, within = bare.source.reading.lux, judge.within(sure)
    read, hung = judge.read(stacks), _hanging(bare, gel_arrays)
    labels = _nominal(bare.white, gel_arrays, stacks)
    chances = [None if k in read else float(chance) for k, chance in enumerate(within)]
    tolerance = judge.limits.tolerance_steps
    misses = _misses((cct, duv), away, outcomes.steps, chances, bare.wanted, tolerance, gel_arrays.ladder)
    reports = []
    for k, stack in enumerate(stacks):
        gels = [int(i) for i in stack if i != NONE]
        seen = bool(np.isfinite(cct[k]))
        after = After(
            cct=_round(float(cct[k]), 2) if seen else None,
            duv=_round(float(duv[k]), 6) if seen else None,
            x=_round(float(x[k]), 5),
            y=_round(float(y[k]), 5),
            lux=_lux(lux, float(outcomes.passed[k]), read.get(k)),
        )
        reports.append(
            StackAdvice(
                gels=[gel_arrays.names[i] for i in gels],
                layers=len(gels),
                stops=_round(float(lost[k]), 4),
                after=after,
                miss=misses[k],
                cost=_round(float(price[k]), 6),
                within=_round(float(within[k]), 3),
                uncertainty_steps=_round(float(sure.steps[k]), 3),
                nominal=labels[k],
                read=_read(after, read[k]) if k in read else None,
                moves=None if hung is None else moves(hung, [gel_arrays.names[i] for i in gels]),
            )
        )
    return reports


def _round(value: float, decimals: int) -> float:
    """Round a number for an answer; what rounds to 0 has no sign."""
    return round(value, decimals) + 0.0


def _lux(bare: float | None, passed: float, read: Read | None) -> float | None:
    """Return the illuminance behind a stack: as read, else what passes of the bare source's. [lx]"""
    if read is not None and read.lux is not None:
        return read.lux
    return None if bare is None else _round(bare * passed, 2)


def _hanging(bare: PreparedSource, gel_arrays: GelArrays) -> list[str] | None:
    """Return what hangs on a source, as the table names it; None where nobody or the table knows."""
    hung = bare.source.hanging
    try:
        return None if hung is None else [gel_arrays.names[i] for i in gel_arrays.find(hung)]
    except Refused:
        return None


def _read(after: After, read: Read) -> ReadBehind:
    """Report what was read behind a stack; `after` is its light."""
    return ReadBehind(cct=after.cct, duv=after.duv, lux=read.lux, steps=_round(read.away, 3))


def moves(hung: Sequence[str], gels: Sequence[str]) -> Moves:
    """Return what to take off and what to hang to get from `hung` to `gels`, in the order of the gels."""
    off, on = changed(hung, gels)
    return Moves(take_off=list(off), hang=list(on))


def source_report(judge: Judge, reports: Sequence[StackAdvice], same: Sequence[int | None]) -> SourceAdvice:
    """Report a source's ranked stacks; `same` is the row above that each looks the same as (`Judge.same`)."""
    bare = judge.bare
    # Most look like none above them: they stay as they are.
    marked = [
        report if other is None else report.model_copy(update={"same_as": other})
        for report, other in zip(reports, same, strict=True)
    ]
    return SourceAdvice(
        name=bare.source.name,
        needed=needed(bare, judge.gel_arrays.ladder),
        stacks=marked,
        least_stops=bare.least_stops,
        glass_steps=LAYER_IN_STEPS * second_layer(bare.source),
    )


def as_predicted(
    entry: StackAdvice,
    then: Predicted,
    wanted: WhitePoint,
    tolerance: float,
    ladder: Ladder,
    left: float | None = None,
) -> StackAdvice:
    """Return an entry as it was predicted when it was hung, `left` steps from what was wanted then.

    The chance that was stated holds as long as white and tolerance are the same. Otherwise it is worked out
    from the uncertainty of the prediction, as if its scatter were round.
    """
    uv = uv_of_cct_duv(np.array(then.cct), np.array(then.duv))
    away = float(delta_uv_prime(uv, wanted.uv))
    x, y = (_round(float(part), 5) for part in xy_of_uv(uv))
    lux = entry.after.lux if then.lux is None else then.lux
    same = (
        left is not None
        and abs(away / STEP_DELTA_UV - left) < _SAME_PLACE
        and then.tolerance_steps == tolerance
    )
    within = (
        then.within
        if same and then.within is not None
        else _round_chance(then, away / STEP_DELTA_UV, tolerance)
    )
    light, off = (np.array([then.cct]), np.array([then.duv])), np.array([away])
    [miss] = _misses(light, off, off / STEP_DELTA_UV, [within], wanted, tolerance, ladder)
    return entry.model_copy(
        update={
            "after": After(cct=then.cct, duv=then.duv, x=x, y=y, lux=lux),
            "miss": miss,
            "within": _round(within, 3),
            "uncertainty_steps": then.uncertainty_steps,
            "read": None,
        }
    )


_SAME_PLACE = 0.01
"""Misses that differ by less than this are equal: stored values are rounded. [step]"""


def _round_chance(then: Predicted, away: float, tolerance: float) -> float:
    """Return the chance that a round scatter of a prediction's uncertainty lands within the tolerance."""
    variance = (then.uncertainty_steps / ROUND) ** 2 / 2.0
    place, one = np.array([[[away, 0.0]]]), np.ones(1)
    return float(chance_within(place, one, variance * np.eye(2)[None], tolerance)[0])


def _misses(
    light: tuple[Array, Array],
    away: Array,
    expected: Array,
    within: Sequence[float | None],
    target: WhitePoint,
    tolerance: float,
    ladder: Ladder,
) -> list[Miss]:
    """Report what is left behind each stack, (f,).

    `light` is its CCT [K] and Duv, NaN where it is no white; `away` [Δu′v′] and `expected` [step] are how far
    it is off. `within` is the chance of landing within the tolerance, None if it was read.
    """
    steps = (away / STEP_DELTA_UV).tolist()
    shifts = [
        (MIRED_K / target.cct - MIRED_K / cct, target.duv - duv) if np.isfinite(cct) else None
        for cct, duv in zip(*(axis.tolist() for axis in light), strict=True)
    ]
    said = words.left_of_each(steps, expected.tolist(), within, shifts, tolerance, ladder)
    return [
        Miss(
            mired=None if shift is None else _round(shift[0], 2),
            duv=None if shift is None else _round(shift[1], 6),
            du_v=_round(du_v, 6),
            delta_uv_prime=_round(du_v, 6),
            steps=_round(off, 3),
            expected_steps=_round(mean, 3),
            seen=left.seen,
            words=left.words,
        )
        for shift, du_v, off, mean, left in zip(
            shifts, away.tolist(), steps, expected.tolist(), said, strict=True
        )
    ]


def _nominal(white: WhitePoint, gel_arrays: GelArrays, stacks: Indices) -> list[White]:
    """Add up the labels of stacks (f, w): right only for Planckian light and ideal filters."""
    mired, cc = (np.append(axis, 0.0)[stacks].sum(axis=1) for axis in (gel_arrays.mired, gel_arrays.cc))
    total, duv = MIRED_K / white.cct + mired, white.duv + cc / CC_PER_DUV
    return [
        White(cct=_round(MIRED_K / m, 2), duv=_round(d, 6)) if seen else White(cct=None, duv=None)
        for m, d, seen in zip(total.tolist(), duv.tolist(), in_range(total, duv), strict=True)
    ]
