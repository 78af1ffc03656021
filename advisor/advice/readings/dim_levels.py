"""What a source reads at the dim level and with the modifier in use, as read or interpolated."""

from collections.abc import Sequence
from dataclasses import replace
from math import hypot

from ...colour.observer.chromaticity import delta_uv_prime
from ...colour.observer.loci import MIRED_K
from ...model import Kind, Reading, Refused, Source
from ...model.basis.quantities import tidy
from ...model.sets.behind import conditions_of, read_behind, stand_in_use
from .chromaticity import measure, unread, white_with
from .dim_curve import DOUBT_ALONE, InUse, line_through, with_modifier
from .tested import MovedTest, as_moved, moved_test

_WARMER, _WARMEST = 0.42, 1500.0
"""The CCT of an incandescent lamp goes with this power of its voltage (IESNA Lighting Handbook, 9th edition,
2000, chapter 6; from memory), down to so many K that are still a white."""

GUESSED_THERE = "its light there is a guess."
"""How what is said of a level ends that nobody read bare, nor any other."""


def in_use(source: Source) -> InUse:
    """Return what a source reads at its level and with its modifier; a tested head as its test is by now.

    Raises Refused if no bare reading counts, if none has that modifier, if none says its level, or if the
    line through the readings leads to no real light. Nor is anything said of a tested head far below the
    lowest level that was read.
    """
    [use] = in_use_each([(source, moved_test(source))])
    if isinstance(use, Refused):
        raise use
    return use


def in_use_each(asked: Sequence[tuple[Source, MovedTest | None]]) -> list[InUse | Refused]:
    """Return what each source reads, by its test if it has one, as `in_use` does; where nothing is, why."""
    found: list[InUse | Refused] = []
    for source, test in asked:
        try:
            found.append(_in_use(source) if test is None else _as_tested(test))
        except Refused as no:
            found.append(no)
    return found


def _as_tested(test: MovedTest) -> InUse:
    use = _in_use(test.source)
    if use.reading.tested_at is None:
        return use
    return replace(use, doubt=hypot(use.doubt, test.doubt(use.reading)))


def as_used(source: Source, use: InUse) -> Source:
    """Return a source as it is used, by what it reads then."""
    return use.source or as_moved(source).model_copy(update={"reading": use.reading})


def _in_use(source: Source) -> InUse:
    if not source.reading.said:
        raise unread()
    if source.level is None and source.modifier is None:
        return InUse(source.reading, source=source)
    use = _at_level(source)
    as_it_is = use.reading is source.reading
    if as_it_is:
        return replace(use, source=source)
    # What was read last says, too, what the dials do.
    readings = [*source.readings, source.reading] if source.reach else source.readings
    changes = {"reading": use.reading, "readings": readings}
    return replace(use, source=source.model_copy(update=changes))


def _at_level(source: Source) -> InUse:
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
    line = line_through(alike)
    if not line.readings and _read_behind_at(source, source.level):
        # What was read behind the gels at that level judges them; what it reads bare there is a guess.
        guess = alike[-1].model_copy(update={"level": source.level, "lux": None})
        at = f"{tidy(source.level)} %"
        return InUse(guess, (f"Nobody read it bare at {at}: {GUESSED_THERE}",), _unread(source, alike[-1]))
    use = line.at(source.level)
    [*read] = line.readings.values()
    if len(read) > 1 or source.level in line.readings or line.like:
        return use
    return replace(use, doubt=max(use.doubt, _unread(source, read[0])))


def _unread(source: Source, reading: Reading) -> float:
    """Return how far off a source may be at its level, if only one `reading` was taken, elsewhere. [Δu′v′]

    Tungsten dims warm. Where its dimmer counts in volts it goes farthest, and nobody knows how it counts.
    """
    if source.kind is not Kind.TUNGSTEN or source.level is None:
        return DOUBT_ALONE
    read = measure(reading)
    mired = min(read.mired * ((reading.level or 100.0) / source.level) ** _WARMER, MIRED_K / _WARMEST)
    there = white_with(mired, read.duv, "level", f"tungsten at {tidy(source.level)} %")
    return max(DOUBT_ALONE, float(delta_uv_prime(read.uv, there.uv)))


def _read_behind_at(source: Source, level: float) -> bool:
    """Whether something was read behind gels of a source as it is used, and its level was noted and is this.

    That counts whatever hangs by now: after a swap too, and the day after.
    """
    used, work = stand_in_use(source), source.work
    if work is None:  # nothing is planned that it could judge
        return False
    before = [work.read_day_before] if work.read_day_before else []
    behind = [*before, *read_behind(source)]
    return any(one.level == level and conditions_of(one).agrees(used) for one in behind)
