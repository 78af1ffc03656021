"""The whites that the plans go to: the one that was held, the one to follow, and those of a camera."""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from pydantic import ValidationError

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...colour.observer.loci import CC_PER_DUV
from ...model import Locus, Refused, Source, Target, refuse
from ...model.basis.base import name_key
from ..common_white.grid import grid
from ..readings.chromaticity import WhitePoint, measure, white_at
from ..readings.target import white_of
from .standing import Standing

_CHANGED = 1.0
"""Two readings farther apart are of two lights: the difference is just visible. [step]"""


def frozen(white: WhitePoint, tint: float = 0.0) -> Target:
    """Return a target fixed at a white, whatever a source reads later; the camera keeps its `tint` [CC].

    Raises Refused where that is no target.
    """
    duv = round(white.duv - tint / CC_PER_DUV, 5)
    try:
        return Target(cct=round(white.cct, 1), locus=Locus.PLANCKIAN, duv_offset=duv, tint=tint)
    except ValidationError as error:
        raise refuse(error) from None


def held(source: Source, others: Sequence[Standing]) -> WhitePoint | None:
    """Return the white that `others` were matched to, of the earlier readings of the source they match.

    It is the one that leaves them least beyond their tolerances; of equal ones the newest. None where no
    earlier reading is of another light.
    """
    now = measure(source.reading)
    whites: list[WhitePoint] = []
    for reading in source.bare_readings[:-1]:
        try:
            white = measure(reading)
        except Refused:
            continue
        if float(delta_uv_prime(white.uv, now.uv)) > _CHANGED * STEP_DELTA_UV:
            whites.append(white)
    if not whites:
        return None
    whites.reverse()
    return min(whites, key=lambda white: total_beyond(others, white))


def matched_before(
    former: Target, sources: list[Source], hung: Sequence[Standing]
) -> tuple[Target, WhitePoint]:
    """Return the white that a set was matched to while `former` was its target.

    If that matches a source, which may have been read anew since, it is what the source read then: of its
    readings the one that leaves what is `hung` least beyond its tolerances. Raises Refused for no white.
    """
    now = white_of(former, sources)
    key = "" if former.source is None else name_key(former.source)
    matched = next((one for one in sources if name_key(one.name) == key), None)
    others = [one for one in hung if name_key(one.name) != key]
    before = held(matched, others) if matched and others else None
    if before is None or total_beyond(others, before) >= total_beyond(others, now):
        return former, now
    goal = frozen(before, former.tint)
    return goal, white_of(goal, [])


def total_beyond(heads: Sequence[Standing], white: WhitePoint) -> float:
    """Return by how much heads, as they hang, are beyond their tolerances at a white. [step]"""
    found = 0.0
    for one in heads:
        wanted = one.wanted(white)
        if wanted is not None:
            found += float(one.beyond(one.away(wanted.uv[None]))[0, 0])
    return round(found, 6)


def light_now(one: Standing) -> WhitePoint | None:
    """Return the light of a source as it hangs, its aim not counted; None where that is no white."""
    return white_at(one.uv[0])


@lru_cache(maxsize=32)
def camera_whites(tint: float) -> tuple[tuple[Target, WhitePoint], ...]:
    """Return the whites that a camera offers, 10 000 to 2 500 K, at the tint that it has. [CC]

    They lie on the daylight locus from 4 000 K and on the Planckian locus below, 5 MK⁻¹ apart.
    """
    whites, found = grid(), []
    plain = np.flatnonzero(whites.tint == 0.0)
    daylight = {float(whites.cct[i]) for i in plain if whites.loci[i] is Locus.DAYLIGHT}
    for i in plain:
        cct = float(whites.cct[i])
        if whites.loci[i] is Locus.PLANCKIAN and cct in daylight:
            continue
        target = Target(cct=cct, locus=whites.loci[i], tint=tint)
        try:
            found.append((target, white_of(target, [])))
        except Refused:
            continue
    return tuple(found)
