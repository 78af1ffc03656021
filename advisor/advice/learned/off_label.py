"""Gels that read weaker or stronger than their labels say, on several sources alike.

Each source's fit says how strong it takes a gel to be, and how sure it is (`posterior`). Sources are lamps of
their own, so what they say adds up by how sure each is; one alone may be the lamp's doing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...model import Accuracy
from ..stacks.gel_arrays import GelArrays
from ..stacks.uncertainty import ALONG_LINE
from .posterior import Posterior
from .unknowns import strengths_of

_TELLS = 0.2
"""A source tells something of a gel where its readings are worth at least so much of what the label is."""
_SURELY, _WORTH_SAYING = 2.5, 4.0
"""What is off by so many standard deviations, and at least so many per cent, is said: our judgement."""
_SOURCES = 2
"""On one source alone it may be the lamp."""


@dataclass(frozen=True)
class OffLabel:
    """A gel that reads `percent` stronger than its label on so many `sources`; below 0 weaker.

    `family` says which gels are off together with it; it is empty where none is.
    """

    name: str
    family: str
    percent: float
    sources: int


def off_labels(fits: Sequence[Posterior], gel_arrays: GelArrays, accuracy: Accuracy) -> list[OffLabel]:
    """Return the gels that the fits of several sources agree on to be off, the farthest first.

    Of gels that are off together, as a series of which only the usual figures are known, the one that was
    read most is named.
    """
    count = strengths_of(gel_arrays)
    if not count or len(fits) < _SOURCES:
        return []
    told = np.zeros((len(fits), count))
    pull = np.zeros((len(fits), count))
    for row, fit in enumerate(fits):
        variance = np.einsum("qr,qr->q", fit.root, fit.root)[-count:]
        told[row] = np.maximum(1.0 / variance - 1.0, 0.0)
        pull[row] = fit.mean[-count:] / variance
    precision = 1.0 + told.sum(axis=0)
    mean = pull.sum(axis=0) / precision
    percent = gel_arrays.off_percent(accuracy) / ALONG_LINE
    found = []
    for series in range(count):
        tell = (told[:, series] >= _TELLS) & (np.sign(pull[:, series]) == np.sign(mean[series]))
        gel = _most_read(fits, gel_arrays, series)
        if gel is None or tell.sum() < _SOURCES or abs(mean[series]) * np.sqrt(precision[series]) < _SURELY:
            continue
        off = float(mean[series] * percent[gel])
        if abs(off) >= _WORTH_SAYING:
            together = gel_arrays.families[gel] if (gel_arrays.series == series).sum() > 1 else ""
            found.append(OffLabel(gel_arrays.names[gel], together, off, int(tell.sum())))
    return sorted(found, key=lambda one: -abs(one.percent))


def _most_read(fits: Sequence[Posterior], gel_arrays: GelArrays, series: int) -> int | None:
    """Return the gel of a series that hung in most readings; None where none of it did."""
    gels = [gel for fit in fits for one in fit.taken for gel in one.gels if gel_arrays.series[gel] == series]
    return max(sorted(set(gels)), key=gels.count, default=None)
