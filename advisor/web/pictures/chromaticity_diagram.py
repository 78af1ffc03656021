"""A piece of the CIE 1976 (u′, v′) diagram with both loci, laid out as SVG."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ...advice.pictures.loci import daylight_line, planckian_line, planckian_points, uv76
from ...advice.plan.plan import Plan
from ...advice.readings.steps import Point
from ..wording.values import kelvin
from .label_room import Drawn, Word
from .shift_plane import apart

WIDTH, HEIGHT = 358.0, 240.0
_EDGE = 20.0
_NUMBER, _POINT, _CROSS = 10.0, 3.0, 9.0
"""Radii of a source's number, of a point, and of the target's cross. [px]"""
_APART = 2 * _NUMBER + 2.0
"""Between the numbers of sources, which stand beside their points. [px]"""
_OFF = 7.0
"""From a point on the locus to the word that names it. [px]"""
_AROUND = ((0, 1), (1, 1), (1, 0), (-1, -1), (0, -1), (-1, 0), (-1, 1), (1, -1))
"""Sides of its point on which a word may stand, the likelier first: below, right below, right …"""
_KELVINS = (2000, 2700, 3200, 4000, 5600, 10000)


@dataclass(frozen=True)
class Diagram:
    """What the template draws, in pixels; `span` is the diagram's u′ and v′ range as text."""

    planckian: str
    daylight: str
    kelvins: tuple[tuple[Point, Word | None], ...]
    """Points on the Planckian locus, each with the word for it where there is room."""
    sources: tuple[tuple[int, Point, Point], ...]
    """Number, its place, and the point that it stands for."""
    target: Point | None
    span: tuple[str, str, str, str]
    width: float = WIDTH
    height: float = HEIGHT
    number: float = _NUMBER


def diagram(plan: Plan, numbers: Sequence[int] | None = None) -> Diagram | None:
    """Lay the diagram out around the loci and the sources; None where no source has a white.

    `numbers` are those of the plan's heads, in their order; without them they are counted from 1.
    """
    own = numbers or range(1, len(plan.heads) + 1)
    read = {n: h.white.uv for n, h in zip(own, plan.heads, strict=True) if h.white}
    if not read:
        return None
    whites = list(zip(read, uv76(np.array(list(read.values()))), strict=True))
    planckian, daylight = planckian_line(), daylight_line()
    points = np.concatenate([planckian, *(p[None, :] for _, p in whites)])
    low, high = points.min(axis=0), points.max(axis=0)
    scale = min((WIDTH - 2 * _EDGE) / (high[0] - low[0]), (HEIGHT - 2 * _EDGE) / (high[1] - low[1]))

    def place(p: np.ndarray) -> Point:
        x, y = (p - low) * scale
        return round(float(x) + _EDGE, 1), round(HEIGHT - _EDGE - float(y), 1)

    def line(curve: Iterable[Point]) -> str:
        return " ".join(f"{x},{y}" for x, y in curve)

    loci = [[place(p) for p in curve] for curve in (planckian, daylight)]
    marked = [(k, place(p)) for k, p in zip(_KELVINS, planckian_points(_KELVINS), strict=True)]
    target = place(uv76(plan.target.uv)) if plan.target else None
    points_at = [place(p) for _, p in whites]
    beside = [(x, y - 14.0) for x, y in points_at]
    stand = apart(beside, gap=_APART, low=_NUMBER + 1.0, high=WIDTH - _NUMBER - 1.0)
    drawn = Drawn(lines=[*loci, *([p, at] for p, at in zip(points_at, stand, strict=True))])
    drawn.circles += [(p, _NUMBER) for p in stand]
    drawn.circles += [(p, _POINT) for p in [*points_at, *(p for _, p in marked)]]
    if target:
        drawn.circles.append((target, _CROSS))
    return Diagram(
        planckian=line(loci[0]),
        daylight=line(loci[1]),
        kelvins=tuple((at, _named(kelvin(k), at, drawn)) for k, at in marked),
        sources=tuple((n, at, p) for (n, _), at, p in zip(whites, stand, points_at, strict=True)),
        target=target,
        span=(f"{low[0]:.3f}", f"{high[0]:.3f}", f"{low[1]:.3f}", f"{high[1]:.3f}"),
    )


def _named(text: str, point: Point, drawn: Drawn) -> Word | None:
    """Find room for a word around its point, and take it; None where there is none."""
    half = Word(text, point).half
    around = [
        (point[0] + right * (half[0] + _OFF), point[1] + below * (half[1] + _OFF)) for right, below in _AROUND
    ]
    word = drawn.first_clear([Word(text, at) for at in around if half[0] <= at[0] <= WIDTH - half[0]])
    if word:
        drawn.words.append(word)
    return word
