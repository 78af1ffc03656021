"""A map of what each white costs over a set: CCT across, the camera's tint up, darker is dearer."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...advice.common_white.grid import TINTS
from ...advice.common_white.options import Option, Whites
from ...advice.readings.steps import Point
from ...model.sets.phrases import counted
from ..wording.values import kelvin
from .contours import Array, outline
from .label_room import Drawn, Word
from .shift_plane import apart

WIDTH, HEIGHT = 358, 170
_GREYS = ("#d6d6d6", "#b2b2b2", "#8e8e8e", "#6a6a6a", "#464646", "#222222")
"""From the cheapest to the dearest: neutral, as all that is no light."""
_SHARES = (0.02, 0.08, 0.2, 0.4, 0.7)
"""So much of the map is drawn in each grey or a lighter one; the rest is the darkest."""
_KELVINS = (2500, 3200, 4000, 5600, 10000)
_TINTS = (-10, 0, 10, 20, 30)
"""Tints whose places are marked on the axis up. [CC]"""
_EVERY = 2
"""Of the tints each second one is drawn: the whole picture stays within 6 kB."""
_APART = 20.0
"""Between the numbers. [px]"""
_BELOW = 5
"""From the middle of a number to its baseline. [px]"""
_RADIUS = 10.0
"""Of a number's circle. [px]"""
_TINT_AT = 2
"""The tints begin so far inside. [px]"""
_INSIDE = 8
"""The first and the last CCT stand so far inside. [px]"""


@dataclass(frozen=True)
class WhiteMark:
    """A white on the map: its number (empty for the present one), where that stands, and the white's place.

    `price` is how much hangs then, None where there is no room for it.
    """

    label: str
    at: Point
    point: Point
    price: Word | None

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
    """What the template draws, in pixels: `areas` are greys with the outlines of what is no dearer than so.

    The darkest comes first, and each lies on those before it. `tints` are marks on the axis up.
    """

    areas: tuple[tuple[str, str], ...]
    kelvins: tuple[KelvinLabel, ...]
    tints: tuple[tuple[str, float], ...]
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
    shown = [*((str(k + 1), option) for k, option in enumerate(whites.offered))]
    if whites.present is not None:
        shown.append(("", whites.present))
    down = np.array([_y(tint) for tint in TINTS[::_EVERY]])
    down[0], down[-1] = HEIGHT, 0.0  # the outermost tints fill the picture to its edges
    return Map(
        areas=_areas(costs.T, _x(mired), down),
        kelvins=_kelvins(),
        tints=_tints(),
        marks=_marks(shown),
    )


def _x(mired: Array) -> Array:
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


def _tints() -> tuple[tuple[str, float], ...]:
    return tuple(
        (f"{tint:+d}".replace("-", "\N{MINUS SIGN}") if tint else "0", round(_y(tint), 1)) for tint in _TINTS
    )


def _unitless(words: str) -> str:
    return words.removesuffix("\N{NO-BREAK SPACE}K")


def _y(tint: float) -> float:
    return float(TINTS[-1] + 1 - tint) / (len(TINTS) + 1) * HEIGHT


def _areas(costs: Array, across: Array, down: Array) -> tuple[tuple[str, str], ...]:
    """Outline what is no dearer than each share of the map, the finer the nearer to the best.

    `costs` (r, c) are infinite where no light can have such a white.
    """
    reached = np.isfinite(costs)
    dear = float(costs[reached].max())
    finite = np.where(reached, costs, dear + (dear - float(costs[reached].min())) / 2.0)
    bounds = np.quantile(costs[reached], _SHARES)
    whole = outline(np.where(reached, 0.0, 1.0), across, down, 0.5)
    parts = [outline(finite, across, down, float(bound)) for bound in bounds[::-1]]
    return tuple(zip(_GREYS[::-1], [whole, *parts], strict=True))


def _marks(shown: Sequence[tuple[str, Option]]) -> tuple[WhiteMark, ...]:
    """Place whites by their CCT and what the camera takes out besides the locus; those off the map not."""
    points = []
    for label, option in shown:
        x, y = float(_x(np.array(option.white.mired))), _y(option.white.cc)
        if 0 <= x <= WIDTH and 0 <= y <= HEIGHT:
            points.append((label, _price(label, option), (round(x, 1), round(y, 1))))
    places = apart([(x, y) for _, _, (x, y) in points], gap=_APART, low=10.0, high=WIDTH - 10.0)
    circles = [(at, _RADIUS) for at in places] + [(point, 2.0) for _, _, point in points]
    tints = [Word(words, (_TINT_AT + Word(words, (0.0, 0.0)).half[0], y)) for words, y in _tints()]
    drawn = Drawn(circles=circles, words=tints)
    marks = []
    for (label, price, point), (x, y) in zip(points, places, strict=True):
        word = _beside(price, (x, y), drawn)
        drawn.words += [word] if word else []
        marks.append(WhiteMark(label, (round(x, 1), round(y, 1)), point, word))
    return tuple(marks)


def _price(label: str, option: Option) -> str:
    """Say how much hangs at a white: “now 14 cuts”, “10 cuts”."""
    return f"{'' if label else 'now '}{counted(option.sheets, 'cut')}"


def _beside(price: str, at: Point, drawn: Drawn) -> Word | None:
    """Put a price beside its mark, clear of all else; None where there is no room."""
    (half, _), (x, y) = Word(price, at).half, at
    ways = [(x + side * (half + _RADIUS + 5.0), y + up) for up in (0.0, -9.0, 9.0) for side in (1, -1)]
    ways += [(x, y + up) for up in (_RADIUS + 11.0, -_RADIUS - 11.0)]
    words = (Word(price, way) for way in ways if half + 2 <= way[0] <= WIDTH - half - 2)
    return next((word for word in words if 8 <= word.at[1] <= HEIGHT - 8 and drawn.clear(word)), None)
