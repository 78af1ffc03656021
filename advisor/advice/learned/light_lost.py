"""How much light gels lose, learned from readings bare and behind them on all sources.

Labels seldom say how much light a gel passes, so it is worked out from the dyes. The sheets on a truck may
all pass more than that, or less. If a source was read bare and behind gels, with the same level, modifier and
dials, the two illuminances say how much. A sheet is brighter than worked out by two numbers of stops: one
that all sheets share, and one of its own gel. Both are normal variables of mean 0, fitted to all such pairs
in closed form (linear regression with a normal prior; from memory).

Only light changes, not colour. Without such pairs nothing changes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ...colour.observer.grid import weights
from ...colour.spectra import gels
from ...model import Accuracy, Kind, Reading, Refused, Source
from ...model.basis.base import name_key
from ...model.sets.behind import read_behind
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .taken import changed

_ALL, _EACH, _SAID = 0.15, 0.1, 0.05
"""How much brighter sheets may be than worked out: all sheets together, each gel by itself, and a gel whose
row says its loss or was measured. Standard deviations [stop], our judgement."""
_METER = 0.07
"""How far an illuminance may be off, bare or behind gels. [stop] From memory."""
_ELSEWHERE = 1.0
"""A pair that is further off tells nothing of gels: somebody moved the lamp, the meter or the dimmer. [stop]
Our judgement."""
_LEAST_LOSS = 0.02
"""The least light that a gel loses on its reference: none makes a light brighter. [stop]"""


class PassedLight(NamedTuple):
    """The gels that a source was read behind, and how much brighter it was than expected. [stop]"""

    gels: tuple[int, ...]
    brighter: float


def as_light_was_read(gel_arrays: GelArrays, passed: Sequence[Sequence[PassedLight]]) -> GelArrays:
    """Return the gels, passing as much light as the readings on all sources say; `passed` is by source."""
    pairs = [pair for pairs in passed for pair in pairs]
    if not pairs:
        return gel_arrays
    open_ = gel_arrays.by_label & np.isnan(gel_arrays.stops)
    hung = np.array([np.bincount(pair.gels, minlength=len(open_)) for pair in pairs], dtype=float)
    source = np.repeat(np.arange(len(passed)), [len(pairs) for pairs in passed])
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
    made.__dict__["other_dyes"] = gel_arrays.other_dyes  # only their colour is used
    return made


def light_passed(bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy) -> tuple[PassedLight, ...]:
    """Return what the readings of a source, bare and behind gels, tell of the light that gels pass."""
    return tuple(_pairs(bare, gel_arrays, accuracy))


def _pairs(bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy) -> Iterator[PassedLight]:
    bare_here, behind = _of_one_light(bare.source, accuracy)
    lit = {_taken(reading): reading.lux for reading in bare_here if reading.lux}
    luminous = bare.ensemble.mean * weights()[:, 1]
    for reading in behind:
        lux = lit.get(_taken(reading))
        if not (lux and reading.lux) or reading in bare.left_out:
            continue
        try:
            hung = tuple(gel_arrays.find(reading.gels))
        except Refused:
            continue
        passed = float(luminous @ gel_arrays.product(hung)) / float(luminous.sum())
        if passed > 0.0 and abs(more := float(np.log2(reading.lux / (lux * passed)))) <= _ELSEWHERE:
            yield PassedLight(hung, more)


def _of_one_light(source: Source, accuracy: Accuracy) -> tuple[list[Reading], list[Reading]]:
    """Return what was read bare of a source, and behind gels, as long as its light was the same.

    Daylight moves all the time, in its amount too: of it only the last pair is of one light, what was read
    behind what hangs and the bare reading before that.
    """
    if source.kind is Kind.DAYLIGHT:
        work = source.work
        if work is None or work.read_bare is None or work.read_behind is None:
            return [], []
        gels = work.read_behind.gels or work.gels
        return [work.read_bare], [work.read_behind.model_copy(update={"gels": gels})]
    since, _ = changed(source, accuracy)
    # The test of a head was read from another distance.
    return [r for r in source.bare_readings if not r.tested_at], read_behind(source, since)


def _taken(reading: Reading) -> tuple[object, ...]:
    """Return how a reading was taken: at which level, with which modifier and dials, and how far off.

    So light is never compared across a move of the stand.
    """
    dial = reading.dial and (reading.dial.cct, reading.dial.green)
    return reading.level, name_key(reading.modifier), dial, round(reading.as_far, 3)
