"""The white that a target means, and the white that a source is wanted at."""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from ...colour.observer import loci
from ...colour.observer.cct import CCT_RANGE, DUV_LIMIT, cct_duv_of_uv, in_range, normal_at, uv_of_cct_duv
from ...colour.observer.loci import CC_PER_DUV, MIRED_K
from ...model import Locus, Refused, Source, Target, WantedOffset
from ...model.basis.base import name_key
from ...model.basis.quantities import tidy
from .chromaticity import WhitePoint, measure, near_white
from .dim_levels import in_use


def white_of(target: Target, others: list[Source]) -> WhitePoint:
    """Return the white that `target` means, the camera's tint taken in.

    `others` are the sources that it may name. Raises Refused where it names none of them, or where its
    offset leads too far from white.
    """
    if target.source is not None:
        wanted = name_key(target.source)
        match = next((s for s in others if name_key(s.name) == wanted), None)
        if match is None:
            names = ", ".join(s.name for s in others) or "there are none yet"
            raise Refused.one(
                "source", f"no source here is called {target.source!r}", f"one of the sources: {names}"
            )
        try:
            white = measure(in_use(match).reading)
        except Refused as no:
            says = f"{match.name} cannot be matched: {no.problems[0].says}"
            raise Refused.one("source", says, "another target, or a better reading of that source") from None
    else:
        assert target.cct is not None, "the model asks for a CCT or a source"
        white = _on_locus(target.cct, target.locus)
    off = target.duv_offset + target.tint / CC_PER_DUV
    if not off:
        return white
    where = "duv_offset" if target.duv_offset else "tint"
    return near_white(white.uv + off * normal_at(np.array(white.cct)), where, "the target")


def aimed(target: WhitePoint, aim: WantedOffset) -> WhitePoint:
    """Return the white that a source is wanted at: the target, warmer and greener by its aim.

    Raises Refused where that is too far from white.
    """
    [white] = aimed_each(target, [aim])
    if isinstance(white, Refused):
        raise white
    return white


def aimed_each(target: WhitePoint, aims: Sequence[WantedOffset]) -> list[WhitePoint | Refused]:
    """Return the white of each aim, as `aimed` does; where that is too far from white, why."""
    found: list[WhitePoint | Refused] = []
    for aim in aims:
        mired, duv = MIRED_K / target.cct + aim.mired, target.duv + aim.duv
        if not aim.mired and not aim.duv:
            found.append(target)
        elif in_range(mired, duv):
            uv = uv_of_cct_duv(np.array(MIRED_K / mired), np.array(duv))
            found.append(WhitePoint(uv, MIRED_K / mired, duv))
        else:
            found.append(_too_far_off(aim))
    return found


def _too_far_off(aim: WantedOffset) -> Refused:
    low, high = CCT_RANGE
    says = f"{tidy(aim.mired)} mired and Duv {tidy(aim.duv)} from the target is too far from white"
    return Refused.one("aim", says, f"{tidy(low)} to {tidy(high)} K and a Duv within {tidy(DUV_LIMIT)}")


# Kept, since each cell of a test sheet asks for it.
@lru_cache(maxsize=4096)
def locus_duv(cct: float, locus: Locus) -> float | None:
    """Return the Duv of a locus at `cct` [K]; None where it does not reach."""
    [duvs] = locus_duvs([cct])
    return duvs.get(locus)


def locus_duvs(ccts: Sequence[float]) -> list[dict[Locus, float]]:
    """Return the Duv of each locus that reaches to each of the CCTs. [K]"""
    low, high = loci.DAYLIGHT_RANGE
    within = [cct for cct in ccts if low <= cct <= high]
    daylight = cct_duv_of_uv(loci.daylight_uv(np.array(within)))[1].tolist() if within else []
    known = dict(zip(within, daylight, strict=True))
    return [{Locus.PLANCKIAN: 0.0} | ({Locus.DAYLIGHT: known[cct]} if cct in known else {}) for cct in ccts]


def _on_locus(cct: float, locus: Locus) -> WhitePoint:
    if locus is Locus.PLANCKIAN:
        return WhitePoint(uv_of_cct_duv(np.array(cct), np.array(0.0)), cct, 0.0)
    return near_white(loci.daylight_uv(np.array(cct)), "cct", "the target")
