"""How a source, or a tested head, drifts over its dim level: CCT and Duv, as read and in between."""

from collections.abc import Mapping
from math import log

import numpy as np

from ...advice.known_heads.levels import Course, LevelLine
from ...advice.readings.chromaticity import WhitePoint
from ...advice.readings.dim_curve import DimCurve, line_of
from ...model import Refused, Source
from ...model.sets.phrases import percent
from ..wording.values import duv, kelvin
from .strips import HEAD, SOURCE, Strips, axis, marked, strips

_PIECES = 24
"""Pieces that a line from the lowest to the highest level is drawn in."""
_MARK_ROOM = 36.0
"""Between the marks of two levels. [px]"""


def head_drift(lines: Mapping[str, LevelLine]) -> Strips | None:
    """Lay out a head's lines, by what they are called; None where none was read at two levels."""
    drawn = {m: line for m, line in lines.items() if len(line.levels) > 1}
    if not drawn:
        return None
    levels = sorted({float(k) for line in drawn.values() for k in line.levels})
    across = axis(levels[0], levels[-1], log)
    courses = {m: line.course(_PIECES) for m, line in drawn.items()}
    marks = marked(levels, across, percent, _MARK_ROOM)
    return Strips(strips(courses, across), marks, tuple(drawn), HEAD.height)


def drift_plot(source: Source) -> Strips | None:
    """Lay out a source's readings with the modifier in use; None where fewer than two levels were read."""
    over = line_of(source)
    read = over.whites
    if len(read) < 2:
        return None
    low, high = min(read), max(read)
    between = {low * (high / low) ** (k / _PIECES) for k in range(_PIECES + 1)}
    line = {k: white for k in sorted({*between, *read}) if (white := _at(over, k))}
    white = _at(over, source.level) if source.level is not None else None
    here = {source.level: white} if source.level is not None and white else {}
    levels = sorted({*read, *here})
    across = axis(levels[0], levels[-1], log, SOURCE)
    words = (
        f"From {percent(high)} to {percent(low)}: {kelvin(read[high].cct)} to {kelvin(read[low].cct)}, "
        f"Duv {duv(read[high].duv)} to {duv(read[low].duv)}"
    )
    drawn = strips({"": _course(line, read)}, across, SOURCE, _course(here, read) if here else None)
    ends = {levels[0], levels[-1]}
    marks = marked(sorted({*ends, *read}), across, percent, _MARK_ROOM)
    return Strips(drawn, marks, ("",), SOURCE.height, words)


def _course(whites: Mapping[float, WhitePoint], read: Mapping[float, WhitePoint]) -> Course:
    figures = np.array([w.cct for w in whites.values()]), np.array([w.duv for w in whites.values()])
    return Course(list(whites), [level in read for level in whites], figures)


def _at(line: DimCurve, level: float) -> WhitePoint | None:
    try:
        return line.white_at(level)
    except Refused:
        return None
