"""The readings of a source from which a rate is told: of one light that was set up in one way, lately."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from ...colour.observer.chromaticity import steps_apart
from ...colour.observer.data import Array
from ...model import Kind, Reading
from ..learned.taken import OTHER_BULB
from ..readings.chromaticity import WhitePoint, whites_of

LATELY = timedelta(hours=3)
"""Readings that are older than the newest by more tell nothing of how fast it drifts now. Our judgement."""
LEAST_SPAN = timedelta(minutes=15)
"""Over less, a meter tells no rate. Our judgement."""
FASTEST = 200.0
"""No light drifts faster: twice as fast as a setting sun. [MK⁻¹ an hour] Our judgement."""
LEAST_JUMP = 10.0
"""Less may be the meter's repeat, or where it was held. [MK⁻¹] Our judgement."""
_HOUR = 3600.0


@dataclass(frozen=True)
class TimedReading:
    """A reading, and when it was taken."""

    reading: Reading
    at: datetime


@dataclass(frozen=True, eq=False)
class DriftSeries:
    """What a light read again and again, oldest first, behind the same `gels` or bare: (n,) each.

    `mired` [MK⁻¹] and `duv` were read `hours` [h] after the first; `white` was read last, `at` a time.
    It holds no readings, of which there may be hundreds.
    """

    hours: Array
    mired: Array
    duv: Array
    white: WhitePoint
    at: datetime
    gels: tuple[str, ...]


def series_of(readings: Sequence[TimedReading], kind: Kind | None = None) -> DriftSeries | None:
    """Return the newest readings that tell how fast a light drifts; None where they are too few, or too near.

    All were taken at the dim level, with the modifier, the dials and behind the gels of the newest. What was
    read before a jump, which no drift explains, is of another light. A bulb, of which `kind` tells, does not
    drift: what moves it is another one, or its dimmer.
    """
    said = sorted((one for one in readings if one.reading.said), key=lambda one: one.at)
    if not said:
        return None
    newest = said[-1]
    like = _set_up(newest.reading)
    alike = [one for one in said if newest.at - one.at <= LATELY and _set_up(one.reading) == like]
    read = zip(alike, whites_of(one.reading for one in alike), strict=True)
    whites = _since_jump([(one.at, white) for one, white in read if white], kind)
    if len(whites) < 2 or whites[-1][0] - whites[0][0] < LEAST_SPAN:
        return None
    hours, mired, duv = (
        np.array(values)
        for values in (
            [(at - whites[0][0]).total_seconds() / _HOUR for at, _ in whites],
            [white.mired for _, white in whites],
            [white.duv for _, white in whites],
        )
    )
    at, white = whites[-1]
    return DriftSeries(hours, mired, duv, white, at, tuple(sorted(newest.reading.gels)))


def _since_jump(
    whites: Sequence[tuple[datetime, WhitePoint]], kind: Kind | None
) -> Sequence[tuple[datetime, WhitePoint]]:
    """Return what was read since the last jump, oldest first; all where there was none."""
    for k in range(len(whites) - 1, 0, -1):
        (then, before), (at, after) = whites[k - 1 : k + 1]
        moved, hours = abs(after.mired - before.mired), (at - then).total_seconds() / _HOUR
        if kind is Kind.TUNGSTEN and float(steps_apart(before.uv, after.uv)) > OTHER_BULB:
            return whites[k:]
        if moved > LEAST_JUMP and moved > FASTEST * hours:
            return whites[k:]
    return whites


def _set_up(reading: Reading) -> tuple[object, ...]:
    dial = reading.dial and (reading.dial.cct, reading.dial.green)
    return tuple(sorted(reading.gels)), reading.level, reading.modifier, dial
