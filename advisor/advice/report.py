"""Numbers into the shapes that the API answers with, and the words beside them."""

import numpy as np

from ..colour.cct import CCT_RANGE, DUV_LIMIT, cct_duv_of_uv
from ..colour.chromaticity import STEP, distance
from ..colour.loci import MEGA
from ..colour.predict import stops
from ..model import After, Miss, Shift, StackAdvice, White
from . import words
from .measure import Whiteness
from .prediction import Bare, Outcomes
from .rack import Rack
from .stacks import NONE, Indices


def needed(white: Whiteness, target: Whiteness) -> Shift:
    """Return the shift that carries a white to the target."""
    mired, duv = MEGA / target.cct - MEGA / white.cct, target.duv - white.duv
    return Shift(
        mired=round(mired, 2), duv=round(duv, 6), cc=round(1000 * duv, 2), words=words.shift(mired, duv)
    )


def stack_reports(
    bare: Bare, rack: Rack, stacks: Indices, outcomes: Outcomes, places: list[int], target: Whiteness
) -> list[StackAdvice]:
    """Report what the stacks (m, w) at some `places` do to a source, in the order of the places."""
    whites = zip(*cct_duv_of_uv(outcomes.uv[places]), strict=True)
    return [
        _stack_report(bare, rack, stacks[k], outcomes, k, float(cct), float(duv), target)
        for k, (cct, duv) in zip(places, whites, strict=True)
    ]


def _stack_report(
    bare: Bare,
    rack: Rack,
    stack: Indices,
    outcomes: Outcomes,
    k: int,
    cct: float,
    duv: float,
    target: Whiteness,
) -> StackAdvice:
    gels = [int(i) for i in stack if i != NONE]
    passed, lux, seen = float(outcomes.passed[k]), bare.source.reading.lux, np.isfinite(cct)
    return StackAdvice(
        gels=[rack.names[i] for i in gels],
        layers=len(gels),
        stops=round(float(stops(outcomes.passed[k])), 4) + 0.0,
        after=After(
            cct=round(cct, 2) if seen else None,
            duv=round(duv, 6) if seen else None,
            lux=None if lux is None else round(lux * passed, 2),
        ),
        miss=_miss(cct, duv, float(distance(outcomes.uv[k], target.uv)), target),
        uncertainty_steps=None,
        nominal=_nominal(bare.white, float(rack.mired[gels].sum()), float(rack.cc[gels].sum())),
    )


def _miss(cct: float, duv: float, du_v: float, target: Whiteness) -> Miss:
    steps = du_v / STEP
    if not np.isfinite(cct):
        return Miss(
            mired=None, duv=None, du_v=round(du_v, 6), steps=round(steps, 3), words="no longer a white"
        )
    mired, off = MEGA / target.cct - MEGA / cct, target.duv - duv
    return Miss(
        mired=round(mired, 2),
        duv=round(off, 6),
        du_v=round(du_v, 6),
        steps=round(steps, 3),
        words=words.left_over(steps, mired, off),
    )


def _nominal(white: Whiteness, mired: float, cc: float) -> White:
    """Add labels up, as arithmetic does: exact only for Planckian light and ideal filters."""
    total, duv = MEGA / white.cct + mired, white.duv + cc / 1000
    low, high = CCT_RANGE
    if not MEGA / high <= total <= MEGA / low or abs(duv) > DUV_LIMIT:
        return White(cct=None, duv=None)
    return White(cct=round(MEGA / total, 2), duv=round(duv, 6))
