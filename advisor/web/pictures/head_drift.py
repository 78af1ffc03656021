"""How a tested head drifts over its dim level, laid out as SVG: CCT and Duv, one line a modifier."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import log

import numpy as np

from ...advice.known_heads.levels import Course, LevelLine
from ...advice.readings.steps import Point
from ...model.sets.phrases import percent
from ..wording.values import duv, kelvin

WIDTH, HEIGHT = 358.0, 110.0
"""Of the picture of one figure. [px; as wide as a phone's screen]"""
_LEFT, _RIGHT, _EDGE = 74.0, 24.0, 12.0
_PIECES = 24
_MARK_ROOM = 36.0
"""Between the marks of two levels. [px]"""
_LEAST = (10.0, 0.0004)
"""The least that a whole strip spans, so that a head that holds is drawn flat. [K; Duv]"""
_FIGURES: tuple[tuple[str, Callable[[float | None], str]], ...] = (("CCT", kelvin), ("Duv", duv))


@dataclass(frozen=True)
class DriftLine:
    """The line of a modifier, by its number from 0, and where it was read."""

    modifier: int
    points: str
    read: tuple[Point, ...]


@dataclass(frozen=True)
class HeadStrip:
    """One figure over the level; what top and bottom stand for."""

    name: str
    lines: tuple[DriftLine, ...]
    high: str
    low: str


@dataclass(frozen=True)
class HeadDrift:
    """Strips over one axis with its `marks`, what it stands for, and what its lines are, in their order."""

    strips: tuple[HeadStrip, ...]
    marks: tuple[tuple[str, float], ...]
    modifiers: tuple[str, ...]
    width: float = WIDTH
    height: float = HEIGHT
    left: float = _LEFT
    over: str = "dim level"


def head_drift(lines: Mapping[str, LevelLine]) -> HeadDrift | None:
    """Lay out the lines, by what they are called; None where none was read at two levels."""
    drawn = {m: line for m, line in lines.items() if len(line.levels) > 1}
    if not drawn:
        return None
    levels = sorted({float(k) for line in drawn.values() for k in line.levels})
    low, high = levels[0], levels[-1]

    across = axis(low, high, log)
    marks: list[tuple[str, float]] = []
    for level in sorted(levels, key=lambda k: (k not in (low, high), k)):
        if all(abs(across(level) - x) >= _MARK_ROOM for _, x in marks):
            marks.append((percent(level), across(level)))
    courses = {m: line.course(_PIECES) for m, line in drawn.items()}
    return HeadDrift(strips(courses, across), tuple(marks), tuple(drawn))


def axis(low: float, high: float, scale: Callable[[float], float]) -> Callable[[float], float]:
    """Return where a value from `low` to `high` stands across the picture [px], on a `scale`."""
    first, last = scale(low), scale(high)

    def across(value: float) -> float:
        return round(_LEFT + (WIDTH - _LEFT - _RIGHT) * (scale(value) - first) / (last - first), 1)

    return across


def strips(lines: Mapping[str, Course], across: Callable[[float], float]) -> tuple[HeadStrip, ...]:
    """Lay out lines as a strip for CCT and one for Duv."""
    return tuple(_strip(k, lines, across) for k in range(len(_FIGURES)))


def _strip(figure: int, lines: Mapping[str, Course], across: Callable[[float], float]) -> HeadStrip:
    name, say = _FIGURES[figure]
    values = np.concatenate([course.figures[figure] for course in lines.values()])
    low, high = float(values.min()), float(values.max())
    span = max(high - low, _LEAST[figure])
    middle = (low + high) / 2.0
    drawn = []
    for number, course in enumerate(lines.values()):
        off = (course.figures[figure] - middle) / span
        height = np.round(HEIGHT / 2.0 - (HEIGHT - 2 * _EDGE) * off, 1).tolist()
        places = [(across(k), y) for k, y in zip(course.levels, height, strict=True)]
        read = tuple(place for place, was in zip(places, course.read, strict=True) if was)
        drawn.append(DriftLine(number, " ".join(f"{x},{y}" for x, y in places), read))
    return HeadStrip(name, tuple(drawn), say(high), say(low))
