"""Whether a reading fits the others of its test: asked while the head still stands there, never refused.

What is expected comes from the other levels and modifiers. A modifier shifts all levels of a head alike, and
a head drifts down its levels alike with every modifier: both are common practice, no source. Until something
else was read at its dials, a reading is held against their CCT. All limits are our judgement.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log2

from ...colour.observer.chromaticity import steps_apart
from ...colour.observer.loci import MIRED_K
from ...model import HeadReading, HeadSetup, Refused
from ...model.basis.quantities import tidy
from ...model.sets.known_head import HeadStep
from ...model.sets.phrases import measured, percent, signed
from ..readings.chromaticity import WhitePoint, measure, white_with
from ..wording.ladder import Ladder
from ..wording.words import beside

_FAR, _FAR_ALONE = 6.0, 12.0
"""So far from what two other readings lead to, or from the one beside it, a reading is asked about. [step]"""
_FROM_DIAL = 50.0
"""So far from the CCT on its dial a reading is asked about. [MK⁻¹] Dials and modifiers are off by half."""
_BETTER = 0.4
"""A slip explains a reading if it leaves at most this share of how far it is off."""
_SAME, _SAME_LIGHT = 2.0, 0.2
"""Two readings so near each other are of one light, as meters repeat themselves. [step; stop]"""
_LEAST_SIGN = 0.002
"""A Duv so far off its test's may have lost its sign; two readings of one light differ by less. Our
judgement."""
_MORE = 1.1
"""A lower level with this many times the light or the power of a higher one is asked about."""
_LEAST, _MOST = 0.4, 2.5
"""The stops below full, as multiples of those by the dimmer's number: from a soft curve to a square one."""
_SLACK = 0.5
"""What stops may be beyond that. [stop]"""

Others = Mapping[tuple[HeadSetup, float], HeadReading]
"""The other readings of a test, by how the head was set up and its level [%]."""


@dataclass(frozen=True)
class HeadDoubt:
    """What does not fit, in a sentence; `field` and `likely` are what was meant, empty where unknown.

    `beside` is the step that it was held against, which may be the wrong one of the two; None without one.
    """

    words: str
    field: str = ""
    likely: str = ""
    beside: HeadStep | None = None


def doubt_of(step: HeadStep, reading: HeadReading, others: Others, ladder: Ladder) -> HeadDoubt | None:
    """Return what is odd about a reading beside the others, the plainest first; None where it fits."""
    return (
        _colour(step, reading, others, ladder)
        or _dials(step, reading, others)
        or _level(step, reading, others)
        or _light(step, reading, others)
    )


def _colour(step: HeadStep, reading: HeadReading, others: Others, ladder: Ladder) -> HeadDoubt | None:
    expected, far, held = _expected(step, others)
    if expected is None:
        return None
    white = measure(reading)
    off = float(steps_apart(white.uv, expected.uv))
    if off <= far:
        return None
    if reading.duv and reading.cct:
        turned = white_with(MIRED_K / reading.cct, -reading.duv, "duv", "the reading")
        if steps_apart(turned.uv, expected.uv) <= _BETTER * off:
            likely = signed(-reading.duv, 4)
            says = f"Duv {signed(reading.duv, 4)} does not fit: {likely}?"
            return HeadDoubt(says, "duv", tidy(-reading.duv, 4), held)
    way = beside(*expected.shift_to(white), ladder, visible=True)
    says = f"This does not fit: {way} than the other readings suggest. Is the head set as asked?"
    return HeadDoubt(says, beside=held)


def _dials(step: HeadStep, reading: HeadReading, others: Others) -> HeadDoubt | None:
    """Return what is odd about a reading beside the CCT on its dial; None where others there read alike."""
    dial, white = step.setup.dial, measure(reading)
    if dial is None or abs(white.mired - MIRED_K / dial.cct) <= _FROM_DIAL:
        return None
    same = (measure(other) for (setup, _), other in others.items() if setup.dial == dial)
    if any(abs(white.mired - other.mired) <= _FROM_DIAL for other in same):
        return None
    return HeadDoubt(
        f"It reads {tidy(white.cct, 0)} K at a dial of {tidy(dial.cct, 0)} K. Are the dials set?"
    )


def agrees(reading: HeadReading, before: HeadReading) -> bool:
    """Whether a reading was taken of the light that one before read: what is read twice is no slip."""
    if steps_apart(measure(reading).uv, measure(before).uv) > _SAME:
        return False
    return not (reading.lux and before.lux) or abs(log2(reading.lux / before.lux)) <= _SAME_LIGHT


def sign_meant(duv: float, tested: float) -> float | None:
    """Return the Duv that was likely meant by one whose sign is not that of its test; None where it fits.

    What only the sign explains has to be further off than two readings of one light are.
    """
    off = abs(duv - tested)
    return -duv if off >= _LEAST_SIGN and abs(-duv - tested) <= _BETTER * off else None


def _expected(step: HeadStep, others: Others) -> tuple[WhitePoint | None, float, HeadStep | None]:
    """Return the white that other readings lead to, how far off it one may be [step], and of which step."""
    setup, level = step
    for (other, at), there in others.items():
        # The same modifier at another level, moved as another setup moved between the two levels.
        if other == setup and at != level:
            for (third, here), drifted in others.items():
                if third.dial == setup.dial and third != setup and here == level and (third, at) in others:
                    moved = measure(others[third, at]).shift_to(measure(drifted))
                    return _moved(measure(there), moved), _FAR, HeadStep(setup, at)
    beside_it = [(abs(log2(at / level)), at) for other, at in others if other == setup and at != level]
    if not beside_it:
        return None, _FAR_ALONE, None
    nearest = min(beside_it)[1]
    return measure(others[setup, nearest]), _FAR_ALONE, HeadStep(setup, nearest)


def _moved(white: WhitePoint, by: tuple[float, float]) -> WhitePoint | None:
    try:
        return white_with(white.mired + by[0], white.duv + by[1], "cct", "the reading")
    except Refused:
        return None


def same_level(one: HeadReading, other: HeadReading) -> bool:
    """Whether readings at two levels are of one light, as where a dimmer was not moved in between."""
    if not (one.lux and other.lux) or one.level == other.level:
        return False
    by_number = abs(log2(one.level / other.level))
    if by_number < _APART or abs(log2(one.lux / other.lux)) > min(_NOT_MOVED * by_number, _ONE_LIGHT):
        return False
    return bool(steps_apart(measure(one).uv, measure(other).uv) <= _SAME)


_APART, _NOT_MOVED, _ONE_LIGHT = 0.3, 0.15, 0.1
"""Levels so far apart by their numbers [stop] whose light differs by at most this share of that, and by no
more than this [stop], are asked about: our judgement. Near full some heads dim little, none so little."""


def _level(step: HeadStep, reading: HeadReading, others: Others) -> HeadDoubt | None:
    """Return which of two levels that gave one light was likely read at the other; None where none did."""
    line = {at: there for (setup, at), there in others.items() if setup == step.setup and at != step.level}
    at = next((at for at, there in sorted(line.items()) if same_level(reading, there)), None)
    if at is None:
        return None
    rest = [there for k, there in line.items() if k != at]
    odd, other = (step.level, at) if _follows(line[at], rest) <= _follows(reading, rest) else (at, step.level)
    both = f"{percent(odd)} gave the light of {percent(other)}: was it at {percent(other)}?"
    return HeadDoubt(
        f"{both} If so, set {percent(odd)} and meter that again.", beside=HeadStep(step.setup, at)
    )


def _follows(reading: HeadReading, others: Sequence[HeadReading]) -> float:
    """Return how far the light is off the dimmer's number, or its square, against other levels. [power]"""
    powers = [
        log2(one.lux / reading.lux) / log2(one.level / reading.level)
        for one in others
        if one.lux and reading.lux and one.level != reading.level
    ]
    return min((abs(power - law) for power in powers for law in (1.0, 2.0)), default=0.0)


def _light(step: HeadStep, reading: HeadReading, others: Others) -> HeadDoubt | None:
    setup, level = step
    for (other, at), there in sorted(others.items(), key=lambda item: -item[0][1]):
        if other != setup or at == level:
            continue
        for field, unit in (("lux", "lx"), ("watts", "W")):
            own, its = getattr(reading, field), getattr(there, field)
            if own is None or its is None:
                continue
            low, high = (own, its) if level < at else (its, own)
            if low > _MORE * high:
                more = "more" if level < at else "less"
                what = "light" if field == "lux" else "power"
                says = f"{tidy(own)} {unit} is {more} {what} than at {percent(at)}: {tidy(its)} {unit}."
                return HeadDoubt(f"{says} Is that right?", beside=HeadStep(setup, at))
        if reading.lux and there.lux and (said := _stops(level, at, reading.lux, there.lux)):
            return HeadDoubt(said, beside=HeadStep(setup, at))
    return None


def _stops(level: float, at: float, lux: float, there: float) -> str:
    """Say how the light is off what two levels [%] let expect; empty where it fits."""
    by_number, by_light = abs(log2(at / level)), abs(log2(there / lux))
    if _LEAST * by_number - _SLACK <= by_light <= _MOST * by_number + _SLACK:
        return ""
    way = "below" if level < at else "above"
    stops = f"{measured(by_light, 'stop')} {way} {percent(at)}"
    return f"{tidy(lux)} lx is {stops}, and the dimmer says {tidy(by_number, 1)}. Is that right?"
