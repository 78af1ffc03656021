"""The shift plane: every source of a set against the target, and the steps that its stack takes.

Across is warm (right) and cool (left), up is green and down magenta, the target is the origin. Both axes
are in steps (0.0011 Δu′v′; CIE TN 001:2014, from memory), so that equal lengths look equally far off: mireds
and Duv are scaled by what they are worth in steps at the target.
"""

from dataclasses import dataclass

import numpy as np

from ...colour.observer.cct import cct_duv_of_uv
from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.grid import weights
from ...model import StackAdvice
from ..readings.chromaticity import WhitePoint
from ..readings.steps import Point, scale_at
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from ..wording.ladder import FRACTIONS, Ladder


@dataclass(frozen=True)
class FractionMark:
    """A fraction of a gel, marked on an axis at its place in steps."""

    name: str
    at: Point


def trail(
    bare: PreparedSource,
    stood: PreparedSource,
    stack: StackAdvice | None,
    target: WhitePoint,
    gel_arrays: GelArrays,
) -> list[Point]:
    """Return where a source stands, and where its dials and each sheet of its stack take it, in steps.

    `stood` is the source with its dials set, the same as `bare` where there is nothing to set.
    The trail ends early where the light is no longer a white.
    """
    scale = scale_at(target)
    whites = [bare.white] if stood.white is bare.white else [bare.white, stood.white]
    points = [scale.at(*target.shift_to(white)) for white in whites]
    if stack is None or not stack.gels:
        return points
    # One inversion for all sheets: a set of many sources draws many trails.
    behind = stood.mean * np.cumprod(gel_arrays.transmittances[gel_arrays.find(stack.gels)], axis=0)
    uv = uv_of_xyz(behind @ weights())
    for place, cct, duv in zip(uv, *cct_duv_of_uv(uv), strict=True):
        if not np.isfinite(cct):
            break
        points.append(scale.at(*target.shift_to(WhitePoint(place, float(cct), float(duv)))))
    return points


def placed(target: WhitePoint, white: WhitePoint) -> Point:
    """Return where a white stands on the plane around a target, in steps."""
    return scale_at(target).at(*target.shift_to(white))


def marks(target: WhitePoint, ladder: Ladder) -> list[FractionMark]:
    """Return the fractions that are marked on the axes: too warm, too cool, too green, too magenta.

    A source on a mark needs that fraction: CTB where it is too warm, CTO where it is too cool.
    """
    scale = scale_at(target)
    sides = ((ladder.ctb, 1, 0), (ladder.cto, -1, 0), (ladder.minus_green, 0, 1), (ladder.plus_green, 0, -1))
    return [
        FractionMark(fraction.glyph, scale.at(along * size, up * size))
        for sizes, along, up in sides
        for fraction, size in zip(FRACTIONS, sizes, strict=True)
        if fraction.name != "3/4"
    ]
