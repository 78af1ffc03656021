"""How often what is listed truly lands within the tolerance, against the chance that was stated.

Each lamp is brought to two targets with the sixteen gels in up to two layers, by the product's whole ranking.
The rows say that they are generic, so the advisor knows only what the trade reckons with; the sheets that
really hang are off their labels by as much: each by a strength of its own, a normal scatter of which nine in
ten lie within the row's per cent, drawn several times. A sheet of strength s has the transmittance T to the
power s (Bouguer–Lambert–Beer).

What comes of one lamp hangs together: its spectrum is the same behind every gel, set of dyes and draw. How
far a share may be off by the choice of the lamps is therefore found by drawing lamps anew, not stacks: the
bootstrap by clusters (Efron, B. 1979, Ann. Statist. 7(1); Davison, A. C. and Hinkley, D. V. 1997, section
3.8; both from memory).
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from advisor.advice.answer.advise import advise_on
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from advisor.colour.observer.data import Array
from advisor.model import Known, Limits
from advisor.model.sets.lightset import EXACT
from tests.accuracy.filters import DyeSet, filters
from tests.accuracy.lamps import Lamp, uv_at_1_nm
from tests.accuracy.regret import TARGETS
from tests.accuracy.trials import Knows, bare_of

TOLERANCE = 3.0
"""The tolerance asked for. [step]"""
_DRAWS = 4
_LAYERS = 2
_BATCH = 16
_NINE_IN_TEN = 1.645
"""Standard deviations that hold 90 % of a normal scatter."""


class Chances(NamedTuple):
    """What was stated of stacks, and what came of them, each (n,).

    `first` says which stood first in their lists, `off` how far the true light is from the target [step], and
    `lamp` the row of the lamp.
    """

    stated: Array
    off: Array
    first: Array
    lamp: Array

    @property
    def odd(self) -> NDArray[np.bool_]:
        """Whether the lamp is of an odd row."""
        return self.lamp % 2 == 1


class Tenth(NamedTuple):
    """A tenth of stated chance: the mean `stated`, the share truly `within`, `count` stacks of so many lamps.

    `error` is the standard error, by lamp, of what came less what was stated; NaN with fewer than two lamps.
    """

    stated: float
    within: float
    count: int
    lamps: int
    error: float


def chances(lamps: Sequence[Lamp], dye_sets: Sequence[DyeSet], seed: int = 0) -> Chances:
    """Rank for every lamp, set of dyes and target, and hang what is listed."""
    rng = np.random.default_rng([15, seed])
    found: list[tuple[float, float, bool, int]] = []
    for dyes in dye_sets:
        gels = filters(dyes)
        rows = tuple(row.model_copy(update={"known": Known.GENERIC}) for row in gels.rows)
        gel_arrays = gel_arrays_of(rows)
        order = [[row.name for row in rows].index(name) for name in gel_arrays.names]
        sheets, spread = gels.transmittances[order], gel_arrays.percent / 100.0 / _NINE_IN_TEN
        for target in TARGETS:
            white = white_of(target, [])
            limits = Limits(tolerance_steps=TOLERANCE, max_layers=_LAYERS, accuracy=EXACT)
            for start in range(0, len(lamps), _BATCH):
                some = lamps[start : start + _BATCH]
                bares = [bare_of(lamp, gel_arrays, white, Knows.READING) for lamp in some]
                for lamp, answer in zip(some, advise_on(bares, limits, gel_arrays).answers, strict=True):
                    strengths = 1.0 + spread * rng.standard_normal((_DRAWS, len(spread)))
                    for place, stack in enumerate(answer.stacks):
                        at = gel_arrays.find(stack.gels)
                        passed = np.prod(sheets[at] ** strengths[:, at, None], axis=1)
                        off = delta_uv_prime(uv_at_1_nm(lamp.power * passed), white.uv) / STEP_DELTA_UV
                        found += [(stack.within, float(o), place == 0, lamp.number) for o in off]
    stated, off, first, lamp = np.array(found).T
    return Chances(stated, off, first.astype(bool), lamp.astype(np.intp))


def tenths(found: Chances, chosen: Array) -> list[Tenth]:
    """Return the ten tenths of stated chance over the stacks chosen (n,)."""
    return by_tenth(found.stated[chosen], found.off[chosen] <= TOLERANCE, found.lamp[chosen])


def by_tenth(stated: Array, within: Array, lamp: Array) -> list[Tenth]:
    """Return the ten tenths of the chance `stated` (n,) of what came to be `within` or not, by `lamp`."""
    bins = np.minimum((stated * 10).astype(int), 9)
    return [_tenth(stated[here], within[here], lamp[here]) for here in (bins == k for k in range(10))]


def _tenth(stated: Array, within: Array, lamp: Array) -> Tenth:
    if not len(stated):
        return Tenth(np.nan, np.nan, 0, 0, np.nan)
    error = standard_error(within - stated, lamp)
    return Tenth(float(stated.mean()), float(within.mean()), len(stated), len(np.unique(lamp)), error)


def standard_error(values: Array, clusters: Array, draws: int = 2000) -> float:
    """Return the standard error of the mean of values (n,) whose clusters (n,) were drawn as wholes.

    As many clusters as there are are drawn, with replacement, so often. NaN with fewer than two.
    """
    _, place = np.unique(clusters, return_inverse=True)
    many, total = np.bincount(place), np.bincount(place, values)
    if len(many) < 2:
        return float("nan")
    times = np.random.default_rng(1979).multinomial(len(many), np.full(len(many), 1.0 / len(many)), draws)
    return float(np.std((times @ total) / (times @ many), ddof=1))
