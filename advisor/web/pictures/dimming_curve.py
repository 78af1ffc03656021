"""How a source drifts over its dim level, laid out as SVG: CCT and Duv, as read and in between."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import log

from ...advice.readings.chromaticity import WhitePoint
from ...advice.readings.dim_levels import DimCurve, line_of
from ...advice.readings.steps import Point
from ...model import Refused, Source
from ...model.sets.phrases import percent
from ..wording.values import duv, kelvin

WIDTH, HEIGHT = 358.0, 96.0
"""Of the picture of one figure. [px; as wide as a phone's screen]"""
_LEFT, _RIGHT, _EDGE = 74.0, 16.0, 14.0
_PIECES = 24
"""Pieces that the line from the lowest to the highest level is drawn in."""
_MARK_ROOM = 36.0
"""Between the marks of two levels. [px]"""
_FIGURES: tuple[tuple[str, Callable[[WhitePoint], float], Callable[[float | None], str]], ...] = (
    ("CCT", lambda white: white.cct, kelvin),
    ("Duv", lambda white: white.duv, duv),
)


@dataclass(frozen=True)
class Strip:
    """One figure over the level: line, readings, the one in use; what top and bottom stand for."""

    name: str
    line: str
    read: tuple[Point, ...]
    used: Point | None
    high: str
    low: str


@dataclass(frozen=True)
class Drift:
    """Strips over one axis of levels, whose `marks` are in words with their places; all of it in `words`."""

    strips: tuple[Strip, ...]
    marks: tuple[tuple[str, float], ...]
    words: str
    width: float = WIDTH
    height: float = HEIGHT
    left: float = _LEFT


def drift_plot(source: Source) -> Drift | None:
    """Lay out the readings with the modifier in use; None where fewer than two levels were read."""
    over = line_of(source)
    read = over.whites
    if len(read) < 2:
        return None
    low, high = min(read), max(read)
    between = {low * (high / low) ** (k / _PIECES) for k in range(_PIECES + 1)}
    line = {k: white for k in sorted({*between, *read}) if (white := _at(over, k))}
    used = _at(over, source.level) if source.level is not None else None
    here = {source.level: used} if source.level is not None and used else {}
    ends = (min([low, *here]), max([high, *here]))

    def across(level: float) -> float:
        return round(_LEFT + (WIDTH - _LEFT - _RIGHT) * log(level / ends[0]) / log(ends[1] / ends[0]), 1)

    strips = tuple(_strip(figure, line, read, here, across) for figure in range(len(_FIGURES)))
    marks: list[tuple[str, float]] = []
    for level in sorted({*ends, *read}, key=lambda k: (k not in ends, k)):
        if all(abs(across(level) - x) >= _MARK_ROOM for _, x in marks):
            marks.append((percent(level), across(level)))
    words = (
        f"From {percent(high)} to {percent(low)}: {kelvin(read[high].cct)} to {kelvin(read[low].cct)}, "
        f"Duv {duv(read[high].duv)} to {duv(read[low].duv)}"
    )
    return Drift(strips, tuple(marks), words)


def _strip(
    figure: int,
    line: Mapping[float, WhitePoint],
    read: Mapping[float, WhitePoint],
    here: Mapping[float, WhitePoint],
    across: Callable[[float], float],
) -> Strip:
    name, pick, say = _FIGURES[figure]
    values = [pick(white) for white in (*line.values(), *here.values())]
    low, high = min(values), max(values)
    span = (high - low) or 1.0

    def place(level: float, white: WhitePoint) -> Point:
        return across(level), round(HEIGHT - _EDGE - (HEIGHT - 2 * _EDGE) * (pick(white) - low) / span, 1)

    return Strip(
        name=name,
        line=" ".join("{},{}".format(*place(k, white)) for k, white in line.items()),
        read=tuple(place(k, white) for k, white in read.items()),
        used=next((place(k, white) for k, white in here.items()), None),
        high=say(high),
        low=say(low),
    )


def _at(line: DimCurve, level: float) -> WhitePoint | None:
    try:
        return line.white_at(level)
    except Refused:
        return None
