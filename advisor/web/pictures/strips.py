"""CCT and Duv as strips over one axis, laid out as SVG: the layout of `dimming_curve` and `head_history`."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...advice.known_heads.levels import Course
from ...advice.readings.steps import Point
from ..wording.values import duv, kelvin

WIDTH, LEFT = 358.0, 74.0
"""Of a picture, and of its scale on the left. [px; as wide as a phone's screen]"""
_FIGURES: tuple[tuple[str, Callable[[float | None], str]], ...] = (("CCT", kelvin), ("Duv", duv))


@dataclass(frozen=True)
class Frame:
    """How large a strip is, and what is kept clear on its right, above and below [px].

    `least` is the least that a whole strip spans in CCT [K] and Duv, so that what holds is drawn flat.
    """

    height: float
    right: float
    edge: float
    least: tuple[float, float]


HEAD = Frame(height=110.0, right=24.0, edge=12.0, least=(10.0, 0.0004))
"""On the sheet of a tested head."""
SOURCE = Frame(height=96.0, right=16.0, edge=14.0, least=(0.0, 0.0))
"""On the page of a source."""


@dataclass(frozen=True)
class StripLine:
    """A line by its number from 0, and where it was read."""

    modifier: int
    points: str
    read: tuple[Point, ...]


@dataclass(frozen=True)
class Strip:
    """One figure: its lines, the place in use if there is one, and what top and bottom stand for."""

    name: str
    lines: tuple[StripLine, ...]
    used: Point | None
    high: str
    low: str


@dataclass(frozen=True)
class Strips:
    """Strips over one axis with its `marks`, what it stands for, and what its lines are, in their order.

    `words` say all of it, where it is said.
    """

    strips: tuple[Strip, ...]
    marks: tuple[tuple[str, float], ...]
    modifiers: tuple[str, ...]
    height: float
    words: str = ""
    over: str = "dim level"
    width: float = WIDTH
    left: float = LEFT


def axis(
    low: float, high: float, scale: Callable[[float], float], frame: Frame = HEAD
) -> Callable[[float], float]:
    """Return where a value from `low` to `high` stands across the picture [px], on a `scale`."""
    first, last = scale(low), scale(high)

    def across(value: float) -> float:
        return round(LEFT + (WIDTH - LEFT - frame.right) * (scale(value) - first) / (last - first), 1)

    return across


def marked(
    values: Sequence[float], across: Callable[[float], float], say: Callable[[float], str], room: float
) -> tuple[tuple[str, float], ...]:
    """Return marks on the axis, the ends first, at least `room` [px] from each other."""
    ends = min(values), max(values)
    marks: list[tuple[str, float]] = []
    for value in sorted(values, key=lambda k: (k not in ends, k)):
        if all(abs(across(value) - x) >= room for _, x in marks):
            marks.append((say(value), across(value)))
    return tuple(marks)


def strips(
    lines: Mapping[str, Course],
    across: Callable[[float], float],
    frame: Frame = HEAD,
    used: Course | None = None,
) -> tuple[Strip, ...]:
    """Lay out lines as a strip for CCT and one for Duv; `used` is the one place in use, if any."""
    return tuple(_strip(k, lines, across, frame, used) for k in range(len(_FIGURES)))


def _strip(
    figure: int,
    lines: Mapping[str, Course],
    across: Callable[[float], float],
    frame: Frame,
    used: Course | None,
) -> Strip:
    name, say = _FIGURES[figure]
    shown = [*lines.values(), *([used] if used else [])]
    values = np.concatenate([course.figures[figure] for course in shown])
    low, high = float(values.min()), float(values.max())
    span = max(high - low, frame.least[figure]) or 1.0
    middle = (low + high) / 2.0

    def places(course: Course) -> list[Point]:
        off = (course.figures[figure] - middle) / span
        down = np.round(frame.height / 2.0 - (frame.height - 2 * frame.edge) * off, 1).tolist()
        return [(across(k), y) for k, y in zip(course.levels, down, strict=True)]

    drawn = []
    for number, course in enumerate(lines.values()):
        at = places(course)
        read = tuple(place for place, was in zip(at, course.read, strict=True) if was)
        drawn.append(StripLine(number, " ".join(f"{x},{y}" for x, y in at), read))
    return Strip(name, tuple(drawn), places(used)[0] if used else None, say(high), say(low))
