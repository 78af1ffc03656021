"""A reading that is not as predicted: is another fraction of one of the gels hung by mistake?

The test exchanges one gel of the stack for another fraction of its family, or for as much of the opposite
green. Or it leaves one of several out. Then it predicts again. The new prediction has to be within what is
allowed of the reading, and at most a third as far from it as the plan's own prediction. If illuminances are
known, its light may be no further off than the plan's, or no further than two readings of one light differ.
The third is our judgement: lamps drift, and a drift that looks a little like a fraction is no mistake. A gel
that is not in use, or of which there is no sheet, is named only where no other explains the reading.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.cct import cct_duv_of_uv
from ...colour.observer.chromaticity import steps_apart, uv_of_xyz
from ...colour.observer.grid import weights
from ...colour.observer.loci import CC_PER_DUV, MIRED_K
from ...model import Kind, Predicted, Reading, Work
from ...model.basis.quantities import tidy
from ...model.sets.phrases import listed, measured
from ...model.sets.reading import LINED
from ..dials.ranking import standing
from ..readings.chromaticity import WhitePoint
from ..readings.shape import shape_of
from ..stacks.enumerate import NONE
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, stacked
from .slip import DUV_AGREES

_CLEARLY = 1 / 3
_GREEN_ALONE, _ALIKE = 1.0, 0.2
"""A gel for green moves the light by fewer MK⁻¹ than this; its opposite is as strong, to a fifth.

Our judgement.
"""
_LINES_DO = 1.5
"""Up to so many times the stated doubt such a lamp is likelier than a gel for green that is weaker or not up:
one reading in ten lies beyond the doubt, and fewer sheets are hung wrong. Our judgement."""
_LIGHT = 0.2
"""Two readings of one light may differ so far. [stop] From memory."""


@dataclass(frozen=True)
class Mistake:
    """Another fraction that explains a reading: the gel `instead` of the one of the stack, `of`.

    `instead` is empty where `of` is not up, beside the others of its stack.
    `reads` says how the reading differs from what was predicted: “24 mired warmer and 0.3 stop brighter”.
    `on_truck` is whether the gel `instead` is in use, and there are sheets of it. `or_sky` is true of
    daylight, which moves as far by itself, `or_lines` of a gel for green that does less than
    its label says, on a lamp that may have narrow lines. `away` [step] is how far the reading is from its.
    """

    instead: str
    of: str
    reads: str
    on_truck: bool = True
    or_sky: bool = False
    or_lines: bool = False
    away: float = 0.0


def mistake(
    bare: PreparedSource,
    work: Work,
    predicted: Predicted,
    found: Reading,
    white: WhitePoint,
    apart: float,
    allowed: float,
    gel_arrays: GelArrays,
    *,
    any_family: bool = False,
) -> Mistake | None:
    """Return the exchange of one fraction that explains best what was `found`; None where none clearly does.

    It is None, too, if somebody has looked at what hung. `apart` [step] is how far the reading lies from the
    prediction, `allowed` [step] how far it may. With `any_family`, any gel on the truck may have hung.
    """
    if found.gels_checked:
        return None
    stood = standing(bare, work.dial).mean[0]
    hung = gel_arrays.find(work.gels)
    light = float((stood * gel_arrays.product(hung)) @ weights()[:, 1])
    off = _stops(found.lux, predicted.lux)
    there = (gel_arrays.ranked | gel_arrays.dimming) & gel_arrays.on_truck
    families = gel_arrays.family_keys
    swaps = [
        (k, other)
        for k, gel in enumerate(hung)
        for other in np.flatnonzero(
            there if any_family else (families == families[gel]) | _opposite_green(gel, gel_arrays)
        ).tolist()
        if other not in hung
    ]
    swaps += [(k, NONE) for k in _each_once(hung)] if len(hung) > 1 and not any_family else []
    if not swaps:
        return None
    stacks = np.array([[*hung[:k], other, *hung[k + 1 :]] for k, other in swaps])
    behind = (stood * stacked(gel_arrays.transmittances, stacks)) @ weights()
    there_uv = uv_of_xyz(behind)
    away = steps_apart(there_uv, white.uv)
    able = away <= min(allowed, _CLEARLY * apart)
    if any_family:  # so many gels are tried that one comes near by chance: its green has to agree as well
        able[able] = np.abs(cct_duv_of_uv(there_uv[able])[1] - white.duv) <= DUV_AGREES
    if off is not None:
        near = np.flatnonzero(able)
        able[near] = np.abs(off - np.log2(behind[near, 1] / light)) <= max(abs(off), _LIGHT)
    missing = np.array([other != NONE and not there[other] for _, other in swaps])
    order = [i for i in np.lexsort((away, missing)) if able[i]]
    if not order:
        return None
    k, other = swaps[order[0]]
    instead, of = "" if other == NONE else gel_arrays.names[other], gel_arrays.names[hung[k]]
    reads, daylight = _reads(predicted, white, off), bare.source.kind is Kind.DAYLIGHT
    there_too = not missing[order[0]]
    takes = float(gel_arrays.cc[hung[k]])
    weaker = other == NONE or gel_arrays.cc[other] * np.sign(takes) < abs(takes)
    green = abs(gel_arrays.mired[hung[k]]) < _GREEN_ALONE
    unseen = shape_of(bare.source) is None
    lines = bool(weaker and green) and unseen and bare.source.kind in LINED
    if lines and apart <= _LINES_DO * allowed:
        return None
    return Mistake(
        instead,
        of,
        reads,
        on_truck=there_too,
        or_sky=daylight,
        or_lines=lines,
        away=float(away[order[0]]),
    )


def _each_once(hung: Sequence[int]) -> list[int]:
    """Return where in a stack each of its gels is first."""
    return [k for k, gel in enumerate(hung) if gel not in hung[:k]]


def _opposite_green(gel: int, gel_arrays: GelArrays) -> NDArray[np.bool_]:
    """Say which gels of the table (n,) take out as much green as a gel adds, or add as much as it takes out.

    Plus and minus green of one fraction lie side by side in the case, and look alike in the dark.
    """
    only_green = (gel_arrays.cc != 0.0) & (np.abs(gel_arrays.mired) < _GREEN_ALONE)
    alike = np.isclose(gel_arrays.cc, -gel_arrays.cc[gel], rtol=_ALIKE)
    return np.asarray(only_green & only_green[gel] & alike)


def _stops(lux: float | None, predicted: float | None) -> float | None:
    return float(np.log2(lux / predicted)) if lux and predicted else None


def _reads(predicted: Predicted, white: WhitePoint, off: float | None) -> str:
    """Say how a reading differs from what was predicted, leaving out what nobody would tell."""
    mired, green = MIRED_K / white.cct - MIRED_K / predicted.cct, CC_PER_DUV * (white.duv - predicted.duv)
    parts = []
    if abs(mired) >= 3 or abs(green) < 1:
        parts.append(f"{tidy(abs(mired), 0)} mired {'warmer' if mired > 0 else 'cooler'}")
    if abs(green) >= 1:
        parts.append(f"{tidy(abs(green), 0)} CC {'greener' if green > 0 else 'more magenta'}")
    if off is not None and abs(off) >= 0.1:
        parts.append(f"{measured(abs(off), 'stop')} {'brighter' if off > 0 else 'darker'}")
    return listed(parts)
