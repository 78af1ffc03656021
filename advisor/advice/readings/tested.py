"""What a tested head reads on a set: its test, moved by what was read since, and how far it may be off.

A reading says by how much the light is warmer, greener and brighter than in the test, at its level and with
its modifier. One reading moves the whole test by that. Several are fitted: what all have in common moves
everything, and what is left over moves the most what stands nearest (ordinary kriging: Cressie, N. 1993,
Statistics for Spatial Data, 3.2; from memory). Mired, Duv and log illuminance move alike. A later test of the
same head, such as readings that were kept from a set, moves an earlier one in the same way.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp, isfinite, log, nan
from typing import NamedTuple

import numpy as np

from ...colour.observer import grid
from ...colour.observer.chromaticity import STEP_DELTA_UV
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...colour.spectra.sources import measured
from ...model import Reading, Refused, Setting, Source, Spectrum
from ...model.basis.base import name_key
from .chromaticity import held, measure, samples, white_with

USUAL_DOUBT = 3.0
"""How far a head may be off its test where nobody says more, nine cases in ten. [step] From memory."""
_LOCAL_SHARE = 0.2
"""How much of that variance levels and modifiers do not share: our judgement, no source."""
_ALONG, _ELSEWHERE = 1.0, 0.5
"""Levels a factor of e apart, and another modifier or dial setting, have so much less in common: what is left
over falls by e, and to the second. Our judgement."""
_NOISE = 0.1
"""How far two readings of one light differ, as a share of the local variance. From memory."""
_REPEATS = 0.7
"""How far a reading of today may itself be off from the next, nine cases in ten. [step] From memory."""
FARTHEST = 0.5
"""Below this share of the lowest level that was tested nothing is guessed: our judgement, no source."""

Place = tuple[str, float, Setting | None]
"""A modifier, by its key, a level [%], and a setting of the dials."""


class OffTest(NamedTuple):
    """How far one light is off another: in mired [MK⁻¹], in Duv, in the logarithm of its illuminance.

    `light` is NaN where one of them has no illuminance. `kelvins` is what the mireds are there. [K]
    """

    mired: float
    duv: float
    light: float
    kelvins: float


@dataclass(frozen=True, eq=False)
class MovedTest:
    """A source with the readings of its test as they are moved, none where nothing was read since.

    `shifts` is how far off the test each place reads that was read since, the newest last, and `tested_at`
    when the newest test began.
    """

    source: Source
    shifts: Mapping[Place, OffTest]
    tested_at: str

    def doubt(self, reading: Reading) -> float:
        """Return how far off the test's light may be where a reading of it stands. [Δu′v′]"""
        before = (self.source.test.doubt_steps if self.source.test else USUAL_DOUBT) * STEP_DELTA_UV
        if not self.shifts:
            return before
        local = _LOCAL_SHARE * before**2 * _Fit(self.shifts).variance(reading)
        return float(np.sqrt(local + (_REPEATS * STEP_DELTA_UV) ** 2))


def moved_test(source: Source) -> MovedTest | None:
    """Return a source's test as moved by what was read since; None where it has none.

    Moving what was moved moves nothing. Readings that are no white, and those with a modifier or at a setting
    of the dials that was not tested, move nothing.
    """
    times = sorted({r.tested_at for r in source.bare_readings if r.tested_at})
    if not times:
        return None
    base: list[tuple[Reading, Reading]] = []
    shifts: dict[Place, OffTest] = {}
    for at in (*times, None):
        later = [r for r in source.bare_readings if r.tested_at == at]
        shifts = _shifts([now for _, now in base], later, source.level)
        if shifts:
            fit = _Fit(shifts)
            base = [(was, fit.moved(now)) for was, now in base]
        base += [(r, r) for r in later if at]
    found = {id(was): now for was, now in base if now is not was}
    if found:
        readings = [found.get(id(r), r) for r in source.readings]
        reading = found.get(id(source.reading), source.reading)
        source = source.model_copy(update={"readings": readings, "reading": reading})
    return MovedTest(source, shifts, times[-1])


def as_moved(source: Source) -> Source:
    """Return a source with its test as it is by now; a source without a test is returned as it is."""
    test = moved_test(source)
    return test.source if test else source


def _shifts(base: Sequence[Reading], later: Sequence[Reading], level: float | None) -> dict[Place, OffTest]:
    """Return how far later readings are off those of a test, by place; one without a level is at `level`.

    Where that is not said either, it is at the highest that was tested.
    """
    lines = _lines(base)
    found: dict[Place, OffTest] = {}
    for reading in later:
        line = _line_for(reading, lines)
        if line is None:
            continue
        (modifier, dial), read = line
        place = modifier, reading.level or level or max(read), dial
        was, now = _value(read, place[1]), _values(reading)
        if was and now:
            found.pop(place, None)
            mired, duv, light = (b - a for a, b in zip(was, now, strict=True))
            found[place] = OffTest(mired, duv, light, MIRED_K / now[0] - MIRED_K / was[0])
    return found


_Line = tuple[tuple[str, Setting | None], dict[float, Reading]]


def _lines(base: Sequence[Reading]) -> dict[tuple[str, Setting | None], dict[float, Reading]]:
    """Return the newest reading of each level, by modifier and dial setting."""
    lines: dict[tuple[str, Setting | None], dict[float, Reading]] = {}
    for reading in base:
        if reading.level is not None:
            lines.setdefault((name_key(reading.modifier), reading.dial), {})[reading.level] = reading
    return lines


def _line_for(
    reading: Reading, lines: Mapping[tuple[str, Setting | None], dict[float, Reading]]
) -> _Line | None:
    """Return the line that a reading belongs to: that of its dial setting, or the only one there is."""
    modifier = name_key(reading.modifier)
    alike = [(key, line) for key, line in lines.items() if key[0] == modifier]
    same = [(key, line) for key, line in alike if key[1] == reading.dial]
    if same:
        return same[0]
    unsaid = len(alike) == 1 and (reading.dial is None or alike[0][0][1] is None)
    return alike[0] if unsaid else None


_Values = tuple[float, float, float]
"""Mired [MK⁻¹], Duv, and the logarithm of the illuminance, NaN without one."""


def _values(reading: Reading) -> _Values | None:
    try:
        white = measure(reading)
    except Refused:
        return None
    return white.mired, white.duv, log(reading.lux) if reading.lux else nan


def _value(read: Mapping[float, Reading], level: float) -> _Values | None:
    """Return what a line says at a level: between its readings over the logarithm, beyond as the nearest."""
    known = {k: values for k, reading in sorted(read.items()) if (values := _values(reading))}
    if not known or level < FARTHEST * min(known):
        return None
    at = np.log(list(known))
    mired, duv, light = (np.interp(log(level), at, column) for column in zip(*known.values(), strict=True))
    return float(mired), float(duv), float(light)


class _Fit:
    """What was read, as ordinary kriging over its places, of a variance of 1.

    `shifts` are by place: how far off the test each was read, in mired, Duv and, where both were read with
    it, light.
    """

    def __init__(self, shifts: Mapping[Place, OffTest]) -> None:
        self._colour = _Kriging(shifts)
        self._shift = np.array([s[:2] for s in shifts.values()])
        lit = {place: s.light for place, s in shifts.items() if isfinite(s.light)}
        self._light = _Kriging(lit) if lit else None
        self._brighter = np.array(list(lit.values()))

    def moved(self, reading: Reading) -> Reading:
        """Return a reading of the test as it would be now; as it is where that leads to no light."""
        here = _place(reading)
        mired, duv = (self._colour.weights(here) @ self._shift).tolist()
        try:
            was = measure(reading)
            white = white_with(was.mired + mired, was.duv + duv, "level", "the light of the test by now")
        except Refused:
            return reading
        lux = reading.lux
        if lux and self._light:
            lux = held(lux * exp(self._light.weights(here) @ self._brighter))
        colour: dict[str, object] = {"cct": white.cct, "duv": white.duv, "xy": None}
        if reading.spectrum is not None:
            bent = measured(grid.to_grid(*samples(reading.spectrum)), white.uv).mean.tolist()
            colour = {"spectrum": Spectrum(start=380.0, step=5.0, values=bent)}
        return reading.model_copy(update={**colour, "lux": lux})

    def variance(self, reading: Reading) -> float:
        """Return the variance of what is not known where a reading of the test stands."""
        return self._colour.variance(_place(reading))


class _Kriging:
    """The weights of places that were read, at any other."""

    def __init__(self, places: Iterable[Place]) -> None:
        self._places = tuple(places)
        n = len(self._places)
        matrix = np.ones((n + 1, n + 1))
        matrix[n, n] = 0.0
        matrix[:n, :n] = [[_alike(a, b) for b in self._places] for a in self._places]
        matrix[range(n), range(n)] += _NOISE
        self._inverse = np.linalg.inv(matrix)

    def weights(self, place: Place) -> Array:
        """Return the weights (n,) of the places that were read; their sum is 1."""
        return np.asarray((self._inverse @ self._shared(place))[:-1])

    def variance(self, place: Place) -> float:
        """Return the variance that is left at a place."""
        shared = self._shared(place)
        return max(float(1.0 - shared @ self._inverse @ shared), 0.0)

    def _shared(self, place: Place) -> Array:
        return np.array([*(_alike(place, other) for other in self._places), 1.0])


def _place(reading: Reading) -> Place:
    return name_key(reading.modifier), reading.level or 100.0, reading.dial


def _alike(one: Place, other: Place) -> float:
    away = abs(log(one[1] / other[1])) / _ALONG
    elsewhere = (one[0] != other[0]) + (one[2] != other[2])
    return exp(-away) * float(_ELSEWHERE**elsewhere)
