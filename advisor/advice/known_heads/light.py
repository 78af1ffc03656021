"""The light of a tested head: against its dimmer's number, and at other distances."""

from collections.abc import Mapping
from enum import StrEnum
from math import log2

from ...model import Refused
from ...model.basis.quantities import TestDistance, quantity_of, tidy

NEAR_ENOUGH = 0.2
"""A law holds where no reading lies farther off it: a fifth of a stop, our judgement. [stop]"""


class DimmerLaw(StrEnum):
    """How a head's light follows its dimmer's number."""

    LINEAR = "linear"
    SQUARE = "square"
    OWN = "own"


_POWERS = {DimmerLaw.LINEAR: 1.0, DimmerLaw.SQUARE: 2.0}


def dimmer_law(lux: Mapping[float, float]) -> DimmerLaw | None:
    """Name the law of illuminances [lx] by level [%]: as the number, as its square, or of its own.

    None where fewer than two levels were read with lux.
    """
    if len(lux) < 2:
        return None
    full = max(lux)
    off = {
        law: max(abs(log2(lux[k] / lux[full]) - power * log2(k / full)) for k in lux)
        for law, power in _POWERS.items()
    }
    best = min(off, key=off.__getitem__)
    return best if off[best] <= NEAR_ENOUGH else DimmerLaw.OWN


def stops_below(lux: float, full: float) -> float:
    """Return how many stops an illuminance lies below that at full, both above 0 lx."""
    return log2(full / lux)


def at_distance(lux: float, read_at: float, distance: float) -> float:
    """Return the illuminance [lx] at a distance [m] from what was read at another: the inverse square law.

    It holds for a source that is small beside the distance: close to a large one the light falls off slower
    (CIE 84:1989, the photometric distance, five times the size of the source; from memory).
    Raises Refused for a distance that no head is tested at.
    """
    allowed = quantity_of(TestDistance)
    for value in (read_at, distance):
        if not allowed.low <= value <= allowed.high:
            raise Refused.one("distance", f"Distance {tidy(value)} m is out of range", allowed.allowed)
    return lux * (read_at / distance) ** 2
