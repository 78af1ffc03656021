"""Sheets that are far off their labels, learned from readings behind them on all sources.

Where a reading looks as if another gel hung, the page asks which gel hangs. If somebody looks, and it is the
gel of the plan, then the sheet is weaker or stronger than its label, by more than sheets of one label differ.
Other heads get sheets of the same roll, so the gel counts as that strong on all heads at once. A sheet of
strength s has the transmittance T to the power s (Bouguer–Lambert–Beer).

The reading itself shows which sheet of a stack is off. Each gel in turn is given the strength that explains
the reading best, while the others stay at their labels, with their own doubt. The gel with the likeliest
strength, by what its row allows and by what stays unexplained, is the one that is off. That says nothing of
the other gels of its series: they are not taken to be off with it. Where it is far likelier that the lamp and
all sheets are each a little off, no sheet is named: the fit of the source (`posterior`) shares it out.

A strength that the gel's row allows changes nothing here. The fit of each source (`posterior`) learns it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ...colour.observer.chromaticity import steps_apart, through
from ...colour.observer.data import Array
from ...model import Accuracy, Refused, Source
from ..readings.chromaticity import measure
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..stacks.uncertainty import ALONG_LINE, certainty, strengths, stronger
from .taken import Taken, taken_behind

_TRIED = np.arange(0.4, 1.605, 0.01)
"""The strengths that a sheet may have, as a share of its label."""
_CLEARLY = 1 / 3
"""A strength explains a reading if at most this share stays of its distance from what the label predicts. Our
judgement, as for another gel hung by mistake."""
_LEAST = 0.1
"""A strength that differs from 1 by less is not far off, however sure the label is. Our judgement."""
_AGREE = 2.5
"""A reading agrees with a strength at most this many of its standard deviations away. Our judgement."""
_TOGETHER = 6.0
"""One sheet is off alone only if that is at most so many times as unlikely as that the lamp and all sheets
are each a little off: as a ratio of sums of squares. Our judgement."""
_OWN = 0.03
"""How far two sheets of one roll differ, as a standard deviation. [share of the shift] From memory."""


class StrengthRead(NamedTuple):
    """How strong one reading says that one gel of its stack is; both are given by index.

    `strength` and its standard deviation `doubt` are shares of the label. `unlikely` [1], a sum of two
    squares, grows the worse that strength explains the reading; it is infinite where it does not explain it,
    or where all that is in doubt explains it far better.
    `checked` is true if somebody looked at what hung, and the reading is off by more than is allowed.
    """

    reading: int
    gel: int
    strength: float
    doubt: float
    unlikely: float
    checked: bool


class FarFromLabel(NamedTuple):
    """A gel, by index, whose sheets are far off their label, and on how many `sources` that was read.

    `strength` is a share of the label, and `doubt` the standard deviation of the next sheet's strength.
    """

    gel: int
    strength: float
    doubt: float
    sources: int


def strengths_read(
    bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy
) -> tuple[StrengthRead, ...]:
    """Return what the readings of a source tell of the strength of each gel that they were read behind."""
    taken = [one for one in taken_behind(bare.source, gel_arrays, accuracy) if one.gels]
    taken += _day_before(bare.source, gel_arrays)
    alike = [one for one in taken if one.level is None and one.older is None and not bare.doubt]
    return tuple(
        told for number, one in enumerate(alike) for told in _told_by(number, one, bare, gel_arrays, accuracy)
    )


def _day_before(source: Source, gel_arrays: GelArrays) -> list[Taken]:
    """Return what was read the day before behind the planned stack, where the lamp reads bare as it did then.

    That reading is not among those of today, but it was taken behind the same sheets.
    """
    work = source.work
    if work is None or work.read_day_before is None or work.read_bare != source.reading:
        return []
    try:
        uv, gels = measure(work.read_day_before).uv, gel_arrays.find(work.gels)
    except Refused:
        return []
    return [Taken(tuple(sorted(gels)), uv, work.read_day_before)] if gels else []


def _told_by(
    number: int, one: Taken, bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy
) -> Iterator[StrengthRead]:
    stack = np.array([one.gels], dtype=np.intp)
    filters = gel_arrays.product(one.gels)[None, :]
    moves = stronger(bare, gel_arrays, stack, filters, accuracy)[0]
    sure = certainty(bare, gel_arrays, stack, accuracy)
    allowed = float(sure.steps[0])
    sheets = strengths([bare], gel_arrays, [stack], [filters], accuracy)[0][0].trace()
    rest = max(allowed**2 - ALONG_LINE**2 * float(sheets), 0.0)
    off = _away(bare, filters, one.uv)[0]
    for gel in sorted(set(one.gels)):
        count = one.gels.count(gel)
        log = np.log(np.maximum(gel_arrays.transmittances[gel], 1e-9))
        away = _away(bare, filters * np.exp(count * (_TRIED[:, None] - 1.0) * log), one.uv)
        at = int(np.argmin(away))
        share = float(gel_arrays.off_percent(accuracy)[gel]) / 100.0
        own = stack[0] == gel
        slope = float(np.hypot(*moves[own].sum(axis=0))) * ALONG_LINE / share if share else 0.0
        if not slope or at in (0, len(_TRIED) - 1):
            continue
        others = ALONG_LINE**2 * float((moves[~own] ** 2).sum())
        doubt = float(np.hypot(np.sqrt(rest + others) / ALONG_LINE / slope, _OWN))
        found = float(_TRIED[at])
        explained = away[at] <= min(allowed, _CLEARLY * off)
        unlikely = (away[at] / allowed) ** 2 + ((found - 1.0) / share) ** 2 if explained else np.inf
        if unlikely > _TOGETHER * (off / allowed) ** 2:
            unlikely = np.inf
        checked = one.reading.gels_checked and off > allowed
        yield StrengthRead(number, gel, found, doubt, float(unlikely), bool(checked))


def _away(bare: PreparedSource, filters: Array, uv: Array) -> Array:
    """Return how far from a reading at `uv` (2,) a source lands behind each filter (m, 81): (m,) [step]."""
    return np.asarray(steps_apart(through(bare.mean, filters).uv[:, 0], uv))


def off_their_labels(
    told: Sequence[Sequence[StrengthRead]], gel_arrays: GelArrays, accuracy: Accuracy
) -> tuple[FarFromLabel, ...]:
    """Return the gels that are far off their labels by the readings of all sources; `told` is by source."""
    proofs: dict[int, list[StrengthRead]] = {}
    for of_source in told:
        for reading in {one.reading for one in of_source if one.checked}:
            likely = min((one for one in of_source if one.reading == reading), key=lambda one: one.unlikely)
            if np.isfinite(likely.unlikely) and _far(likely.strength, likely.gel, gel_arrays, accuracy):
                proofs.setdefault(likely.gel, []).append(likely)
    found = [_agreed(gel, of, told, proofs, gel_arrays, accuracy) for gel, of in sorted(proofs.items())]
    return tuple(one for one in found if _far(one.strength, one.gel, gel_arrays, accuracy))


def _far(strength: float, gel: int, gel_arrays: GelArrays, accuracy: Accuracy) -> bool:
    return abs(strength - 1.0) > max(float(gel_arrays.off_percent(accuracy)[gel]) / 100.0, _LEAST)


def _agreed(
    gel: int,
    proofs: Sequence[StrengthRead],
    told: Sequence[Sequence[StrengthRead]],
    all_proofs: dict[int, list[StrengthRead]],
    gel_arrays: GelArrays,
    accuracy: Accuracy,
) -> FarFromLabel:
    """Return the strength on which all readings behind a gel agree.

    `proofs` are the readings that somebody checked. A reading that nobody checked counts if it agrees with
    them, or with the label; if it does not, another gel may have hung there by mistake. A reading whose stack
    holds another gel that is far off does not count for this one.
    """
    first, _ = _mean(proofs)
    votes, sources = [], 0
    for of_source in told:
        theirs = {one.reading for one in of_source if one.gel != gel and one.gel in all_proofs}
        own = [
            one
            for one in of_source
            if one.gel == gel
            and one.reading not in theirs
            and (
                one in proofs
                or abs(one.strength - first) <= _AGREE * one.doubt
                or not _far(one.strength, gel, gel_arrays, accuracy)
            )
        ]
        votes += own
        sources += bool(own)
    votes = votes or list(proofs)
    mean, doubt = _mean(votes)
    return FarFromLabel(gel, round(mean, 2), round(float(np.hypot(doubt, _OWN)), 3), max(sources, 1))


def _mean(votes: Sequence[StrengthRead]) -> tuple[float, float]:
    """Return the mean of strengths, each weighted by 1/doubt², and the standard deviation of that mean.

    Where the strengths scatter more than their doubts explain, the scatter gives the standard deviation.
    """
    strengths = np.array([one.strength for one in votes])
    precision = np.array([one.doubt**-2 for one in votes])
    mean = float(strengths @ precision / precision.sum())
    apart = float((strengths - mean) ** 2 @ precision / precision.sum()) / len(votes)
    return mean, float(np.sqrt(max(1.0 / precision.sum(), apart)))


def as_strong_as_read(gel_arrays: GelArrays, off: tuple[FarFromLabel, ...], accuracy: Accuracy) -> GelArrays:
    """Return the gels; those far `off` their labels get the strength read, each as a series of its own."""
    return _strong(gel_arrays, off, accuracy) if off else gel_arrays


@lru_cache(maxsize=32)
def _strong(gel_arrays: GelArrays, off: tuple[FarFromLabel, ...], accuracy: Accuracy) -> GelArrays:
    power = np.ones(len(gel_arrays.names))
    percent, series = gel_arrays.percent.copy(), gel_arrays.series.copy()
    said = gel_arrays.off_percent(accuracy)
    for one in off:
        power[one.gel] = one.strength
        percent[one.gel] = min(float(said[one.gel]), 100.0 * ALONG_LINE * one.doubt / one.strength)
        series[one.gel] = series.max() + 1
    made = replace(
        gel_arrays,
        transmittances=gel_arrays.transmittances ** power[:, None],
        percent=percent,
        series=np.unique(series, return_inverse=True)[1].astype(np.intp),
    )
    made.__dict__["other_dyes"] = gel_arrays.other_dyes ** power[:, None]
    return made
