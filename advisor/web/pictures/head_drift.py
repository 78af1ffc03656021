"""How a tested head drifts over its dim level, laid out as SVG: CCT and Duv, one line a modifier."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import log

from ...advice.known_heads.levels import LevelLine
from ...advice.readings.chromaticity import WhitePoint
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
_FIGURES: tuple[tuple[str, Callable[[WhitePoint], float], Callable[[float | None], str]], ...] = (
    ("CCT", lambda white: white.cct, kelvin),
    ("Duv", lambda white: white.duv, duv),
)


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
    """Strips over one axis of levels, with its `marks`, and the modifiers in the order of their lines."""

    strips: tuple[HeadStrip, ...]
    marks: tuple[tuple[str, float], ...]
    modifiers: tuple[str, ...]
    width: float = WIDTH
    height: float = HEIGHT
    left: float = _LEFT


def head_drift(lines: Mapping[str, LevelLine]) -> HeadDrift | None:
    """Lay out the lines by modifier; None where none was read at two levels."""
    drawn = {m: line for m, line in lines.items() if len(line.levels) > 1}
    if not drawn:
        return None
    levels = sorted({float(k) for line in drawn.values() for k in line.levels})
    low, high = levels[0], levels[-1]

    def across(level: float) -> float:
        return round(_LEFT + (WIDTH - _LEFT - _RIGHT) * log(level / low) / log(high / low), 1)

    marks: list[tuple[str, float]] = []
    for level in sorted(levels, key=lambda k: (k not in (low, high), k)):
        if all(abs(across(level) - x) >= _MARK_ROOM for _, x in marks):
            marks.append((percent(level), across(level)))
    strips = tuple(_strip(k, drawn, across) for k in range(len(_FIGURES)))
    return HeadDrift(strips, tuple(marks), tuple(m or "bare" for m in drawn))


def _strip(figure: int, lines: Mapping[str, LevelLine], across: Callable[[float], float]) -> HeadStrip:
    name, pick, say = _FIGURES[figure]
    whites = {m: _along(line) for m, line in lines.items()}
    values = [pick(white) for line in whites.values() for white in line.values()]
    low, high = min(values), max(values)
    span = max(high - low, _LEAST[figure])
    middle = (low + high) / 2.0

    def place(level: float, white: WhitePoint) -> Point:
        off = (pick(white) - middle) / span
        return across(level), round(HEIGHT / 2.0 - (HEIGHT - 2 * _EDGE) * off, 1)

    drawn = []
    for number, (modifier, line) in enumerate(whites.items()):
        points = " ".join("{},{}".format(*place(k, w)) for k, w in line.items())
        read = tuple(place(float(k), line[float(k)]) for k in lines[modifier].levels)
        drawn.append(DriftLine(number, points, read))
    return HeadStrip(name, tuple(drawn), say(high), say(low))


def _along(line: LevelLine) -> dict[float, WhitePoint]:
    """Return the whites of a line from its lowest to its highest level, where it was read and between."""
    low, high = float(line.levels[0]), float(line.levels[-1])
    between = {low * (high / low) ** (k / _PIECES) for k in range(1, _PIECES)}
    return {k: line.at(k).white for k in sorted({*between, *map(float, line.levels)})}
