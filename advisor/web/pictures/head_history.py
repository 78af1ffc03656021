"""What a head read at full in each of its tests, laid out as SVG over time: CCT and Duv."""

from collections.abc import Sequence
from datetime import datetime

import numpy as np

from ...advice.known_heads.history import AgedWhite
from ...advice.known_heads.levels import Course
from ..wording.values import day_said
from .strips import HEAD, Strips, axis, marked, strips

_MARK_ROOM = 64.0
"""Between the marks of two tests. [px]"""


def head_history(points: Sequence[AgedWhite], name: str) -> Strips | None:
    """Lay out the whites of a head, from the oldest test; None where there are not two times."""
    times = [datetime.fromisoformat(point.at).timestamp() for point in points]
    if len(set(times)) < 2:
        return None
    figures = np.array([point.white.cct for point in points]), np.array([point.white.duv for point in points])
    across = axis(times[0], times[-1], lambda time: time)
    drawn = strips({name: Course(times, [True] * len(times), figures)}, across)
    days = {time: day_said(point.at) for time, point in zip(times, points, strict=True)}
    marks = marked(times, across, days.__getitem__, _MARK_ROOM)
    return Strips(drawn, marks, (name,), HEAD.height, over="time")
