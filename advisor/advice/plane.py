"""The shift plane: every source of a set against the target, and the steps that its stack takes.

Across is warm (right) and cool (left), up is green and down magenta, the target is the origin. Both axes
are in steps (0.0011 Δu′v′), so that equal lengths look equally far off: mireds and Duv are scaled by what
they are worth in steps at the target.
"""

from dataclasses import dataclass

import numpy as np

from ..colour.cct import cct_duv_of_uv
from ..colour.chromaticity import STEP, distance, uv_of_xyz
from ..colour.grid import weights
from ..colour.loci import MEGA, planckian_uv
from ..model import StackAdvice
from . import words
from .measure import Whiteness
from .prediction import Bare
from .rack import Rack

Point = tuple[float, float]


@dataclass(frozen=True)
class Scale:
    """What a mired and a unit of Duv are worth in steps at the target."""

    steps_per_mired: float
    steps_per_duv: float

    def at(self, mired: float, duv: float) -> Point:
        """Place a source that is `mired` warmer and `duv` greener than the target."""
        return mired * self.steps_per_mired, duv * self.steps_per_duv


@dataclass(frozen=True)
class Mark:
    """A fraction of a gel, marked on an axis at its place in steps."""

    name: str
    at: Point


def scale_at(target: Whiteness) -> Scale:
    """Return the scale of the plane around a target."""
    slope = planckian_uv(np.array(MEGA / target.cct))[1]
    across = np.array([-slope[1], slope[0]]) / np.hypot(*slope)
    origin = np.zeros(2)
    return Scale(float(distance(slope, origin)) / STEP, float(distance(across, origin)) / STEP)


def trail(bare: Bare, stood: Bare, stack: StackAdvice | None, target: Whiteness, rack: Rack) -> list[Point]:
    """Return where a source stands, and where its dials and each sheet of its stack take it, in steps.

    `stood` is the source with its dials set, the same as `bare` where there is nothing to set.
    The trail ends early where the light is no longer a white.
    """
    scale = scale_at(target)
    whites = [bare.white] if stood.white is bare.white else [bare.white, stood.white]
    points = [scale.at(MEGA / white.cct - MEGA / target.cct, white.duv - target.duv) for white in whites]
    light = stood.mean[0]
    for sheet in rack.find(stack.gels) if stack else []:
        light = light * rack.transmittances[sheet]
        cct, duv = (float(v) for v in cct_duv_of_uv(uv_of_xyz(light @ weights())))
        if not np.isfinite(cct):
            break
        points.append(scale.at(MEGA / cct - MEGA / target.cct, duv - target.duv))
    return points


def marks(target: Whiteness) -> list[Mark]:
    """Return the fractions that are marked on the axes: too warm, too cool, too green, too magenta."""
    scale, found = scale_at(target), []
    for name, mired in zip(("⅛", "¼", "½", "¾", "full"), words.CTO_FRACTIONS, strict=True):
        if name != "¾":
            found += [Mark(name, scale.at(mired, 0.0)), Mark(name, scale.at(-mired, 0.0))]
    for name, duv in zip(("⅛", "¼", "½", "¾", "full"), words.GREEN_FRACTIONS, strict=True):
        if name != "¾":
            found += [Mark(name, scale.at(0.0, duv)), Mark(name, scale.at(0.0, -duv))]
    return found
