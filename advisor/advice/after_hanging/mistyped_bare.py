"""A reading behind gels is far off: was the bare reading, from which it was predicted, typed wrong?

What may have been meant by the bare reading is tried as in `slip`: one digit, two digits swapped, the sign of
Duv or its decimal point. The stack is predicted anew from each. One of these predictions has to lie within
four steps and the stated doubt of what was read, and at most a third as far from it as the old one. Where the
CCT is the one that was typed wrong, the Duv behind the stack has to agree by itself.
"""

from collections.abc import Iterator
from dataclasses import replace

from ...colour.observer.cct import cct_duv_of_uv
from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...colour.observer.loci import MIRED_K
from ...model import Accuracy, Kind, Predicted, Reading, Refused
from ..learned.taken import differ
from ..readings.chromaticity import WhitePoint, whites_of
from ..readings.dim_curve import InUse
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, predicted_behind, prepare
from .slip import CLEARLY, DUV_AGREES, Slip, typed

_LEAST = 6.0
"""What is nearer than this to the prediction is not asked about, however small the stated doubt. [step]"""
_MEANT = 4.0
"""The farthest that what was meant may lead from what was read. [step] Sheets off their labels move as much:
our judgement."""
_MOST_MIRED = 80.0
"""A CCT that leads farther past what was read than this is not predicted at all. [MK⁻¹] By adding up."""


def mistyped_bare(
    bare: PreparedSource,
    gels: list[str],
    predicted: Predicted,
    white: WhitePoint,
    apart: float,
    allowed: float,
    gel_arrays: GelArrays,
    accuracy: Accuracy,
) -> Slip | None:
    """Return what was meant by the bare reading of a source, if that explains a reading behind `gels`.

    The reading is of a `white`, `apart` [step] from what was `predicted`, which may be `allowed` [step] off.
    None where it is near, where nothing explains it, where two bare readings agree, and for daylight, which
    moves as far by itself.
    """
    reading, daylight = bare.source.reading, bare.source.kind is Kind.DAYLIGHT
    if daylight or apart <= max(allowed, _LEAST) or reading.tested_at or _read_twice(bare, accuracy):
        return None
    indices = gel_arrays.find(gels)
    shift = MIRED_K / predicted.cct - bare.white.mired
    off: dict[float, Slip] = {}
    for meant in _meant(reading, white.mired - shift):
        try:
            there = reading.model_copy(update={"cct": meant.cct, "duv": meant.duv})
            source = bare.source.model_copy(update={"reading": there})
            uv = predicted_behind(prepare(source, gel_arrays, bare.wanted, InUse(there)), gel_arrays, indices)
        except Refused:
            continue
        if not meant.in_cct or abs(float(cct_duv_of_uv(uv)[1]) - white.duv) <= DUV_AGREES:
            off[float(delta_uv_prime(uv, white.uv)) / STEP_DELTA_UV] = meant
    if not off or min(off) > min(_MEANT, allowed, CLEARLY * apart):
        return None
    return replace(off[min(off)], of_bare=reading, away=min(off))


def _meant(reading: Reading, mired: float) -> Iterator[Slip]:
    """Yield what may have been meant by a bare reading, which should be of about so many mired."""
    for meant in typed(reading):
        if not meant.in_cct or abs(MIRED_K / meant.cct - mired) <= _MOST_MIRED:
            yield meant


def _read_twice(bare: PreparedSource, accuracy: Accuracy) -> bool:
    """Whether another bare reading says the same as the one that counts."""
    others = [one for one in bare.source.readings if not one.gels and one != bare.source.reading]
    return any(w is not None and not differ(w, bare.white, accuracy) for w in whites_of(others))
