"""The colour of a tested head at a level that was not read: monotone between readings, and never far beyond.

Mired and Duv each run over the logarithm of the level as a cubic Hermite curve with limited slopes.

References
----------
Fritsch, F. N. and Butland, J. 1984, A method for constructing local monotone piecewise cubic interpolants,
SIAM J. Sci. Stat. Comput. 5(2), 300–304: the slope at a reading is the weighted harmonic mean of the slopes
beside it, and nought where these differ in sign (from memory). Ends: the slope of the last piece.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...model import HeadReading, Refused
from ...model.basis.quantities import tidy
from ..readings.chromaticity import WhitePoint, measure, white_with
from ..readings.tested import FARTHEST


@dataclass(frozen=True)
class HeadWhite:
    """A head's white at a level; `about` says that it was not read there."""

    white: WhitePoint
    about: bool


@dataclass(frozen=True, eq=False)
class LevelLine:
    """A head's mireds [MK⁻¹] and Duv at the levels [%] that were read, rising, each of shape (n,)."""

    levels: Array
    mired: Array
    duv: Array

    def at(self, level: float) -> HeadWhite:
        """Return the white at a level, 1 to 100 %; beyond the readings, that of the nearest.

        Raises Refused below half of the lowest level that was read.
        """
        if level < FARTHEST * self.levels[0]:
            lowest = tidy(float(self.levels[0]))
            raise Refused.one(
                "level",
                f"nothing was read near {tidy(level)} %: the lowest level read is {lowest} %",
                f"{tidy(float(FARTHEST * self.levels[0]))} to 100 %, or a reading at {tidy(level)} %",
            )
        [mired], [duv] = self.along(np.array([level]))
        about = bool(level not in self.levels)
        white = white_with(float(mired), float(duv), "level", f"the light at {tidy(level)} %")
        return HeadWhite(white, about)

    def along(self, levels: Array) -> tuple[Array, Array]:
        """Return mired [MK⁻¹] and Duv, each (m,), at `levels` (m,) [%]; beyond the readings, the nearest."""
        x, read = np.log(levels), np.log(self.levels)
        return _monotone(read, self.mired, x), _monotone(read, self.duv, x)

    def course(self, pieces: int) -> "Course":
        """Return the line from its lowest to its highest level, where it was read and in `pieces` between."""
        low, high = float(self.levels[0]), float(self.levels[-1])
        read = set(self.levels.tolist())
        levels = sorted({*(low * (high / low) ** (k / pieces) for k in range(1, pieces)), *read})
        mired, duv = self.along(np.array(levels))
        return Course(levels, [k in read for k in levels], (MIRED_K / mired, duv))


class Course(NamedTuple):
    """A line as it is drawn: levels [%], which of them were read, and CCT [K] and Duv at each, (m,)."""

    levels: list[float]
    read: list[bool]
    figures: tuple[Array, Array]


def line_through(readings: Sequence[HeadReading]) -> LevelLine:
    """Return the line through readings with one modifier, the last of each level; needs at least one.

    Raises Refused for a reading that is no white.
    """
    newest = {r.level: measure(r) for r in readings}
    levels = sorted(newest)
    whites = [newest[k] for k in levels]
    return LevelLine(np.array(levels), np.array([w.mired for w in whites]), np.array([w.duv for w in whites]))


def _monotone(x: Array, y: Array, at: Array) -> Array:
    """Return the values (m,) at `at` of the limited cubic curve through (x, y), each (n,); held beyond it."""
    if len(x) == 1:
        return np.full(len(at), y[0])
    step, rise = np.diff(x), np.diff(y) / np.diff(x)
    slope = np.concatenate([rise[:1], np.zeros(len(x) - 2), rise[-1:]])
    alike = rise[:-1] * rise[1:] > 0
    before, after = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (before + after) / (before / rise[:-1] + after / rise[1:])
    slope[1:-1] = np.where(alike, mean, 0.0)
    at = np.clip(at, x[0], x[-1])
    k = np.minimum(np.searchsorted(x, at, side="right"), len(x) - 1) - 1
    t, h = (at - x[k]) / step[k], step[k]
    value = (
        (1 + 2 * t) * (1 - t) ** 2 * y[k]
        + t * (1 - t) ** 2 * h * slope[k]
        + t**2 * (3 - 2 * t) * y[k + 1]
        + t**2 * (t - 1) * h * slope[k + 1]
    )
    # The last digits may lead out of what was read by rounding alone.
    limited: Array = np.clip(value, np.minimum(y[k], y[k + 1]), np.maximum(y[k], y[k + 1]))
    return limited
