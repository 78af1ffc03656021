"""A source at the level and with the modifier in use: what it reads there, read or worked out between.

Between two levels, u and v and the logarithm of the illuminance run straight over the logarithm of the
level. Lamps and dimmers follow powers of the voltage over small ranges (the incandescent lamp's exponents:
IESNA Lighting Handbook, 9th edition, 2000, chapter 6; from memory), which are straight lines there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

from ..colour.chromaticity import distance
from ..colour.data import Array
from ..model import Reading, Refused, Source
from ..model.quantities import Lux, tidy
from .measure import measure, near_white

_LUX = Lux.__metadata__[0]  # type: ignore[attr-defined]
_DOUBT_BETWEEN, _DOUBT_BEYOND = 0.1, 0.5
"""Shares of the way from the nearest reading that what was worked out may be off by: a judgement of ours."""


@dataclass(frozen=True)
class InUse:
    """What a source reads as it is used, and how that is known.

    `notes` say in words what a person has to know of it: worked out between two readings, beyond them, two
    readings with one tag. `beyond` says that it is extrapolated, and `doubt` how far off that may be
    [Δu′v′], beyond what holds for any reading.
    """

    reading: Reading
    notes: tuple[str, ...] = ()
    beyond: bool = False
    doubt: float = 0.0


def in_use(source: Source) -> InUse:
    """Return what a source reads at its level and with its modifier.

    Raises Refused where no reading was taken with that modifier or at any level, or where the line through
    the readings leads to no light.
    """
    if source.level is None and source.modifier is None:
        return InUse(source.reading)
    alike = with_modifier(source)
    if not alike:
        modifier = source.modifier_in_use
        known = sorted({r.modifier or "none" for r in source.bare_readings})
        raise Refused.one(
            "modifier",
            f"no reading was taken with {modifier!r}"
            if modifier
            else "no reading was taken without a modifier",
            "a reading with it, or one of: " + ", ".join(known),
        )
    if source.level is None:
        return InUse(alike[-1])
    same = at_setting(alike)
    return _at_level(source.level, same, "" if len(same) == len(alike) else " at its present setting")


def with_modifier(source: Source) -> list[Reading]:
    """Return the bare readings with the modifier in use, the newest last; none where there are none."""
    modifier = source.modifier_in_use.casefold()
    return [r for r in source.bare_readings if r.modifier.casefold() == modifier]


def at_setting(readings: Sequence[Reading]) -> list[Reading]:
    """Return those of some readings that were taken with the dials as in the last of them.

    An adjustable head has a line over the level of its own for every setting.
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


def held(lux: float) -> float:
    """Return an illuminance that was worked out [lx], held within what a reading can have."""
    return float(min(max(lux, _LUX.low), _LUX.high))


def _at_level(level: float, readings: Sequence[Reading], which: str) -> InUse:
    at, twice = points(readings)
    if not at:
        raise Refused.one(
            "level",
            f"the source is used at {tidy(level)} %, and no reading{which} says at which level it was taken",
            "a reading with its dim level, or the level left empty",
        )
    again = tuple(
        f"Read more than once at {tidy(k)} %: the newest counts, the others are kept."
        for k in twice
        if k == level or level not in at
    )
    if level in at:
        return InUse(at[level], again)
    levels = list(at)
    if len(levels) == 1:
        note = (
            f"Read at {tidy(levels[0])} % only: what it reads at {tidy(level)} % is not known. Read it there."
        )
        only = at[levels[0]].model_copy(update={"level": level})
        return InUse(only, (note, *again), beyond=True)
    above = next((k for k in levels if k > level), None)
    below = next((k for k in reversed(levels) if k < level), None)
    low, high = (
        (levels[0], levels[1])
        if below is None
        else (levels[-2], levels[-1])
        if above is None
        else (below, above)
    )
    beyond = below is None or above is None
    reading = _between(at[low], at[high], log(level / low) / log(high / low), level)
    span = f"{tidy(low)} % and {tidy(high)} %"
    note = (
        f"Beyond what was read: drawn on from {span} to {tidy(level)} %. Read it there."
        if beyond
        else f"Worked out between the readings at {span}."
    )
    here = measure(reading).uv
    away = min(float(distance(here, measure(at[k]).uv)) for k in (low, high))
    return InUse(reading, (note, *again), beyond, away * (_DOUBT_BEYOND if beyond else _DOUBT_BETWEEN))


def used(source: Source) -> Source:
    """Return the source with what it reads as it is used in place of its newest reading. Raises Refused."""
    return source.model_copy(update={"reading": in_use(source).reading})


def _between(low: Reading, high: Reading, share: float, level: float) -> Reading:
    a, b = measure(low).uv, measure(high).uv
    uv: Array = a + share * (b - a)
    white = near_white(uv, "level", f"what the readings lead to at {tidy(level)} %")
    lux = None
    if low.lux is not None and high.lux is not None:
        power = log(low.lux) + share * log(high.lux / low.lux)
        # Drawn on far, it is beyond any number: e to the 50th is more than any reading can have.
        lux = held(exp(min(power, 50.0)))
    return Reading(cct=white.cct, duv=white.duv, lux=lux, level=level, modifier=low.modifier, dial=low.dial)
