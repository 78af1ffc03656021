"""How much light gels lose, by what was read bare and behind them: learned from all sources alike.

How much light a gel passes is no part of its label, as a rule, and is worked out from its dyes; a truck's
sheets may pass more or less of it, all alike. Where a source was read bare and behind gels at one level, with
one modifier and one setting of its dials, the two illuminances say how much it was. So each sheet is so many
stops brighter than worked out as all sheets are, and so many as its gel is: normal variables of mean 0,
fitted to all such pairs in closed form (linear regression with a normal prior; from memory).

What gels do to colour is left as it is. Without such pairs nothing changes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ...colour.observer.grid import weights
from ...colour.spectra import gels
from ...model import Accuracy, Reading, Refused
from ...model.basis.base import name_key
from ..readings.behind_gels import read_behind
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .taken import changed

_ALL, _EACH, _SAID = 0.15, 0.1, 0.05
"""How much brighter sheets may be than worked out: all alike, each gel by itself, and one whose loss was said
or measured. [stop] Our judgement."""
_METER = 0.07
"""How far an illuminance may be off as a measure of the lamp, bare or behind gels. [stop] From memory."""
_ELSEWHERE = 1.0
"""What is further off is no gel: the lamp, the meter or the dimmer was moved. [stop] Our judgement."""
_LEAST_LOSS = 0.02
"""No gel makes a light brighter: it loses at least so much on its reference. [stop]"""


class _Pair(NamedTuple):
    """A source by its place, what it was read behind, and how much brighter that was than expected. [stop]"""

    source: int
    gels: tuple[int, ...]
    brighter: float


def as_light_was_read(
    gel_arrays: GelArrays, bares: Sequence[PreparedSource], accuracy: Accuracy
) -> GelArrays:
    """Return the gels with as much light as was read behind them on sources, of which any may tell."""
    pairs = [pair for k, bare in enumerate(bares) for pair in _pairs(k, bare, gel_arrays, accuracy)]
    if not pairs:
        return gel_arrays
    open_ = gel_arrays.by_label & np.isnan(gel_arrays.stops)
    hung = np.array([np.bincount(pair.gels, minlength=len(open_)) for pair in pairs], dtype=float)
    source = np.array([pair.source for pair in pairs])
    # What all open gels share, and what each has by itself, as the covariance of the gels.
    covariance = _ALL**2 * np.outer(open_, open_) + np.diag(np.where(open_, _EACH, _SAID) ** 2)
    noise = _METER**2 * (np.eye(len(pairs)) + (source[:, None] == source))
    brighter = np.array([pair.brighter for pair in pairs])
    told = covariance @ hung.T @ np.linalg.solve(hung @ covariance @ hung.T + noise, brighter)
    return _brighter(gel_arrays, tuple(np.round(told, 3).tolist()))


@lru_cache(maxsize=32)
def _brighter(gel_arrays: GelArrays, stops: tuple[float, ...]) -> GelArrays:
    """Return gels that are so many stops brighter, (n,), and of the same colour."""
    least = gels.loss_on_reference(gel_arrays.reference, gel_arrays.transmittances) - _LEAST_LOSS
    share = 2.0 ** np.minimum(stops, np.maximum(least, 0.0))
    made = replace(gel_arrays, transmittances=gel_arrays.transmittances * share[:, None])
    made.__dict__["other_dyes"] = gel_arrays.other_dyes  # of which the colour alone is looked at
    return made


def _pairs(place: int, bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy) -> Iterator[_Pair]:
    since, _ = changed(bare.source, accuracy)
    lit = {_taken(reading): reading.lux for reading in bare.source.bare_readings if reading.lux}
    luminous = bare.ensemble.mean * weights()[:, 1]
    for reading in read_behind(bare.source, since):
        lux = lit.get(_taken(reading))
        if not (lux and reading.lux):
            continue
        try:
            hung = tuple(gel_arrays.find(reading.gels))
        except Refused:
            continue
        passed = float(luminous @ gel_arrays.product(hung)) / float(luminous.sum())
        if passed > 0.0 and abs(more := float(np.log2(reading.lux / (lux * passed)))) <= _ELSEWHERE:
            yield _Pair(place, hung, more)


def _taken(reading: Reading) -> tuple[object, ...]:
    """Return how a reading was taken: at which level, with which modifier and dials."""
    dial = reading.dial and (reading.dial.cct, reading.dial.green)
    return reading.level, name_key(reading.modifier), dial
