"""Lamps on sale that may come in the place of another: where they land, and in which window they fit.

A lamp lands bare where it reads, behind a sheet where that is predicted; beside the white that is wanted.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import ceil, floor, sqrt

import numpy as np

from ...colour.observer.cct import cct_duv_of_uv, in_range, uv_of_cct_duv
from ...colour.observer.chromaticity import steps_apart
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...model import Kind, Reading, Refused, Source
from ..readings.chromaticity import WhitePoint, measure
from ..readings.dim_curve import InUse
from ..readings.steps import scale_at
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import predict_stacks, prepare_each

WEAK = ("1/8", "1/4")
"""The fractions of a sheet that a lamp may yet need."""
_FAMILIES = ("cto", "ctb", "plus green", "minus green")
TUBES = (Kind.FLUORESCENT, Kind.FLUORESCENT_TRIBAND)
_LEAST_KELVINS = 20.0
"""Nobody is asked for a narrower window. [K]"""
_CLOSER = 0.95
"""By so much a window shrinks until all its corners come in."""
_MOST_CLOSER = 24
"""So often at most: to a third."""
_ROUNDS = 3
"""So often the middle of a window behind a sheet is found more nearly: to a tenth of a step."""
_ANY = Source(name="Lamp", reading=Reading(cct=5000.0, duv=0.0))
_HALOGEN = (2800, 2900)
_BULBS = (2700, 3000, 3200, 4000, 5000, 5600, 6500)
_HEADS = (3200, 4300, 5600, 6000)
SOLD = dict.fromkeys(Kind, _BULBS) | {
    Kind.TUNGSTEN: tuple(sorted({*_HALOGEN, *_BULBS})),
    Kind.FLUORESCENT: (2700, 3000, 3200, 3500, 4000, 5000, 5600, 6500),
    Kind.FLUORESCENT_TRIBAND: (2700, 3000, 3200, 3500, 4000, 5000, 5600, 6500),
    Kind.DISCHARGE: _HEADS,
}
"""The CCTs that lamps come in, by the kind of the lamp that is there. [K] Common practice, no source.

What fits a tungsten lamp's holder is halogen or an LED bulb, a tube's a tube; a discharge head is exchanged
for another head. Only those come in 4 300 K: for that white a bulb of 4 000 K wants a sheet of CTB.
"""
SOLD_DOUBT = 3.0
"""How far a lamp usually reads from what it is sold as. [step] Our judgement."""


def duv_sold(cct: float) -> float:
    """Return the Duv that a lamp sold by a CCT [K] is meant to have.

    ANSI C78.377-2017, from memory: none below 2 870 K, above 57 700/T² − 44.6/T + 0.00854.
    """
    return 0.0 if cct < 2870.0 else 57700.0 / cct**2 - 44.6 / cct + 0.00854


def nearest_sold(wanted: WhitePoint, kind: Kind) -> tuple[int, float]:
    """Return the lamp on sale that is nearest to a white, by its CCT [K], and how far off it is [step].

    `kind` is that of the lamp in whose place it comes; it counts as it is meant to read.
    """
    away = {named: float(steps_apart(_uv_sold(named), wanted.uv)) for named in SOLD[kind]}
    named = min(away, key=lambda one: away[one])
    return named, away[named]


def _uv_sold(named: int) -> Array:
    return uv_of_cct_duv(np.array(float(named)), np.array(duv_sold(named)))


@dataclass(frozen=True)
class LampWindow:
    """What a lamp may read, low to high, so that it comes in behind a `gel`, or without where that is empty.

    CCT [K] and Duv. `sold` are the CCTs of lamps on sale that lie in it, as they are meant to read: without
    one there is nothing to ask for.
    """

    gel: str
    cct: tuple[float, float]
    duv: tuple[float, float]
    sold: tuple[int, ...]


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

    def come_in(self, named: Sequence[int], tolerance: float) -> list[int]:
        """Return which lamps on sale, by their CCTs [K], land near enough as they are meant to read."""
        read = [(MIRED_K / cct, duv_sold(cct)) for cct in named]
        return [
            cct
            for cct, at in zip(named, read, strict=True)
            if self.first_in(np.array([[at]]), tolerance) is not None
        ]

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


@lru_cache(maxsize=256)
def windows_of(
    cct: float, duv: float, tolerance: float, kind: Kind, gel_arrays: GelArrays, *, behind: bool = True
) -> tuple[LampWindow, ...]:
    """Return the windows for a white that is wanted, CCT [K] and Duv, within a tolerance [step].

    `kind` is that of the lamp that is there, in whose place another one comes.
    The first is without gel. With `behind`, the others are behind one weak sheet each, of those
    that are in use.
    """
    wanted = measure(Reading(cct=cct, duv=duv))
    sheets = [("", []), *((gel_arrays.names[k], [k]) for k in _weak(gel_arrays) if behind)]
    made_as = Kind.FLUORESCENT_TRIBAND if kind in TUBES else Kind.LED_WHITE
    found = [
        _window(name, LampsBehind(indices, wanted, made_as, gel_arrays), tolerance, SOLD[kind])
        for name, indices in sheets
    ]
    return tuple(one for one in found if one is not None)


def _weak(gel_arrays: GelArrays) -> Iterator[int]:
    """Yield the indices of the weak sheets in use: CTO and CTB, then green, the weakest first."""
    for family, fraction in product(_FAMILIES, WEAK):
        for index, name in enumerate(gel_arrays.names):
            there = gel_arrays.family_keys[index] == family and name.rpartition(" ")[2] == fraction
            if there and gel_arrays.ranked[index]:
                yield index


def _window(gel: str, behind: LampsBehind, tolerance: float, on_sale: Sequence[int]) -> LampWindow | None:
    """Return the window of a sheet; None where no lamp of its kind comes in behind it.

    Where no lamp is sold in the window around the middle, one is looked for that reaches to a lamp which is
    sold and comes in: a box leaves out much of the ellipse that it lies in.
    """
    middle = behind.middle()
    if middle is None:
        return None
    found = _box(gel, middle.mired, middle.duv, middle, behind, tolerance, on_sale)
    if found is None or found.sold:
        return found
    near = [named for named in on_sale if abs(MIRED_K / named - middle.mired) <= _reach(middle, tolerance)]
    for named, share in product(behind.come_in(near, tolerance), _TOWARDS):
        mired = middle.mired + share * (MIRED_K / named - middle.mired)
        duv = middle.duv + share * (duv_sold(named) - middle.duv)
        box = _box(gel, mired, duv, middle, behind, tolerance, on_sale)
        if box and named in box.sold:
            return box
    return found


_TOWARDS = (0.25, 0.5, 0.75, 1.0)
"""So far a window moves from its middle towards a lamp that is sold, the least first."""


def _reach(middle: WhitePoint, tolerance: float) -> float:
    """Return how far off [mired] a lamp may be that comes in: beyond, none is worth a prediction."""
    return 1.5 * tolerance / scale_at(middle).steps_per_mired


def _box(
    gel: str,
    mired: float,
    duv: float,
    middle: WhitePoint,
    behind: LampsBehind,
    tolerance: float,
    on_sale: Sequence[int],
) -> LampWindow | None:
    """Return the widest window around a light; None where that is too narrow, or does not come in."""
    scale = scale_at(middle)
    # A box within an upright ellipse touches it with its corners, at a share of 1/√2 of its axes. This one
    # leans, since Δu′v′ stretches v: so the box shrinks until the farthest corners touch.
    widest = tolerance / sqrt(2.0) / np.array([scale.steps_per_mired, scale.steps_per_duv])
    halves = widest * _CLOSER ** np.arange(_MOST_CLOSER)[:, None]
    corners = np.array(list(product((-1.0, 1.0), repeat=2)))
    fits = behind.first_in(np.array([mired, duv]) + halves[:, None] * corners, tolerance)
    if fits is None:
        return None
    along, across = halves[fits].tolist()
    low, high = MIRED_K / (mired + along), MIRED_K / (mired - along)
    cct = ceil(low / 10.0) * 10.0, floor(high / 10.0) * 10.0
    lowest, highest = ceil((duv - across) * 1e4 - 1e-6) / 1e4, floor((duv + across) * 1e4 + 1e-6) / 1e4
    if cct[1] - cct[0] < _LEAST_KELVINS or highest < lowest:
        return None
    near = (named for named in on_sale if cct[0] <= named <= cct[1])
    sold = tuple(named for named in near if lowest <= duv_sold(named) <= highest)
    return LampWindow(gel, cct, (lowest, highest), sold)
