"""The parts of a map where something is small enough, as smooth outlines for an SVG path.

Marching squares (Maple, C. 2003, Geometric design and space planning using the marching squares and marching
cube algorithms; from memory): in each cell of the grid the outline is a straight line between two sides. It
meets them where the value, interpolated between their corners, is just met.
"""

from math import hypot

import numpy as np
from numpy.typing import NDArray

from ...advice.readings.steps import Point

Array = NDArray[np.float64]
"""Values on a grid, or places along it."""

_Side = tuple[int, int, int]
"""A side of a cell: 0 across or 1 down, from the corner (row, column)."""
_LEAST = 0.5
"""An outline may be so far off, so that it needs few points. [px]"""
_SIDES = {
    1: ((3, 0),),
    2: ((0, 1),),
    3: ((3, 1),),
    4: ((1, 2),),
    5: ((3, 0), (1, 2)),
    6: ((0, 2),),
    7: ((3, 2),),
    8: ((2, 3),),
    9: ((2, 0),),
    10: ((0, 1), (2, 3)),
    11: ((2, 1),),
    12: ((1, 3),),
    13: ((1, 0),),
    14: ((0, 3),),
}
"""Which sides an outline joins, by corners within: 1 is the upper left, then clockwise.

Sides: top 0, right 1, bottom 2, left 3.
"""


def outline(values: Array, across: Array, down: Array, level: float) -> str:
    """Return a path (to be filled by even and odd) around all that is at most `level`.

    `values` (r, c) are finite, at `down` (r,) and `across` (c,) in pixels; the path ends at their edges.
    """
    high = float(max(values.max(), level)) + 1.0
    field = np.pad(values, 1, constant_values=high)
    xs, ys = np.pad(across, 1, mode="edge"), np.pad(down, 1, mode="edge")
    within = field <= level
    code = within[:-1, :-1] + 2 * within[:-1, 1:] + 4 * within[1:, 1:] + 8 * within[1:, :-1]
    beside: dict[_Side, list[_Side]] = {}
    for row, column in np.argwhere((code > 0) & (code < 15)).tolist():
        sides = ((0, row, column), (1, row, column + 1), (0, row + 1, column), (1, row, column))
        for a, b in _SIDES[int(code[row, column])]:
            beside.setdefault(sides[a], []).append(sides[b])
            beside.setdefault(sides[b], []).append(sides[a])

    def met(side: _Side) -> Point:
        way, row, column = side
        other = (row, column + 1) if way == 0 else (row + 1, column)
        first, last = float(field[row, column]), float(field[other])
        share = (level - first) / (last - first)
        x = xs[column] + share * (xs[other[1]] - xs[column])
        y = ys[row] + share * (ys[other[0]] - ys[row])
        return float(x), float(y)

    return "".join(_path([met(side) for side in loop]) for loop in _loops(beside))


def _loops(beside: dict[_Side, list[_Side]]) -> list[list[_Side]]:
    """Follow each outline until it is back where it began."""
    loops = []
    while beside:
        start = next(iter(beside))
        loop, at = [start], beside[start][0]
        before = start
        while at != start:
            loop.append(at)
            one, other = beside.pop(at)
            before, at = at, other if one == before else one
        del beside[start]
        loops.append(loop)
    return loops


def _path(points: list[Point]) -> str:
    half = len(points) // 2
    kept = [*_simpler(points[: half + 1])[:-1], *_simpler([*points[half:], points[0]])[:-1]]
    if len(kept) < 3:
        return ""
    return "M" + "L".join(f"{x:.0f} {y:.0f}" for x, y in kept) + "z"


def _simpler(points: list[Point]) -> list[Point]:
    """Leave out points on the line between others (Douglas, D. and Peucker, T. 1973; from memory)."""
    if len(points) < 3:
        return points
    (ax, ay), (bx, by) = points[0], points[-1]
    long = hypot(bx - ax, by - ay)

    def off(p: Point) -> float:
        if long < 1e-9:
            return hypot(p[0] - ax, p[1] - ay)
        return abs((bx - ax) * (ay - p[1]) - (ax - p[0]) * (by - ay)) / long

    far = max(range(1, len(points) - 1), key=lambda k: off(points[k]))
    if off(points[far]) <= _LEAST:
        return [points[0], points[-1]]
    return [*_simpler(points[: far + 1])[:-1], *_simpler(points[far:])]
