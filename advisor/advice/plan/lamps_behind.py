"""Where lamps that may come in the place of another land behind a sheet, beside the white that is wanted."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...colour.observer.cct import cct_duv_of_uv, in_range, uv_of_cct_duv
from ...colour.observer.chromaticity import steps_apart
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...model import Kind, Reading, Refused, Source
from ..readings.chromaticity import WhitePoint, measure
from ..readings.dim_curve import InUse
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import predict_stacks, prepare_each

_ROUNDS = 3
"""So often the middle of a window behind a sheet is found more nearly: to a tenth of a step."""
_ANY = Source(name="Lamp", reading=Reading(cct=5000.0, duv=0.0))


@dataclass(frozen=True, eq=False)
class LampsBehind:
    """Lamps of a kind behind gels, by their `indices` in the table, beside the white that is wanted."""

    indices: Sequence[int]
    wanted: WhitePoint
    kind: Kind
    gel_arrays: GelArrays

    def middle(self) -> WhitePoint | None:
        """Return what a bare lamp reads that lands where it is wanted; None where no white does.

        The sheet's own shift hardly changes from a lamp to its neighbour, so a few rounds find it.
        """
        wanted = self.wanted
        mired, duv = wanted.mired, wanted.duv
        for _ in range(_ROUNDS if self.indices else 0):
            [landed] = self._landed([(mired, duv)])
            if landed is None:
                return None
            cct, there = (float(value) for value in cct_duv_of_uv(landed))
            if not np.isfinite(cct):
                return None
            mired, duv = mired + wanted.mired - MIRED_K / cct, duv + wanted.duv - there
        if not in_range(mired, duv):
            return None
        try:
            return measure(Reading(cct=MIRED_K / mired, duv=duv))
        except Refused:
            return None

    def first_in(self, groups: Array, tolerance: float) -> int | None:
        """Return the first group of lamps, (n, k, 2) by mired and Duv, of which each lands near enough.

        Near enough is within a `tolerance` [step]. A group with lamps that there cannot be does not count;
        None where none does.
        """
        able = np.asarray(in_range(groups[..., 0], groups[..., 1]).all(axis=1))
        if not self.indices:  # a bare lamp lands where it reads, so only those near enough are looked for
            mired, duv = groups[able, :, 0], groups[able, :, 1]
            near = steps_apart(uv_of_cct_duv(MIRED_K / mired, duv), self.wanted.uv)
            able[able] = near.max(axis=1, initial=0.0) <= tolerance
        for k in np.flatnonzero(able).tolist():
            landed = [uv for uv in self._landed(groups[k]) if uv is not None]
            whole = len(landed) == len(groups[k])
            if whole and steps_apart(np.array(landed), self.wanted.uv).max() <= tolerance:
                return int(k)
        return None

    def _landed(self, read: Sequence[tuple[float, float]] | Array) -> list[Array | None]:
        found: list[Array | None] = [None] * len(read)
        able = np.flatnonzero(in_range(*np.array(read).T)).tolist()
        uses = [InUse(lamp.reading, source=lamp) for lamp in (_lamp(self.kind, *read[k]) for k in able)]
        made = prepare_each([(use.source or _ANY, use) for use in uses], self.gel_arrays, self.wanted)
        bares = {k: bare for k, bare in zip(able, made, strict=True) if not isinstance(bare, Refused)}
        if self.indices and bares:
            stack = np.array([self.indices], dtype=np.intp)
            behind = predict_stacks(list(bares.values()), self.gel_arrays, stack)
            uv = [outcomes.uv[0] for outcomes in behind]
        else:
            uv = [bare.white.uv for bare in bares.values()]
        for k, there in zip(bares, uv, strict=True):
            found[k] = there
        return found


def _lamp(kind: Kind, mired: float, duv: float) -> Source:
    reading = Reading(cct=MIRED_K / mired, duv=duv)
    return Source.model_construct(**{**dict(_ANY), "kind": kind, "reading": reading})
