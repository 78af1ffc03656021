"""The shift plane laid out as SVG: marks that stay apart, on a scale that opens up around the target."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin, sqrt

from ..advice.plan import Plan
from ..advice.plane import Mark, Point, marks

SIZE = 358.0
"""Width and height of the picture. [px at 390 px]"""
_EDGE = 26.0
_LABEL = 12.0
"""Radius of a source's number. [px]"""
_APART = 57.0
"""Between numbers: 48 px to touch and 8 px between, so that a thumb in a glove finds the one it means."""
_MARK_ROOM = 20.0
"""What a mark on an axis needs around it. [px]"""
_ROUNDS = 400


@dataclass(frozen=True)
class Label:
    """A source on the plane: its number at (x, y), its trail as polyline points, a leader if `moved`."""

    number: int
    name: str
    x: float
    y: float
    start: Point
    end: Point
    points: str
    moved: bool


@dataclass(frozen=True)
class Picture:
    """Everything that the template draws, in pixels from the top left."""

    labels: tuple[Label, ...]
    marks: tuple[Mark, ...]
    tolerance: float
    centre: float = SIZE / 2
    size: float = SIZE


def picture(plan: Plan, names: Sequence[str], tolerance: float) -> Picture | None:
    """Lay out a plan; None where there is no target or no source to show."""
    trails = [plan.trail(i) for i in range(len(plan.heads))]
    if plan.target is None or not any(trails):
        return None
    farthest = max([hypot(*p) for t in trails for p in t] + [3.0 * tolerance])

    def place(p: Point) -> Point:
        # Distance from the target goes by its square root: what is nearly right needs the room.
        r = hypot(*p)
        out = (SIZE / 2 - _EDGE) * sqrt(r / farthest) / r if r else 0.0
        return SIZE / 2 + p[0] * out, SIZE / 2 - p[1] * out

    placed = [[place(p) for p in t] for t in trails]
    numbers = _apart([t[0] for t in placed if t])
    labels, k = [], 0
    for i, t in enumerate(placed):
        if not t:
            continue
        x, y = numbers[k]
        k += 1
        points = " ".join(f"{px:.1f},{py:.1f}" for px, py in t)
        moved = hypot(x - t[0][0], y - t[0][1]) > _LABEL
        labels.append(Label(i + 1, names[i], x, y, t[0], t[-1], points, moved))
    shown = _readable([Mark(m.name, place(m.at)) for m in marks(plan.target) if hypot(*m.at) <= farthest])
    ring = (SIZE / 2 - _EDGE) * sqrt(tolerance / farthest)
    return Picture(tuple(labels), tuple(shown), ring)


def _readable(placed: Sequence[Mark]) -> list[Mark]:
    """Leave out marks that would stand on the target or on one another, the larger fractions staying."""
    kept: list[Mark] = []
    for mark in reversed(placed):
        centre = (SIZE / 2, SIZE / 2)
        if all(
            hypot(mark.at[0] - x, mark.at[1] - y) >= _MARK_ROOM for x, y in [centre, *(m.at for m in kept)]
        ):
            kept.append(mark)
    return kept


def _apart(points: Sequence[Point]) -> list[Point]:
    """Move numbers off each other until none overlaps, each as little as it can."""
    at = [list(p) for p in points]
    for _ in range(_ROUNDS):
        still = True
        for i in range(len(at)):
            for j in range(i):
                dx, dy = at[i][0] - at[j][0], at[i][1] - at[j][1]
                gap = hypot(dx, dy)
                if gap >= _APART:
                    continue
                still = False
                if gap < 1e-6:
                    angle = 2 * pi * i / len(at)
                    dx, dy, gap = cos(angle), sin(angle), 1.0
                push = (_APART - min(gap, _APART)) / 2 + 0.2
                for own, sign in ((at[i], 1), (at[j], -1)):
                    own[0] += sign * push * dx / gap
                    own[1] += sign * push * dy / gap
        for own in at:
            own[0] = min(max(own[0], 24.0), SIZE - 24.0)
            own[1] = min(max(own[1], 24.0), SIZE - 24.0)
        if still:
            break
    return [(x, y) for x, y in at]
