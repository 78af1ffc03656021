"""What a source reads over its dim level: what was read, and what is interpolated between.

Between two levels that were read, interpolation is linear: mired, Duv and log illuminance over the log of the
level. So each stays between the two readings, and only rises or only falls. Cubic pieces would need extra
conditions for that (Fritsch, F. N. and Carlson, R. E. 1980, SIAM J. Numer. Anal. 17(2); from memory). A
straight line in (u, v) would cut across the curve of the Planckian locus, and turn magenta on its way. Lamps
and dimmers follow powers of the voltage over small ranges (the incandescent lamp's exponents: IESNA Lighting
Handbook, 9th edition, 2000, chapter 6; from memory). The logarithms of powers are straight lines.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import exp, hypot, log

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...model import Reading, Refused, Source
from ...model.basis.base import name_keys
from ...model.basis.quantities import tidy
from ...model.sets.phrases import dial_said
from .chromaticity import WhitePoint, held, measure, white_with, whites_of
from .dims_alike import dims_alike
from .tested import FARTHEST, as_moved

_DOUBT_BETWEEN, _DOUBT_BEYOND = 0.1, 0.5
"""How far off an interpolated and an extrapolated white may be: as shares of the distance to the nearest
reading. Our judgement."""
DOUBT_ALONE = 5.0 * STEP_DELTA_UV
"""How far off the light may be if only one other level was read. Our judgement, no source. [Δu′v′]"""


@dataclass(frozen=True)
class InUse:
    """What a source reads as it is used, and how that is known.

    `notes` say in words what a person has to know: that it was interpolated or extrapolated, or that a level
    was read twice. `doubt` [Δu′v′] is how far off it may be, on top of the meter's error. `source` is the
    source as it is used: its test as it is by now, and its `reading` this one; None where nobody has made it.
    """

    reading: Reading
    notes: tuple[str, ...] = ()
    doubt: float = 0.0
    source: Source | None = field(default=None, compare=False, repr=False)


def with_modifier(source: Source) -> list[Reading]:
    """Return the bare readings with the modifier in use, the newest last; none where there are none."""
    bare = source.bare_readings
    modifier, *keys = name_keys([source.modifier_in_use, *(reading.modifier for reading in bare)])
    return [reading for reading, key in zip(bare, keys, strict=True) if key == modifier]


def at_setting(readings: Sequence[Reading]) -> list[Reading]:
    """Return the readings with the same dial setting as the last one.

    An adjustable head has a separate line over the level for every setting.
    """
    return [r for r in readings if r.dial == readings[-1].dial]


def points(readings: Sequence[Reading]) -> tuple[dict[float, Reading], list[float]]:
    """Return the newest reading of each level, by level, and the levels that were read more than once."""
    found: dict[float, Reading] = {}
    twice = []
    for reading in readings:
        if reading.level is not None:
            if reading.level in found:
                twice.append(reading.level)
            found[reading.level] = reading
    return dict(sorted(found.items())), sorted(set(twice))


@dataclass(frozen=True, eq=False)
class DimCurve:
    """What a source reads over its dim level, with the modifier in use, at the dial setting read last.

    `readings` has the newest reading of each level [%], in rising order, and `whites` the whites of those
    that have one. `twice` are the levels that were read more than once. If only some of the source's readings
    are on the line, `which` says in words which ones.
    """

    readings: Mapping[float, Reading]
    whites: Mapping[float, WhitePoint]
    twice: tuple[float, ...]
    which: str
    like: "DimCurve | None" = None

    def at(self, level: float) -> InUse:
        """Return what the source reads at a level, 1 to 100 %.

        Raises Refused where no reading says at which level it was taken, or the line leads to no light.
        """
        if not self.readings:
            raise Refused.one(
                "level",
                f"the source is used at {tidy(level)} %, and no reading{self.which} says at which level it "
                "was taken",
                f"a bare reading at {tidy(level)} %, or the level left empty",
            )
        again = tuple(
            f"Read more than once at {tidy(k)} %: the newest counts, the others are kept."
            for k in self.twice
            if k == level or level not in self.readings
        )
        if level in self.readings:
            return InUse(self.readings[level], again)
        if self.like:
            return self._as_like(self.like, level, again)
        self._refuse_far_below(level)
        if len(self.readings) == 1:
            [(read, reading)] = self.readings.items()
            says = (
                f"Read at {tidy(read)} % only: what it reads at {tidy(level)} % is not known. Read it there."
            )
            # It gives another amount of light. For its colour there is no better guess than what was read.
            return InUse(
                reading.model_copy(update={"level": level, "lux": None}), (says, *again), DOUBT_ALONE
            )
        low, high = self._around(level)
        beyond = not low < level < high
        white = self.white_at(level)
        span = f"{tidy(low)} % and {tidy(high)} %"
        note = (
            f"{tidy(level)} % is a guess from {span}. Read it there."
            if beyond
            else f"Worked out between the readings at {span}."
        )
        away = min(float(delta_uv_prime(white.uv, self._white(k).uv)) for k in (low, high))
        doubt = away * (_DOUBT_BEYOND if beyond else _DOUBT_BETWEEN)
        return InUse(self._worked_out(level, white), (note, *again), doubt)

    def _as_like(self, like: "DimCurve", level: float, again: tuple[str, ...]) -> InUse:
        """Return what it reads at a level if it dims as at another setting. Raises Refused."""
        [(read, reading)] = self.readings.items()
        full, there = like.at(read), like.at(level)
        what = f"what the readings lead to at {tidy(level)} %"
        moved, doubt = dims_alike(reading, full.reading, there.reading, what)
        [dial] = {one.dial for one in like.readings.values()}
        how = f" at {dial_said(dial)}" if dial else ""
        note = f"These dials were read at {tidy(read)} % only: {tidy(level)} % goes by how it dims{how}."
        return InUse(moved, (note, *again), hypot(full.doubt, there.doubt, doubt))

    def _refuse_far_below(self, level: float) -> None:
        """Raise Refused where a level is far below all that were read, and some only in a test."""
        lowest = min(self.readings)
        tested = any(reading.tested_at for reading in self.readings.values())
        if tested and level < FARTHEST * lowest:
            raise Refused.one(
                "level",
                f"nothing was read near {tidy(level)} %: the lowest level read is {tidy(lowest)} %",
                f"{tidy(FARTHEST * lowest)} to 100 %, or a reading at {tidy(level)} %",
            )

    def white_at(self, level: float) -> WhitePoint:
        """Interpolate the white at a level, 1 to 100 %, from two or more that were read. Raises Refused."""
        if level in self.readings:
            return self._white(level)
        low, high = self._around(level)
        a, b, share = self._white(low), self._white(high), _share(low, high, level)
        mired, duv = a.shift_to(b)
        what = f"what the readings lead to at {tidy(level)} %"
        return white_with(a.mired + share * mired, a.duv + share * duv, "level", what)

    def _around(self, level: float) -> tuple[float, float]:
        """Return the two levels to interpolate between: those on either side, or else the nearest two."""
        levels = list(self.readings)
        first = max(sum(k < level for k in levels) - 1, 0)
        first = min(first, len(levels) - 2)
        return levels[first], levels[first + 1]

    def _white(self, level: float) -> WhitePoint:
        return self.whites[level] if level in self.whites else measure(self.readings[level])

    def _worked_out(self, level: float, white: WhitePoint) -> Reading:
        low, high = self._around(level)
        a, b = self.readings[low], self.readings[high]
        lux = None
        if a.lux is not None and b.lux is not None:
            power = log(a.lux) + _share(low, high, level) * log(b.lux / a.lux)
            # Far extrapolation could overflow: e to the 50th is more than any reading can have.
            lux = held(exp(min(power, 50.0)))
        made = Reading(cct=white.cct, duv=white.duv, lux=lux, level=level, modifier=a.modifier, dial=a.dial)
        return made.model_copy(update={"tested_at": a.tested_at or b.tested_at})


def line_of(source: Source) -> DimCurve:
    """Return a source's line over its level, with the modifier in use; of a test as it is by now."""
    return line_through(with_modifier(as_moved(source)))


def line_through(alike: Sequence[Reading]) -> DimCurve:
    """Return the line through bare readings with one modifier, at the setting of the last one."""
    same = at_setting(alike)
    line = _curve(same, "" if len(same) == len(alike) else " at its present setting")
    if len(line.readings) != 1 or alike[-1].dial is None:
        return line
    settings = dict.fromkeys(r.dial for r in alike if r.dial not in (None, alike[-1].dial))
    others = [_curve([r for r in alike if r.dial == dial], "") for dial in settings]
    like = max(others, key=lambda other: len(other.whites), default=None)
    return replace(line, like=like) if like and len(like.whites) > 1 else line


def _curve(same: Sequence[Reading], which: str) -> DimCurve:
    readings, twice = points(same)
    found = zip(readings, whites_of(readings.values()), strict=True)
    whites = {level: white for level, white in found if white is not None}
    return DimCurve(readings, whites, tuple(twice), which)


def _share(low: float, high: float, level: float) -> float:
    return log(level / low) / log(high / low)
