"""A stack as it was predicted when it was hung, in place of what is predicted of it now."""

import numpy as np

from ...colour.observer.cct import uv_of_cct_duv
from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, xy_of_uv
from ...model import After, Predicted, StackAdvice
from ..cost.loss import chance_within
from ..readings.chromaticity import WhitePoint
from ..stacks.uncertainty import ROUND
from ..wording.ladder import Ladder
from .report import Aim, misses_of, rounded

_SAME_PLACE = 0.01
"""Misses that differ by less than this are equal: stored values are rounded. [step]"""


def as_predicted(
    entry: StackAdvice,
    then: Predicted,
    wanted: WhitePoint,
    tolerance: float,
    ladder: Ladder,
    left: float | None = None,
) -> StackAdvice:
    """Return an entry as it was predicted when it was hung, `left` steps from what was wanted then.

    The chance that was stated holds as long as white and tolerance are the same. Otherwise it is worked out
    from the uncertainty of the prediction, as if its scatter were round.
    """
    uv = uv_of_cct_duv(np.array(then.cct), np.array(then.duv))
    away = float(delta_uv_prime(uv, wanted.uv))
    x, y = (rounded(float(part), 5) for part in xy_of_uv(uv))
    # Light that was read behind it was never predicted.
    lux = then.lux if then.lux is not None or entry.read else entry.after.lux
    same = (
        left is not None
        and abs(away / STEP_DELTA_UV - left) < _SAME_PLACE
        and then.tolerance_steps == tolerance
    )
    within = (
        then.within
        if same and then.within is not None
        else _round_chance(then, away / STEP_DELTA_UV, tolerance)
    )
    light, off = (np.array([then.cct]), np.array([then.duv])), np.array([away])
    [miss] = misses_of(light, off, off / STEP_DELTA_UV, [Aim(wanted, tolerance, within)], ladder)
    return entry.model_copy(
        update={
            "after": After(cct=then.cct, duv=then.duv, x=x, y=y, lux=lux),
            "miss": miss,
            "within": rounded(within, 3),
            "uncertainty_steps": then.uncertainty_steps,
            "read": None,
        }
    )


def _round_chance(then: Predicted, away: float, tolerance: float) -> float:
    """Return the chance that a round scatter of a prediction's uncertainty lands within the tolerance."""
    variance = (then.uncertainty_steps / ROUND) ** 2 / 2.0
    place, one = np.array([[[away, 0.0]]]), np.ones(1)
    return float(chance_within(place, one, variance * np.eye(2)[None], tolerance)[0])
