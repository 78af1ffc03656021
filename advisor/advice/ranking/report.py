"""Turn numbers into the models that the API answers with, and add the words."""

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import NamedTuple, TypeVar

import numpy as np

from ...colour.observer.cct import cct_duv_of_uv, in_range
from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, stops, xy_of_uv
from ...colour.observer.data import Array
from ...colour.observer.loci import CC_PER_DUV, MIRED_K
from ...model import (
    After,
    Miss,
    Moves,
    ReadBehind,
    Refused,
    Shift,
    SourceAdvice,
    StackAdvice,
    White,
)
from ...model.sets.behind import changed_each
from ...model.sets.source import hanging_on
from ..cost.counted import LAYER_IN_STEPS, costs_on, second_layers
from ..cost.judge import Judge, Read
from ..learned.informed import reads_of, within_each
from ..readings.chromaticity import WhitePoint, shifts_between
from ..stacks.enumerate import NONE, Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..wording import words
from ..wording.ladder import Ladder
from .pareto import Ranked


def _needed(bares: Sequence[PreparedSource], ladder: Ladder) -> list[Shift]:
    """Return the shift that carries each source to where it is wanted."""
    shifts = shifts_between([(bare.white, bare.wanted) for bare in bares])
    return [
        Shift(mired=rounded(mired, 2), duv=rounded(duv, 6), cc=rounded(CC_PER_DUV * duv, 2), words=said)
        for (mired, duv), said in zip(shifts, words.shift_each(shifts, ladder), strict=True)
    ]


class _Figures(NamedTuple):
    """What is said of f stacks, (f,) each.

    CCT [K] and Duv are NaN where the light is no white. `lost` [stop] is the light, `price` [step] the cost,
    `within` the chance of landing within the tolerance, `nominal` where their labels add up to.
    """

    cct: Array
    duv: Array
    x: Array
    y: Array
    lost: Array
    price: Array
    within: Array
    nominal: Sequence[White]
    misses: Sequence[Miss]


def stack_reports(ranked: Sequence[Ranked]) -> list[list[StackAdvice]]:
    """Report what the stacks of each source do to it, and how certain that is."""
    if not ranked:
        return []
    judges, sizes = [one.judge for one in ranked], [len(one.stacks) for one in ranked]
    bares, ends = [judge.bare for judge in judges], np.cumsum(sizes)[:-1]
    uv, passed, expected = (
        np.concatenate([getattr(one.outcomes, part) for one in ranked]) for part in ("uv", "passed", "steps")
    )
    wanted = np.repeat([bare.wanted.uv for bare in bares], sizes, axis=0)
    layers = np.concatenate([(one.stacks != NONE).sum(axis=1) for one in ranked])
    risk = np.concatenate([_risk(one) for one in ranked])
    lost = stops(passed)
    price = costs_on(bares, sizes, risk, lost, layers)
    within = within_each(judges, [one.sure for one in ranked])
    reads = reads_of(judges, [one.stacks for one in ranked])
    aims = [
        Aim(judge.bare.wanted, judge.limits.tolerance_steps, None if row in read else float(chance))
        for judge, chances, read in zip(judges, within, reads, strict=True)
        for row, chance in enumerate(chances)
    ]
    light = cct_duv_of_uv(uv)
    misses = misses_of(light, delta_uv_prime(uv, wanted), expected, aims, judges[0].gel_arrays.ladder)
    figures = np.split(np.stack([*light, *xy_of_uv(uv).T, lost, price]), ends, axis=1)
    hung = hanging_on([bare.source for bare in bares])
    said = zip(ranked, reads, hung, figures, within, _nominal(ranked), _parted(misses, sizes), strict=True)
    return [_reports(one, read, hangs, _Figures(*own, *rest)) for one, read, hangs, own, *rest in said]


T = TypeVar("T")


def _parted(each: list[T], sizes: Sequence[int]) -> list[list[T]]:
    """Return what is listed of the stacks of all sources, by source."""
    ends = np.cumsum(sizes).tolist()
    return [each[end - size : end] for size, end in zip(sizes, ends, strict=True)]


def _risk(one: Ranked) -> Array:
    return one.judge.risk(one.stacks, one.sure) if one.risk is None else one.risk


def _reports(
    ranked: Ranked, read: Mapping[int, Read], hangs: Sequence[str] | None, figures: _Figures
) -> list[StackAdvice]:
    judge, stacks, outcomes, sure, _ = ranked
    cct, duv, x, y, lost, price, within, labels, misses = figures
    bare, gel_arrays = judge.bare, judge.gel_arrays
    lux = bare.source.reading.lux
    named = [[gel_arrays.names[i] for i in stack if i != NONE] for stack in stacks.tolist()]
    changes = _moves_each(_named(hangs, gel_arrays), named)
    reports = []
    for k, gels in enumerate(named):
        seen = bool(np.isfinite(cct[k]))
        after = After(
            cct=rounded(float(cct[k]), 2) if seen else None,
            duv=rounded(float(duv[k]), 6) if seen else None,
            x=rounded(float(x[k]), 5),
            y=rounded(float(y[k]), 5),
            lux=_lux(lux, float(outcomes.passed[k]), read.get(k)),
        )
        reports.append(
            StackAdvice(
                gels=gels,
                layers=len(gels),
                stops=rounded(float(lost[k]), 4),
                after=after,
                miss=misses[k],
                cost=rounded(float(price[k]), 6),
                within=rounded(float(within[k]), 3),
                uncertainty_steps=rounded(float(sure.steps[k]), 3),
                nominal=labels[k],
                read=_read(after, read[k]) if k in read else None,
                moves=changes[k],
            )
        )
    return reports


def rounded(value: float, decimals: int) -> float:
    """Round a number for an answer; what rounds to 0 has no sign."""
    return round(value, decimals) + 0.0


def _lux(bare: float | None, passed: float, read: Read | None) -> float | None:
    """Return the illuminance behind a stack: as read, else what passes of the bare source's. [lx]"""
    if read is not None and read.lux is not None:
        return read.lux
    return None if bare is None else rounded(bare * passed, 2)


def _named(hung: Sequence[str] | None, gel_arrays: GelArrays) -> list[str] | None:
    """Return what hangs on a source, as the table names it; None where nobody or the table knows."""
    try:
        return None if hung is None else [gel_arrays.names[i] for i in gel_arrays.find(hung)]
    except Refused:
        return None


def _moves_each(hung: Sequence[str] | None, stacks: Sequence[Sequence[str]]) -> Sequence[Moves | None]:
    """Return what leads from what hangs to each stack; None of each where nobody knows what hangs."""
    if hung is None:
        return [None] * len(stacks)
    return [Moves(take_off=list(off), hang=list(on)) for off, on in changed_each(hung, stacks)]


def _read(after: After, read: Read) -> ReadBehind:
    """Report what was read behind a stack; `after` is its light."""
    return ReadBehind(cct=after.cct, duv=after.duv, lux=read.lux, steps=rounded(read.away, 3))


def source_report(judge: Judge, reports: Sequence[StackAdvice], same: Sequence[int | None]) -> SourceAdvice:
    """Report a source's ranked stacks, as `source_reports` does."""
    [report] = source_reports([judge], [reports], [same])
    return report


def source_reports(
    judges: Sequence[Judge],
    reports: Sequence[Sequence[StackAdvice]],
    same: Sequence[Sequence[int | None]],
) -> list[SourceAdvice]:
    """Report each source's ranked stacks; `same` are the rows above that each looks the same as."""
    if not judges:
        return []
    bares = [judge.bare for judge in judges]
    needed = _needed(bares, judges[0].gel_arrays.ladder)
    more = second_layers([bare.source for bare in bares])
    return [
        SourceAdvice(
            name=bare.source.name,
            needed=shift,
            stacks=_marked(entries, others),
            least_stops=bare.least_stops,
            glass_steps=LAYER_IN_STEPS * layer,
        )
        for bare, shift, layer, entries, others in zip(bares, needed, more, reports, same, strict=True)
    ]


def _marked(reports: Sequence[StackAdvice], same: Sequence[int | None]) -> list[StackAdvice]:
    # Most look like none above them: they stay as they are.
    return [
        report if other is None else report.model_copy(update={"same_as": other})
        for report, other in zip(reports, same, strict=True)
    ]


class Aim(NamedTuple):
    """What a stack is to come to: a `white`, within a `tolerance` [step], with the chance `within` of that.

    The chance is None where it was read.
    """

    white: WhitePoint
    tolerance: float
    within: float | None


def misses_of(
    light: tuple[Array, Array], away: Array, expected: Array, aims: Sequence[Aim], ladder: Ladder
) -> list[Miss]:
    """Report what is left behind each stack, (f,), of what it aims at.

    `light` is its CCT [K] and Duv, NaN where it is no white; `away` [Δu′v′] and `expected` [step] are how far
    it is off.
    """
    steps = (away / STEP_DELTA_UV).tolist()
    shifts = [
        (MIRED_K / aim.white.cct - MIRED_K / cct, aim.white.duv - duv) if isfinite(cct) else None
        for cct, duv, aim in zip(*(axis.tolist() for axis in light), aims, strict=True)
    ]
    within, tolerances = [aim.within for aim in aims], [aim.tolerance for aim in aims]
    said = words.left_of_each(steps, expected.tolist(), within, shifts, tolerances, ladder)
    return [
        Miss(
            mired=None if shift is None else rounded(shift[0], 2),
            duv=None if shift is None else rounded(shift[1], 6),
            du_v=rounded(du_v, 6),
            delta_uv_prime=rounded(du_v, 6),
            steps=rounded(off, 3),
            expected_steps=rounded(mean, 3),
            seen=left.seen,
            words=left.words,
        )
        for shift, du_v, off, mean, left in zip(
            shifts, away.tolist(), steps, expected.tolist(), said, strict=True
        )
    ]


def _nominal(ranked: Sequence[Ranked]) -> list[list[White]]:
    """Add up the labels of stacks, by source: right only for Planckian light and ideal filters."""
    each = [_added_up(one.judge.bare.white, one.judge.gel_arrays, one.stacks) for one in ranked]
    total, duv = (np.concatenate(part) for part in zip(*each, strict=True))
    whites = [
        White(cct=rounded(MIRED_K / m, 2), duv=rounded(d, 6)) if seen else White(cct=None, duv=None)
        for m, d, seen in zip(total.tolist(), duv.tolist(), in_range(total, duv), strict=True)
    ]
    return _parted(whites, [len(one.stacks) for one in ranked])


def _added_up(white: WhitePoint, gel_arrays: GelArrays, stacks: Indices) -> tuple[Array, Array]:
    """Return the mired [MK⁻¹] and Duv, (f,) each, of a white with the labels of stacks (f, w) added."""
    mired, cc = (np.append(axis, 0.0)[stacks].sum(axis=1) for axis in (gel_arrays.mired, gel_arrays.cc))
    return MIRED_K / white.cct + mired, white.duv + cc / CC_PER_DUV
