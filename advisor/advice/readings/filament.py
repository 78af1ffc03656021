"""What a filament likely reads, where a meter put it beside the locus that filaments keep to.

A filament glows within a few ten-thousandths in Duv of the Planckian locus, and a handheld meter is off by
more than that from one reading to the next. So a small Duv of tungsten is mostly the meter's. A large one is
real: a coated or coloured bulb, a shade, a lens gone yellow. All figures are our judgement, from memory.
"""

from collections.abc import Sequence
from math import exp, sqrt
from typing import TypeVar

from ...model import ON_SET, Kind, Reading, Refused
from .chromaticity import measure

_NINE_IN_TEN = 1.645
"""Standard deviations within which nine in ten of a normal scatter lie."""
_METER = ON_SET.meter_duv / _NINE_IN_TEN
_CLEAR, _COLOURED = 0.0003, 0.004
"""Standard deviations of Duv: of plain lamps behind clear glass, and of those with a colour of their own."""
_PLAIN = 0.9
"""The share of tungsten that is plain."""

Read = TypeVar("Read", bound=Reading)


def likely_duv(duv: float) -> float:
    """Return the Duv that tungsten likely has which a handheld meter read at `duv`, once.

    It is the posterior mean of a mixture of two normal distributions: plain lamps, whose Duv is mostly the
    meter's, and coloured ones, which read as they are.
    """
    meter, clear = _METER**2, _CLEAR**2
    plain = _PLAIN * _density(duv, meter + clear)
    coloured = (1.0 - _PLAIN) * _density(duv, meter + _COLOURED**2)
    return duv * (1.0 - plain / (plain + coloured) * meter / (meter + clear))


def _density(duv: float, variance: float) -> float:
    """Return a normal density, but for a constant factor."""
    return exp(-0.5 * duv**2 / variance) / sqrt(variance)


def likely_of(kind: Kind, readings: Sequence[Read]) -> list[Read]:
    """Return readings of a source as they likely are; others as they were read.

    Those are what other kinds gave, and spectra.
    """
    return [_likely(one) if kind is Kind.TUNGSTEN else one for one in readings]


def _likely(reading: Read) -> Read:
    if reading.spectrum is not None:
        return reading
    try:
        white = measure(reading)
    except Refused:
        return reading
    return reading.model_copy(update={"cct": white.cct, "duv": likely_duv(white.duv), "xy": None})
