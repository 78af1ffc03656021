"""What a tested head reads on a set: its test, moved by what was read since, and how far it may be off.

A reading says by how much the light is warmer, greener and brighter than in the test, at its level and with
its modifier. One reading moves the whole test by that. Several are fitted: what all have in common moves
everything, and what is left over moves the most what stands nearest (ordinary kriging: Cressie, N. 1993,
Statistics for Spatial Data, 3.2; from memory). Mired, Duv and log illuminance move alike. A later test of the
same head, such as readings that were kept from a set, moves an earlier one in the same way.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import exp, isfinite, log, nan
from typing import NamedTuple

import numpy as np

from ...colour.observer import grid
from ...colour.observer.cct import in_range, uv_of_cct_duv
from ...colour.observer.chromaticity import STEP_DELTA_UV, steps_apart
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...colour.spectra.sources import measured
from ...model import Reading, Setting, Source, Spectrum
from ...model.basis.base import name_key, name_keys
from ...model.basis.once_each import OnceEach
from .chromaticity import held_each, samples, whites_of

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

LevelKey = tuple[str, float, Setting | None]
"""A level of a head: the key of its modifier, the level [%], and the setting of the dials."""


class OffTest(NamedTuple):
    """How far one light is off another: in mired [MK⁻¹], in Duv, in the logarithm of its illuminance.

    `light` is NaN where one of them has no illuminance. `kelvins` is what the mireds are there [K], and
    `steps` how far the two whites are apart. [step]
    """

    mired: float
    duv: float
    light: float
    kelvins: float
    steps: float


class MovedReading(Reading):
    """A reading of a test as it would be now, by what was read since: it is not moved again."""


@dataclass(frozen=True, eq=False)
class MovedTest:
    """The test of a `source`, and what was read of it since.

    `shifts` is how far off the test each level reads that was read since, the newest last, and `tested_at`
    when the newest test began. `base` are the readings of the test, each with what it was moved to by later
    tests.
    """

    _source: Source
    _base: Sequence[tuple[Reading, Reading]]
    shifts: Mapping[LevelKey, OffTest]
    tested_at: str

    @cached_property
    def source(self) -> Source:
        """The source with the readings of its test as they would be now; those moved already stay so."""
        base = self._base
        if self.shifts and not any(isinstance(now, MovedReading) for _, now in base):
            base = _moved(base, self.shifts)
        found = {id(was): MovedReading.model_construct(**dict(now)) for was, now in base if now is not was}
        if not found:
            return self._source
        readings = [found.get(id(r), r) for r in self._source.readings]
        reading = found.get(id(self._source.reading), self._source.reading)
        return self._source.model_copy(update={"readings": readings, "reading": reading})

    def doubt(self, reading: Reading) -> float:
        """Return how far off the test's light may be where a reading of it stands. [Δu′v′]"""
        before = (self._source.test.doubt_steps if self._source.test else USUAL_DOUBT) * STEP_DELTA_UV
        if not self.shifts:
            return before
        # A light that is further off than heads drift may well be another head: its levels go their own way.
        before = max(before, *(shift.steps * STEP_DELTA_UV for shift in self.shifts.values()))
        local = _LOCAL_SHARE * before**2 * _Kriging(self.shifts).variance(*_level_keys([reading]))
        return float(np.sqrt(local + (_REPEATS * STEP_DELTA_UV) ** 2))


def moved_test(source: Source) -> MovedTest | None:
    """Return a source's test with what was read since; None where it has none.

    Readings that are no white, and those with a modifier or at a setting of the dials that was not tested,
    say nothing of it.
    """
    return moved_tests([source])[0]


def moved_tests(sources: Sequence[Source]) -> list[MovedTest | None]:
    """Return each source's test with what was read since, as `moved_test` does."""
    tested = _TESTED.of_all(sources)
    return [_test_of(source) if any_was else None for source, any_was in zip(sources, tested, strict=True)]


def _test_of(source: Source) -> MovedTest | None:
    bare = source.bare_readings
    times = sorted({r.tested_at for r in bare if r.tested_at})
    if not times:
        return None
    base: Sequence[tuple[Reading, Reading]] = [(r, r) for r in bare if r.tested_at == times[0]]
    moved = any(isinstance(r, MovedReading) for r in bare)
    for at in times[1:]:
        later = [r for r in bare if r.tested_at == at]
        if not moved and (shifts := _shifts([now for _, now in base], later, source.level)):
            base = [(was, Reading.model_construct(**dict(now))) for was, now in _moved(base, shifts)]
        base = [*base, *((r, r) for r in later)]
    today = [r for r in bare if not r.tested_at]
    return MovedTest(source, base, _shifts([now for _, now in base], today, source.level), times[-1])


def _moved(
    base: Sequence[tuple[Reading, Reading]], shifts: Mapping[LevelKey, OffTest]
) -> list[tuple[Reading, Reading]]:
    """Return readings of a test, each with what it would be now; one that led too far from white stays."""
    levels = _level_keys([now for _, now in base])
    across = _Kriging(shifts).weights(levels) @ np.array([(s.mired, s.duv) for s in shifts.values()])
    lit = {key: s.light for key, s in shifts.items() if isfinite(s.light)}
    brighter = _Kriging(lit).weights(levels) @ np.array(list(lit.values())) if lit else np.zeros(len(base))
    values = _values_of([now for _, now in base])
    there = np.array([value[:2] if value else (nan, nan) for value in values]) + across
    able = in_range(*there.T).tolist()
    each = zip(base, brighter.tolist(), strict=True)
    lights = held_each([now.lux * exp(light) if now.lux else None for (_, now), light in each])
    parts = zip(base, there.tolist(), lights, able, strict=True)
    return [
        (was, _reading_moved(now, mired, duv, lux) if can else now)
        for (was, now), (mired, duv), lux, can in parts
    ]


def _reading_moved(reading: Reading, mired: float, duv: float, lux: float | None) -> Reading:
    """Return a reading at another mired [MK⁻¹] and Duv, with another illuminance [lx]."""
    cct = MIRED_K / mired
    colour: dict[str, object] = {"cct": cct, "duv": duv, "xy": None}
    if reading.spectrum is not None:
        uv = uv_of_cct_duv(np.array(cct), np.array(duv))
        bent = measured(grid.to_grid(*samples(reading.spectrum)), uv).mean.tolist()
        colour = {"spectrum": Spectrum(start=380.0, step=5.0, values=bent)}
    return MovedReading.model_construct(**{**dict(reading), **colour, "lux": lux})


_TESTED = OnceEach[Source, bool](
    lambda sources: [any(r.tested_at for r in (*one.readings, one.reading)) for one in sources]
)
"""Each page of a set asks it of all readings."""


def as_moved(source: Source) -> Source:
    """Return a source with its test as it is by now; one without a test, or moved already, as it is."""
    if any(isinstance(r, MovedReading) for r in (*source.readings, source.reading)):
        return source
    test = moved_test(source)
    return test.source if test else source


def _shifts(
    base: Sequence[Reading], later: Sequence[Reading], level: float | None
) -> dict[LevelKey, OffTest]:
    """Return how far later readings are off those of a test, by level; one without a level is at `level`.

    Where that is not said either, it is at the highest that was tested.
    """
    lines = _lines(base)
    placed = [(reading, line) for reading in later if (line := _line_for(reading, lines)) is not None]
    found: dict[LevelKey, OffTest] = {}
    asked = {id(one): one for reading, (_, read) in placed for one in (reading, *read.values())}
    values = dict(zip(asked, _values_of(list(asked.values())), strict=True))
    for reading, ((modifier, dial), read) in placed:
        key = modifier, reading.level or level or max(read), dial
        was, now = _value({at: values[id(one)] for at, one in read.items()}, key[1]), values[id(reading)]
        if was and now:
            found.pop(key, None)
            mired, duv, light = (b - a for a, b in zip(was, now, strict=True))
            mireds, duvs = np.array([was[:2], now[:2]]).T
            steps = float(steps_apart(*uv_of_cct_duv(MIRED_K / mireds, duvs)))
            found[key] = OffTest(mired, duv, light, MIRED_K / now[0] - MIRED_K / was[0], steps)
    return found


_Line = tuple[tuple[str, Setting | None], dict[float, Reading]]


def _lines(base: Sequence[Reading]) -> dict[tuple[str, Setting | None], dict[float, Reading]]:
    """Return the newest reading of each level, by modifier and dial setting."""
    lines: dict[tuple[str, Setting | None], dict[float, Reading]] = {}
    keys = name_keys([reading.modifier for reading in base])
    for reading, modifier in zip(base, keys, strict=True):
        if reading.level is not None:
            lines.setdefault((modifier, reading.dial), {})[reading.level] = reading
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


def _values_of(readings: Sequence[Reading]) -> list[_Values | None]:
    return [
        (MIRED_K / white.cct, white.duv, log(reading.lux) if reading.lux else nan) if white else None
        for reading, white in zip(readings, whites_of(readings), strict=True)
    ]


def _value(read: Mapping[float, _Values | None], level: float) -> _Values | None:
    """Return what a line says at a level: between its readings over the logarithm, beyond as the nearest."""
    known = {k: found for k in sorted(read) if (found := read[k])}
    if not known or level < FARTHEST * min(known):
        return None
    at = np.log(list(known))
    mired, duv, light = (np.interp(log(level), at, column) for column in zip(*known.values(), strict=True))
    return float(mired), float(duv), float(light)


class _Kriging:
    """The weights of levels that were read, at any other."""

    def __init__(self, levels: Iterable[LevelKey]) -> None:
        self._read = tuple(levels)
        n = len(self._read)
        matrix = np.ones((n + 1, n + 1))
        matrix[n, n] = 0.0
        matrix[:n, :n] = [[_alike(a, b) for b in self._read] for a in self._read]
        matrix[range(n), range(n)] += _NOISE
        self._inverse = np.linalg.inv(matrix)

    def weights(self, levels: Sequence[LevelKey]) -> Array:
        """Return the weights (m, n) of the levels that were read, at others; the sum of each row is 1."""
        return np.asarray((self._shared(levels) @ self._inverse)[:, :-1])

    def variance(self, key: LevelKey) -> float:
        """Return the variance that is left at a level."""
        [shared] = self._shared([key])
        return max(float(1.0 - shared @ self._inverse @ shared), 0.0)

    def _shared(self, levels: Sequence[LevelKey]) -> Array:
        return np.array([[*(_alike(key, other) for other in self._read), 1.0] for key in levels])


def _level_keys(readings: Sequence[Reading]) -> list[LevelKey]:
    keys = name_keys([reading.modifier for reading in readings])
    return [(key, r.level or 100.0, r.dial) for key, r in zip(keys, readings, strict=True)]


def _alike(one: LevelKey, other: LevelKey) -> float:
    away = abs(log(one[1] / other[1])) / _ALONG
    elsewhere = (one[0] != other[0]) + (one[2] != other[2])
    return exp(-away) * float(_ELSEWHERE**elsewhere)
