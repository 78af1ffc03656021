"""What a source reads bare that was only ever read behind gels: nobody takes them off to be advised.

A light of the source's kind is sought that looks behind the gels as it was read. It begins where the labels
lead to. In each round the spectra of the kind are bent to look so behind the gels, and the next round begins
at their mean without the gels. It ends once that mean moves no more.
"""

from dataclasses import replace
from math import hypot

import numpy as np

from ...colour.observer.chromaticity import STEP_DELTA_UV, steps_apart, uv_of_xyz
from ...colour.observer.grid import weights
from ...colour.observer.loci import CC_PER_DUV
from ...colour.spectra.sources import Unbendable, behind
from ...model import Reading, Refused, Source
from ...model.sets.behind import conditions_of, read_behind, stand_in_use
from ...model.sets.phrases import counted
from ..readings.chromaticity import WhitePoint, held, measure, unread, white_at, white_with
from ..readings.dim_curve import DOUBT_ALONE, InUse
from ..readings.shape import ensemble_of
from ..readings.steps import scale_at
from .gel_arrays import GelArrays

_ROUNDS, _STILL = 12, 0.05
"""At most so many times; and what moves by less is found. [step]"""
_KINDS_DOUBT = 0.05
"""What a lamp of another spectrum may be off by, as a share of the way through the gels: our judgement."""


def worked_out(source: Source, gel_arrays: GelArrays) -> InUse:
    """Return what a source reads bare by the newest reading behind gels that says so.

    Raises Refused where none does, as where its gels are no more in the table, or no lamp of its kind looks
    so behind them.
    """
    for reading in reversed(read_behind(source)):
        try:
            return _bare_of(source, reading, gel_arrays)
        except Refused:
            continue
    raise unread()


def seen_there(source: Source, use: InUse, gel_arrays: GelArrays) -> InUse:
    """Return what a source reads that was read at its level behind gels alone: as worked out from those.

    Any other is as it is in `use`. A bare reading at another level says less of it.
    """
    unread = use.doubt >= DOUBT_ALONE and source.test is None and source.reach is None
    if not unread or source.level is None or source.reading.level is None:
        return use
    used = stand_in_use(source)
    there = [r for r in read_behind(source) if r.level == source.level and conditions_of(r).agrees(used)]
    if not there:
        return use
    try:
        found = worked_out(source.model_copy(update={"readings": there, "work": None}), gel_arrays)
    except Refused:
        return use
    bare = found.reading.model_copy(update={"lux": None})  # how bright it is bare there, nobody read
    return replace(found, reading=bare, source=source.model_copy(update={"reading": bare}))


def _bare_of(source: Source, reading: Reading, gel_arrays: GelArrays) -> InUse:
    read, indices = measure(reading), gel_arrays.find(reading.gels)
    sheets = gel_arrays.product(indices)
    shift = float(gel_arrays.mired[indices].sum()), float(gel_arrays.cc[indices].sum()) / CC_PER_DUV
    white = white_with(read.mired - shift[0], read.duv - shift[1], "reading", "the light without its gels")
    passed = 0.0
    for _ in range(_ROUNDS):
        try:
            lit = behind(ensemble_of(_reads(source, white), white), sheets, read.uv)
        except Unbendable:
            raise unread() from None
        found = white_at(uv_of_xyz(lit.mean @ weights()))
        if found is None:
            raise unread()
        moved = float(steps_apart(found.uv, white.uv))
        white, passed = found, float(lit.mean @ (weights()[:, 1] * sheets))
        if moved < _STILL:
            break
    lux = held(reading.lux / passed) if reading.lux and passed > 0.0 else None
    bare = Reading(cct=white.cct, duv=white.duv, lux=lux, level=reading.level, modifier=reading.modifier)
    bare = bare.model_copy(update={"as_far": reading.as_far, "lux_as_far": reading.lux_as_far})
    said = f"Worked out from what it read behind {counted(len(indices), 'sheet')} of gel."
    return InUse(bare, (said,), _doubt(read, indices, gel_arrays))


def _reads(source: Source, white: WhitePoint) -> Source:
    return source.model_copy(update={"reading": Reading(cct=white.cct, duv=white.duv)})


def _doubt(read: WhitePoint, indices: list[int], gel_arrays: GelArrays) -> float:
    """Return how far off the bare light may be, by the gels' labels and by the lamp's spectrum. [Δu′v′]"""
    scale = scale_at(read)
    steps = np.array(
        [hypot(*scale.at(float(gel_arrays.mired[i]), float(gel_arrays.cc[i]) / CC_PER_DUV)) for i in indices]
    )
    off = np.nan_to_num(gel_arrays.percent[indices], nan=0.0) / 100.0 * steps
    return float(np.hypot(np.linalg.norm(off), _KINDS_DOUBT * steps.sum())) * STEP_DELTA_UV
