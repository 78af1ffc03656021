"""The readings of a source from which a rate is told: of one light that was set up in one way, lately."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from ...model import Reading, Refused
from ..readings.chromaticity import WhitePoint, measure

LATELY = timedelta(hours=3)
"""Readings that are older than the newest by more tell nothing of how fast it drifts now. Our judgement."""
LEAST_SPAN = timedelta(minutes=15)
"""Over less, a meter tells no rate. Our judgement."""


@dataclass(frozen=True)
class TimedReading:
    """A reading, and when it was taken."""

    reading: Reading
    at: datetime


@dataclass(frozen=True)
class TimedWhite:
    """What a light read, and when."""

    white: WhitePoint
    at: datetime


@dataclass(frozen=True)
class DriftSeries:
    """What a light read again and again, oldest first, behind the same `gels` or bare."""

    whites: tuple[TimedWhite, ...]
    gels: tuple[str, ...]

    @property
    def span(self) -> timedelta:
        """From the first to the last."""
        return self.whites[-1].at - self.whites[0].at


def series_of(readings: Sequence[TimedReading]) -> DriftSeries | None:
    """Return the newest readings that tell how fast a light drifts; None where they are too few, or too near.

    All were taken at the dim level, with the modifier, the dials and behind the gels of the newest.
    """
    said = sorted((one for one in readings if one.reading.said), key=lambda one: one.at)
    if not said:
        return None
    newest = said[-1]
    like = _set_up(newest.reading)
    whites = []
    for one in said:
        if _set_up(one.reading) == like and newest.at - one.at <= LATELY:
            try:
                whites.append(TimedWhite(measure(one.reading), one.at))
            except Refused:
                continue
    if len(whites) < 2 or whites[-1].at - whites[0].at < LEAST_SPAN:
        return None
    return DriftSeries(tuple(whites), tuple(sorted(newest.reading.gels)))


def _set_up(reading: Reading) -> tuple[object, ...]:
    dial = reading.dial and (reading.dial.cct, reading.dial.green)
    return tuple(sorted(reading.gels)), reading.level, reading.modifier, dial
