"""The shift plane: every source of a set against the target, and the steps that its stack takes.

Across is warm (right) and cool (left), up is green and down magenta, the target is the origin. Both axes
are in steps (0.0011 Δu′v′; CIE TN 001:2014, from memory), so that equal lengths look equally far off: mireds
and Duv are scaled by what they are worth in steps at the target.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile
from math import isfinite
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import cct_duv_of_uv
from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.loci import MIRED_K
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


class OnPlane(NamedTuple):
    """A source and the stack that moves it; `stood` has its dials set, `bare` itself where nothing is to set.

    `read` is the white that was read behind the stack, where one was.
    """

    bare: PreparedSource
    stood: PreparedSource
    stack: StackAdvice | None
    read: WhitePoint | None = None


def trails(ways: Sequence[OnPlane], target: WhitePoint, gel_arrays: GelArrays) -> list[list[Point]]:
    """Return where sources stand, and where dials and each sheet of their stacks take them, in steps.

    A trail ends early where the light is no longer a white. It ends at what was read, where something was.
    """
    scale = scale_at(target)
    if not ways:
        return []
    # One inversion for all sheets of all sources.
    gels = gel_arrays.find_each([way.stack.gels if way.stack else [] for way in ways])
    xyz = [
        _behind(way, gel_arrays.transmittances[own]) @ weights() for way, own in zip(ways, gels, strict=True)
    ]
    uv = uv_of_xyz(np.concatenate([*xyz, np.empty((0, 3))]))
    known = [white for way in ways for white in (way.bare.white, way.stood.white, way.read or target)]
    sheets, whites = cct_duv_of_uv(uv), np.array([(white.cct, white.duv) for white in known]).T
    cct, duv = np.concatenate([sheets, whites], axis=1)
    steps = scale.each_at(MIRED_K / cct - MIRED_K / target.cct, duv - target.duv)
    points = [(warm, green) for warm, green in steps.tolist()]
    found, ends = [], np.cumsum([len(part) for part in xyz]).tolist()
    for k, (way, end) in enumerate(zip(ways, ends, strict=True)):
        bare, stood, read = points[ends[-1] + 3 * k :][:3]
        trail = [bare] if way.stood.white is way.bare.white else [bare, stood]
        trail += takewhile(lambda point: isfinite(point[0]), points[end - len(xyz[k]) : end])
        if way.read is not None and len(trail) > 1:
            trail[-1] = read
        found.append(trail)
    return found


def _behind(way: OnPlane, sheets: Array) -> Array:
    """Return the spectra (n, 81) behind each of the n sheets of a stack, by their transmittances (n, 81)."""
    return np.asarray(way.stood.mean * np.cumprod(sheets, axis=0))


def marks(target: WhitePoint, ladder: Ladder) -> list[FractionMark]:
    """Return the fractions that are marked on the axes: too warm, too cool, too green, too magenta.

    A source on a mark needs that fraction: CTB where it is too warm, CTO where it is too cool.
    """
    scale = scale_at(target)
    sides = ((ladder.ctb, 1, 0), (ladder.cto, -1, 0), (ladder.minus_green, 0, 1), (ladder.plus_green, 0, -1))
    marked = [
        (fraction.glyph, along * size, up * size)
        for sizes, along, up in sides
        for fraction, size in zip(FRACTIONS, sizes, strict=True)
        if fraction.name != "3/4"
    ]
    at = scale.each_at(*np.array([shift for _, *shift in marked]).T).tolist()
    return [FractionMark(name, (warm, green)) for (name, *_), (warm, green) in zip(marked, at, strict=True)]
