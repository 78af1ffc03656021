"""Gels that read weaker or stronger than their labels say, on several sources alike.

Each source's fit says how strong a gel is, and how sure that is (`posterior`). Sources are separate lamps, so
their answers are averaged, weighted by how sure each is. One source alone proves nothing: it may be the lamp.
Lamps of one kind with narrow lines are wrong in one way, so together they count as one, unless their spectra
were read.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...colour.observer.data import Array
from ...model import Accuracy
from ...model.sets.reading import LINED
from ..readings.shape import shape_of
from ..stacks.gel_arrays import GelArrays
from ..stacks.uncertainty import ALONG_LINE
from .posterior import Posterior

_TELLS = 0.2
"""A source counts for a gel if its readings tell at least this share of what the label tells."""
_SURELY, _WORTH_SAYING = 2.5, 4.0
"""How far off a gel has to be before it is said: standard deviations, and per cent. Our judgement."""
_DRIFTS = 1.2
"""How far a lamp moves between its bare reading and one behind gel, as a standard deviation: nine in ten move
by less than 2 mired. [MK⁻¹] Our judgement."""
_GREEN_ALONE = 1.0
"""A gel for green moves the light by fewer MK⁻¹ than this: such a drift says nothing of it. Our judgement."""
_SOURCES = 2
"""The fewest sources that have to agree: on one alone it may be the lamp."""


@dataclass(frozen=True)
class OffLabel:
    """Gels that read `percent` stronger than their labels on so many `sources`; below 0 weaker.

    `doubt` [%] is how far that may be off, in nine of ten cases; None where nobody worked it out.
    `names` are the gels that were read, the one with most readings first. Other gels of their series, which
    nobody read, may be as their labels say.
    """

    names: tuple[str, ...]
    percent: float
    sources: int
    doubt: float | None = None


def off_labels(fits: Sequence[Posterior], gel_arrays: GelArrays, accuracy: Accuracy) -> list[OffLabel]:
    """Return the gels that the fits of several sources agree on to be off, the farthest first.

    Gels that are off together, as a series of which only the usual figures are known, are said together.
    Named are those of them that were read on several sources that tell, with these sources. Where there are
    none, all are named that were read on those that tell.
    """
    if len(fits) < _SOURCES:
        return []
    percent = gel_arrays.off_percent(accuracy) / ALONG_LINE
    found = []
    for series in np.unique(gel_arrays.series).tolist():
        counts = _counts(fits, [_looked_through(fit, gel_arrays, series) for fit in fits])
        told, pull = np.array([_told_by(fit, gel_arrays, series, percent) for fit in fits]).T * counts
        precision = 1.0 + float(told.sum())
        mean = float(pull.sum()) / precision
        tell = (told >= _TELLS * counts) & (np.sign(pull) == np.sign(mean))
        gels, sources = _read_behind([fits[k] for k in np.flatnonzero(tell).tolist()], gel_arrays, series)
        alone = sum(counts[tell]) < _SOURCES - 0.5
        if not gels or sources < _SOURCES or alone or abs(mean) * np.sqrt(precision) < _SURELY:
            continue
        each = float(percent[gels[0]] * np.hypot.reduce(_along(gels, gel_arrays)))
        off, doubt = mean * each, ALONG_LINE * each / float(np.sqrt(precision))
        if abs(off) >= _WORTH_SAYING:
            found.append(OffLabel(tuple(gel_arrays.names[gel] for gel in gels), off, sources, doubt))
    return sorted(found, key=lambda one: -abs(one.percent))


def _looked_through(fit: Posterior, gel_arrays: GelArrays, series: int) -> bool:
    """Whether a source was read behind gels of a series."""
    return any(gel_arrays.series[gel] == series for one in fit.taken for gel in one.gels)


def _counts(fits: Sequence[Posterior], through: Sequence[bool]) -> Array:
    """Return what each source counts (n,): one, or its share of those of its kind that may be wrong alike."""
    sources = [fit.bare.source for fit in fits]
    kinds = [one.kind if one.kind in LINED and shape_of(one) is None else None for one in sources]
    alike = Counter(kind for kind, had in zip(kinds, through, strict=True) if had)
    return np.array([1.0 if kind is None or not alike[kind] else 1.0 / alike[kind] for kind in kinds])


def _told_by(fit: Posterior, gel_arrays: GelArrays, series: int, percent: Array) -> tuple[float, float]:
    """Return what a fit tells of the gels of a series that were read, taken as one: how much, and which way.

    The first is the precision that its readings add to the label's, the second that times the mean. A lamp's
    mild drift, of which its fit knows nothing, takes the more of it the weaker the gels are. `percent` (g,)
    is what one unknown of each gel stands for.
    """
    gels = sorted({gel for one in fit.taken for gel in one.gels if gel_arrays.series[gel] == series})
    if not gels:
        return 0.0, 0.0
    along = _along(gels, gel_arrays)
    along = along / np.hypot.reduce(along)
    variance = float(((along @ fit.root[-len(along) :]) ** 2).sum())
    told, pull = max(1.0 / variance - 1.0, 0.0), float(along @ fit.mean[-len(along) :]) / variance
    size = float(np.abs(gel_arrays.mired[gels]).mean())
    if told == 0.0 or size < _GREEN_ALONE:
        return told, pull
    drift = 100.0 * _DRIFTS / size / float(percent[gels[0]] * np.hypot.reduce(_along(gels, gel_arrays)))
    left = 1.0 / (1.0 + told * drift**2)
    return told * left, pull * left


def _along(gels: Sequence[int], gel_arrays: GelArrays) -> Array:
    """Return how the mean strength of some gels follows from the unknowns (`GelArrays.strengths`), (s,)."""
    return np.asarray(gel_arrays.strengths[list(gels)].mean(axis=0))


def _read_behind(fits: Sequence[Posterior], gel_arrays: GelArrays, series: int) -> tuple[list[int], int]:
    """Return the gels of a series that were read on several sources, and on how many any of them was.

    Where no one gel was read on several, it is all that were read. Those of most readings come first.
    """
    on = [{gel for one in fit.taken for gel in one.gels if gel_arrays.series[gel] == series} for fit in fits]
    hung = Counter(gel for fit in fits for one in fit.taken for gel in one.gels)
    read = sorted(set().union(*on), key=lambda gel: (-hung[gel], gel))
    named = [gel for gel in read if sum(gel in own for own in on) >= _SOURCES] or read
    return named, sum(not own.isdisjoint(named) for own in on)
