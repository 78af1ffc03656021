"""A reading that is not as predicted: was it taken with the gel off, or typed wrong?

It was taken with the gel off if it lies near the bare head: within what is allowed, and at most a third as
far from it as from the prediction. The third is our judgement, as in `wrong_gel`. Where the light is known,
it may be no further off the bare head's than the prediction's, or than two readings differ.

For a typing error, one thing is changed at a time: the leading digit of the CCT, two neighbouring digits, the
sign of Duv, or its decimal point. The result has to meet the prediction to two steps, and in light too, if
both are known. Where it is the CCT, the Duv has to be what was predicted by itself: nobody typed that wrong
too. Later digits are not tried: they would explain any lamp that drifted.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations

import numpy as np

from ...colour.observer.cct import in_range, uv_of_cct_duv
from ...colour.observer.chromaticity import steps_apart
from ...colour.observer.loci import MIRED_K
from ...model import Predicted, Reading
from ..readings.chromaticity import WhitePoint

CLEARLY = 1 / 3
"""What explains a reading leads nearer to it than the prediction by this share. Our judgement."""
_MEANT = 2.0
"""The farthest that a corrected reading may be from the prediction. [step] Our judgement."""
_A_SIGN, _A_POINT = 0.002, 0.015
"""The least |Duv| at which a wrong sign, or a wrong decimal point, can be told. Our judgement."""
_LIGHT = 0.2
"""Two readings of one light may differ so far. [stop] From memory."""
DUV_AGREES = 0.002
"""The farthest that the Duv beside a mistyped CCT may be from the predicted one: two meters' doubt of 0.001.

Our judgement.
"""


class Slips(StrEnum):
    """What went wrong."""

    DIGIT = "one digit"
    SWAPPED = "two digits"
    SIGN = "sign"
    POINT = "decimal point"
    BARE = "bare"


@dataclass(frozen=True)
class Slip:
    """What would explain a reading: what went wrong, and the CCT [K] and Duv that were meant.

    `of_bare` is the bare reading that was typed wrong, where it is that one. `away` [step] is how far what
    was meant is from what explains it.
    """

    what: Slips
    cct: float
    duv: float
    of_bare: Reading | None = None
    away: float = 0.0

    @property
    def in_cct(self) -> bool:
        """Whether it is the CCT that was typed wrong, and not the Duv."""
        return self.what in (Slips.DIGIT, Slips.SWAPPED)


def slip(
    found: Reading,
    white: WhitePoint,
    bare: WhitePoint,
    predicted: Predicted,
    apart: float,
    allowed: float,
    bare_lux: float | None = None,
) -> Slip | None:
    """Return the slip that best explains the reading `found`, with its `white`; None if none clearly does.

    `apart` [step] is how far the reading lies from the prediction, `allowed` [step] how far it may. `bare` is
    the white of the head without its gels, `bare_lux` [lx] its illuminance.
    """
    off_bare = float(steps_apart(white.uv, bare.uv))
    unlike = found.gels_checked or _as_dark_as_gelled(found.lux, predicted.lux, bare_lux)
    if found.gels and not unlike and off_bare <= min(allowed, CLEARLY * apart):
        return Slip(Slips.BARE, bare.cct, bare.duv)
    if found.lux and predicted.lux and abs(float(np.log2(found.lux / predicted.lux))) > _LIGHT:
        return None
    return nearest(typed(found), predicted, min(_MEANT, allowed, CLEARLY * apart))


def nearest(meant: Sequence[Slip], predicted: Predicted, within: float) -> Slip | None:
    """Return what leads nearest to a prediction, of all that may have been meant.

    None if nothing leads `within` that distance of it [step]. The Duv beside a mistyped CCT has to agree.
    """
    meant = [one for one in meant if not one.in_cct or abs(one.duv - predicted.duv) <= DUV_AGREES]
    if not meant:
        return None
    ccts, duvs = np.array([(one.cct, one.duv) for one in meant] + [(predicted.cct, predicted.duv)]).T
    uv = uv_of_cct_duv(ccts, duvs)
    away = steps_apart(uv[:-1], uv[-1])
    best = int(away.argmin())
    return replace(meant[best], away=float(away[best])) if away[best] <= within else None


def _as_dark_as_gelled(lux: float | None, predicted: float | None, bare: float | None) -> bool:
    """Whether a light is too dark to be the bare head's, and nearer to what was predicted behind the gels."""
    if not (lux and predicted and bare):
        return False
    from_gelled, from_bare = (abs(float(np.log2(lux / other))) for other in (predicted, bare))
    return from_bare > max(from_gelled, _LIGHT)


def typed(found: Reading, *, any_two: bool = False) -> list[Slip]:
    """Return what may have been meant by a reading of CCT and Duv that was typed.

    With `any_two`, any two digits may have been swapped, and not neighbours alone.
    """
    if found.cct is None or found.duv is None or found.spectrum is not None:
        return []
    digits, duv = f"{found.cct:.0f}", found.duv
    ccts = {float(f"{first}{digits[1:]}"): Slips.DIGIT for first in "123456789"}
    for i, k in combinations(range(len(digits)), 2):
        if k > i + 1 and not any_two:
            continue
        swapped = [*digits]
        swapped[i], swapped[k] = swapped[k], swapped[i]
        if swapped[0] != "0":
            ccts[float("".join(swapped))] = Slips.SWAPPED
    duvs = {-duv: Slips.SIGN} if abs(duv) >= _A_SIGN else {}
    if abs(duv) >= _A_POINT:
        duvs[duv / 10.0] = Slips.POINT
    every = [Slip(what, cct, duv) for cct, what in ccts.items() if cct != float(digits)]
    every += [Slip(what, found.cct, other) for other, what in duvs.items() if other != duv]
    ccts_meant, duvs_meant = np.array([(one.cct, one.duv) for one in every]).reshape(-1, 2).T
    able = in_range(MIRED_K / ccts_meant, duvs_meant)
    return [one for one, there in zip(every, able, strict=True) if there]
