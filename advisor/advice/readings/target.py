"""The white that a target means, and the white that a source is wanted at.

What is wanted warmer than a daylight white loses the green of daylight on the way, as the daylight locus does
down to 4 000 K, where it ends (CIE 15). A white below that is Planckian, as bulbs at 3 200 K are. So no clean
bulb is told to hang plus green for the green of a window.
"""

from collections.abc import Sequence
from functools import cache, lru_cache

import numpy as np

from ...colour.observer import loci
from ...colour.observer.cct import CCT_RANGE, DUV_LIMIT, cct_duv_of_uv, in_range, normal_at, uv_of_cct_duv
from ...colour.observer.data import Array
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
    return as_meant(target, white)


def as_meant(target: Target, white: WhitePoint) -> WhitePoint:
    """Return the white that `target` means beside that on its locus, or of the source that it matches.

    Raises Refused where its offset, or the camera's tint, leads too far from white.
    """
    off = target.duv_offset + target.tint / CC_PER_DUV
    if not off:
        return white
    where = "duv_offset" if target.duv_offset else "tint"
    return near_white(white.uv + off * normal_at(np.array(white.cct)), where, "the target")


def aimed(target: WhitePoint, aim: WantedOffset) -> WhitePoint:
    """Return the white that a source is wanted at: the target, warmer and greener by its aim (`offset`).

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
        if not aim.mired and not aim.duv:
            found.append(target)
            continue
        mired, duv = (float(v) for v in offset(np.array(target.mired), np.array(target.duv), aim))
        if in_range(mired, duv):
            uv = uv_of_cct_duv(np.array(MIRED_K / mired), np.array(duv))
            found.append(WhitePoint(uv, MIRED_K / mired, duv))
        else:
            found.append(_too_far_off(aim))
    return found


def offset(mired: Array, duv: Array, aim: WantedOffset) -> tuple[Array, Array]:
    """Return mired [MK⁻¹] and Duv of what an aim leads to, from whites (n,) of `mired` and `duv`.

    Of their green, what daylight of their CCT has goes along only as far as daylight of the wanted CCT has
    it. What is twice as green, or more, is no daylight, and keeps all.
    """
    wanted = mired + aim.mired
    there, here = _daylight_green(wanted), _daylight_green(mired)
    daylight = np.clip(np.minimum(duv, 2.0 * here - duv), 0.0, None)
    left = np.where(here > 0.0, np.minimum(there / np.where(here > 0.0, here, 1.0), 1.0), 1.0)
    return wanted, duv + aim.duv - daylight * (1.0 - (left if aim.mired > 0.0 else 1.0))


_TUNGSTEN = MIRED_K / 3200.0
"""From here on white is Planckian. [MK⁻¹] Tungsten heads are sold as 3 200 K: common practice, no source."""


def _daylight_green(mired: Array) -> Array:
    """Return the Duv of daylight (n,) at `mired` (n,); beyond its end it falls to none at 3 200 K."""
    return np.asarray(np.interp(mired, *_daylight_greens()))


@cache
def _daylight_greens() -> tuple[Array, Array]:
    low, high = (MIRED_K / end for end in loci.DAYLIGHT_RANGE)
    mireds = np.linspace(high, low, 64)
    greens = cct_duv_of_uv(loci.daylight_uv(np.clip(MIRED_K / mireds, *loci.DAYLIGHT_RANGE)))[1]
    return np.append(mireds, _TUNGSTEN), np.append(greens, 0.0)


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
