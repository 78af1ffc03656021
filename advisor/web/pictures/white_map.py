"""A map of what each white costs over a set: CCT across, green up, darker is dearer."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...advice.common_white.find import Option, Whites
from ...advice.common_white.grid import TINTS
from ...advice.readings.steps import Point
from ...advice.stacks.enumerate import Indices
from ..wording.values import kelvin
from .shift_plane import apart

WIDTH, HEIGHT = 358, 170
_GREYS = ("#d6d6d6", "#b2b2b2", "#8e8e8e", "#6a6a6a", "#464646", "#222222")
"""From the cheapest to the dearest: neutral, as all that is no light."""
_SHARES = (0.02, 0.08, 0.2, 0.4, 0.7)
"""So much of the map is drawn in each grey or a lighter one; the rest is the darkest."""
_KELVINS = (2500, 3200, 4000, 5600, 10000)
_EVERY = 4
"""Of the tints each fourth one is drawn: the whole picture stays within 6 kB."""
_APART = 20.0
"""Between the numbers. [px]"""
_BELOW = 5
"""From the middle of a number to its baseline. [px]"""
_INSIDE = 8
"""The first and the last CCT stand so far inside. [px]"""


@dataclass(frozen=True)
class WhiteMark:
    """A white on the map: its number (or P for the present one), where that stands, and the white's place."""

    label: str
    at: Point
    point: Point

    @property
    def baseline(self) -> float:
        """Where its number is written. [px]"""
        return round(self.at[1] + _BELOW, 1)


@dataclass(frozen=True)
class KelvinLabel:
    """A CCT below the map, `x` [px] its start, middle or end by `anchor`; only the first has its unit."""

    x: float
    anchor: str
    words: str


@dataclass(frozen=True)
class Map:
    """What the template draws, in pixels: `areas` are greys with the paths of what is so dear."""

    areas: tuple[tuple[str, str], ...]
    kelvins: tuple[KelvinLabel, ...]
    marks: tuple[WhiteMark, ...]
    width: int = WIDTH
    height: int = HEIGHT


def whites_map(whites: Whites) -> Map | None:
    """Draw the Planckian whites of the grid, each with its tint; None where there is nothing to compare."""
    if not whites.best:
        return None
    grid = whites.grid
    shape = (grid.planckian // len(TINTS), len(TINTS))
    mired = grid.mired[: grid.planckian : len(TINTS)]
    costs = whites.costs[: grid.planckian].reshape(shape)[:, ::_EVERY]
    edges = np.round(_x(np.concatenate([mired[:1], (mired[1:] + mired[:-1]) / 2, mired[-1:]]))).astype(int)
    shown = [*((str(k + 1), option) for k, option in enumerate(whites.best))]
    if whites.present is not None:
        shown.append(("P", whites.present))
    return Map(
        areas=_areas(_levels(costs), edges),
        kelvins=_kelvins(),
        marks=_marks(shown),
    )


def _x(mired: NDArray[np.float64]) -> NDArray[np.float64]:
    return (400.0 - mired) / 300.0 * WIDTH


def _kelvins() -> tuple[KelvinLabel, ...]:
    places = [round(float(_x(np.array(1e6 / k))), 1) for k in _KELVINS]
    first, *middle, last = zip(places, map(kelvin, _KELVINS), strict=True)
    bare = [KelvinLabel(x, "middle", _unitless(words)) for x, words in middle]
    return (
        KelvinLabel(first[0] + _INSIDE, "start", first[1]),
        *bare,
        KelvinLabel(last[0] - _INSIDE, "end", _unitless(last[1])),
    )


def _unitless(words: str) -> str:
    return words.removesuffix("\N{NO-BREAK SPACE}K")


def _y(tint: float) -> float:
    return float(TINTS[-1] + 1 - tint) / (len(TINTS) + 1) * HEIGHT


def _levels(costs: NDArray[np.float64]) -> Indices:
    """Sort costs into greys by rank, finer near the best; beyond the last grey where there is no cost."""
    reached = np.isfinite(costs)
    bounds = np.quantile(costs[reached], _SHARES)
    return np.where(reached, np.searchsorted(bounds, costs, side="left"), len(_GREYS))


def _areas(levels: Indices, edges: Indices) -> tuple[tuple[str, str], ...]:
    """Draw each row of one grey as runs of rectangles."""
    paths = ["" for _ in _GREYS]
    for row in range(levels.shape[1]):
        tint = float(TINTS[row * _EVERY])
        top = max(round(_y(tint + _EVERY / 2)), 0)
        high = min(round(_y(tint - _EVERY / 2)), HEIGHT) - top
        here = levels[:, row]
        starts = np.flatnonzero(np.concatenate([[True], here[1:] != here[:-1]]))
        for start, end in zip(starts, [*starts[1:], len(here)], strict=True):
            if here[start] < len(paths):
                left, right = sorted((int(edges[start]), int(edges[end])))
                paths[here[start]] += f"M{left} {top}h{right - left}v{high}h{left - right}z"
    return tuple(zip(_GREYS, paths, strict=True))


def _marks(shown: Sequence[tuple[str, Option]]) -> tuple[WhiteMark, ...]:
    """Place whites by their CCT and what the camera takes out besides the locus; those off the map not."""
    points = []
    for label, option in shown:
        x, y = float(_x(np.array(option.white.mired))), _y(option.white.cc)
        if 0 <= x <= WIDTH and 0 <= y <= HEIGHT:
            points.append((label, (round(x, 1), round(y, 1))))
    places = apart([(x, y) for _, (x, y) in points], gap=_APART, low=10.0, high=WIDTH - 10.0)
    return tuple(
        WhiteMark(label, (round(at[0], 1), round(at[1], 1)), point)
        for (label, point), at in zip(points, places, strict=True)
    )
