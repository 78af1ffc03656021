"""What a source reads bare that was only ever read behind gels: nobody takes them off to be advised.

A light of the source's kind is sought that looks behind the gels as it was read. Where labels lead to is the
beginning; then the spectra of the kind are bent to look so behind the gels, their mean without the gels is
where the next begin, and so on until that moves no more.
"""

from math import hypot

import numpy as np

from ...colour.chromaticity import STEP, distance, uv_of_xyz
from ...colour.grid import weights
from ...colour.loci import CC
from ...colour.sources import Unbendable, behind
from ...model import Reading, Refused, Source
from ...model.phrases import counted
from ..readings.behind_gels import read_behind
from ..readings.chromaticity import Whiteness, ensemble_of, measure, unread, white_at, white_with
from ..readings.dim_levels import InUse, held
from ..readings.steps import scale_at
from .gel_arrays import Rack

_ROUNDS, _STILL = 12, 0.05
"""At most so many times; and what moves by less is found. [step]"""
_KINDS_DOUBT = 0.05
"""What a lamp of another spectrum may be off by, as a share of the way through the gels: our judgement."""


def worked_out(source: Source, rack: Rack) -> InUse:
    """Return what a source reads bare by the newest reading behind gels that says so.

    Raises Refused where none does, as where its gels are no more in the table, or no lamp of its kind looks
    so behind them.
    """
    for reading in reversed(read_behind(source)):
        try:
            return _bare_of(source, reading, rack)
        except Refused:
            continue
    raise unread()


def _bare_of(source: Source, reading: Reading, rack: Rack) -> InUse:
    read, places = measure(reading), rack.find(reading.gels)
    sheets = rack.product(places)
    shift = float(rack.mired[places].sum()), float(rack.cc[places].sum()) / CC
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
        moved = float(distance(found.uv, white.uv)) / STEP
        white, passed = found, float(lit.mean @ (weights()[:, 1] * sheets))
        if moved < _STILL:
            break
    lux = held(reading.lux / passed) if reading.lux and passed > 0.0 else None
    bare = Reading(cct=white.cct, duv=white.duv, lux=lux, level=reading.level, modifier=reading.modifier)
    said = f"Worked out from what it read behind {counted(len(places), 'sheet')} of gel."
    return InUse(bare, (said,), _doubt(read, places, rack))


def _reads(source: Source, white: Whiteness) -> Source:
    return source.model_copy(update={"reading": Reading(cct=white.cct, duv=white.duv)})


def _doubt(read: Whiteness, places: list[int], rack: Rack) -> float:
    """Return how far off the bare light may be, by the gels' labels and by the lamp's spectrum. [Δu′v′]"""
    scale = scale_at(read)
    steps = np.array([hypot(*scale.at(float(rack.mired[i]), float(rack.cc[i]) / CC)) for i in places])
    off = np.nan_to_num(rack.percent[places], nan=0.0) / 100.0 * steps
    return float(np.hypot(np.linalg.norm(off), _KINDS_DOUBT * steps.sum())) * STEP
