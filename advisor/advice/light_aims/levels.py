"""The dimmer levels that are worth trying on a source, for a light that is wanted of it."""

from math import inf, log2

from ...model import Kind, Reading, Refused, Source
from ..readings.chromaticity import measure
from ..readings.dim_curve import DimCurve, line_of

STEP = 5.0
"""Levels are tried in steps of so much, as dimmers are set, and where it was read. [%]"""
_BRIGHTEST, _DARKEST = 4.0, -0.5
"""A level is worth trying if the bare light there is no farther over what is wanted, or under it. [stop]"""


def dimmer_of(source: Source) -> DimCurve | None:
    """Return a source's line over its dimmer level; None where its light was not read at two levels.

    Only between levels that were read with lux is it known what it gives.
    """
    try:
        line = line_of(source)
    except Refused:
        return None
    return line if len(_lit(line)) >= 2 else None


FILAMENT = 0.42 / 3.4
"""The CCT of a filament goes by this power of its light: both are powers of the voltage (IESNA Lighting
Handbook, 9th edition, 2000, chapter 6; from memory)."""
_DIMMED = (Kind.LED_WHITE, Kind.LED_MIX, Kind.TUNGSTEN)


def as_usually_dimmed(source: Source) -> Source | None:
    """Return a source with what it is likely to give at other levels than the one that it was read at.

    Its light goes about as the level (common practice, no source). An LED keeps its colour, a filament gets
    warmer (`FILAMENT`). None of other kinds, of a tested head, and where not one level alone was read.
    """
    try:
        [(level, read)] = line_of(source).readings.items()
        white = measure(read)
    except (Refused, ValueError):
        return None
    if not read.lux or source.kind not in _DIMMED or source.test is not None:
        return None

    def at(other: float) -> Reading:
        share = other / level
        dimmed = {"level": other, "lux": read.lux and read.lux * share}
        if source.kind is Kind.TUNGSTEN:
            dimmed |= {"cct": white.cct * share**FILAMENT, "duv": white.duv, "xy": None, "spectrum": None}
        return read.model_copy(update=dimmed)

    others = [at(STEP * k) for k in range(1, 21) if STEP * k != level]
    return source.model_copy(update={"readings": [*others, *source.readings]})


def levels_worth(line: DimCurve, wanted: float, *, dials: bool = False) -> dict[float, float]:
    """Return the levels worth trying [%] for a light of `wanted` [lx], each with what it gives bare [lx].

    Where even the highest that was read gives too little, or the lowest too much, that one is. With `dials`
    there are few.
    """
    read = _lit(line)
    low, high = min(read), max(read)
    tried = {*read, *(STEP * k for k in range(1, 21) if low <= STEP * k <= high)}
    given = {level: lux for level in sorted(tried) if (lux := lux_at(line, level))}
    off = {level: log2(lux / wanted) for level, lux in given.items()}
    if max(off.values()) < _DARKEST:
        return {high: given[high]}
    if min(off.values()) > _BRIGHTEST:
        return {low: given[low]}
    found = {level: given[level] for level, stops in off.items() if _DARKEST <= stops <= _BRIGHTEST} or given
    if not dials:
        return found
    nearest = sorted(found, key=lambda level: abs(off[level]))[:MOST_WITH_DIALS]
    return {level: found[level] for level in sorted(nearest)}


MOST_WITH_DIALS = 4
"""At so many levels the dials of a head are searched: those nearest to the light that is wanted."""


def levels_tried(source: Source) -> int:
    """Return at how many levels at most a source is tried, the one in use with the others."""
    if not (dimmer_of(source) or as_usually_dimmed(source)):
        return 1
    return 1 + (MOST_WITH_DIALS if source.reach else round(100.0 / STEP))


def lux_at(line: DimCurve, level: float) -> float | None:
    """Return what a source gives bare at a level, between those read with lux [lx]; None where not known."""
    read = _lit(line)
    if not min(read) <= level <= max(read):
        return None
    try:
        return line.at(level).reading.lux
    except Refused:
        return None


def level_for(line: DimCurve, wanted: float) -> float | None:
    """Return the whole per cent at which a source gives nearest to `wanted` bare [lx]."""
    read = _lit(line)
    low, high = int(-(-min(read) // 1)), int(max(read))

    def off(level: int) -> float:
        lux = lux_at(line, float(level))
        return abs(log2(lux / wanted)) if lux else inf

    # First in steps, then around the best of them: between two readings the light only rises or only falls.
    rough = min([*range(low, high + 1, int(STEP)), high], key=off)
    near = range(max(rough - int(STEP), low), min(rough + int(STEP), high) + 1)
    best = min(near, key=off, default=rough)
    return float(best) if off(best) < inf else None


def _lit(line: DimCurve) -> dict[float, float]:
    return {level: reading.lux for level, reading in line.readings.items() if reading.lux}
