"""How often what is listed truly lands within the tolerance, against the chance that was stated.

Each lamp is brought to two targets with the sixteen gels in up to two layers, by the product's whole ranking.
The rows say that they are generic, so the advisor knows only what the trade reckons with; the sheets that
really hang are off their labels by as much: each by a strength of its own, a normal scatter of which nine in
ten lie within the row's per cent, drawn several times. A sheet of strength s has the transmittance T to the
power s (Bouguer–Lambert–Beer).
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from filters import DyeSet, filters
from lamps import Lamp, uv_at_1_nm
from regret import TARGETS
from trials import Knows, bare_of

from advisor.advice.advise import advise_on
from advisor.advice.rack import rack_of
from advisor.advice.target import white_of
from advisor.colour.chromaticity import STEP, distance
from advisor.colour.data import Array
from advisor.model import Known, Limits
from advisor.model.lightset import EXACT

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
    `odd` whether the lamp is of an odd row.
    """

    stated: Array
    off: Array
    first: Array
    odd: Array


def chances(lamps: Sequence[Lamp], dye_sets: Sequence[DyeSet], seed: int = 0) -> Chances:
    """Rank for every lamp, set of dyes and target, and hang what is listed."""
    rng = np.random.default_rng([15, seed])
    found: list[tuple[float, float, bool, bool]] = []
    for dyes in dye_sets:
        gels = filters(dyes)
        rows = tuple(row.model_copy(update={"known": Known.GENERIC}) for row in gels.rows)
        rack = rack_of(rows)
        order = [[row.name for row in rows].index(name) for name in rack.names]
        sheets, spread = gels.transmittances[order], rack.percent / 100.0 / _NINE_IN_TEN
        for target in TARGETS:
            white = white_of(target, [])
            limits = Limits(tolerance_steps=TOLERANCE, max_layers=_LAYERS, accuracy=EXACT)
            for start in range(0, len(lamps), _BATCH):
                some = lamps[start : start + _BATCH]
                bares = [bare_of(lamp, rack, white, Knows.READING) for lamp in some]
                for lamp, answer in zip(some, advise_on(bares, limits, rack).answers, strict=True):
                    strengths = 1.0 + spread * rng.standard_normal((_DRAWS, len(spread)))
                    for place, stack in enumerate(answer.stacks):
                        at = rack.find(stack.gels)
                        passed = np.prod(sheets[at] ** strengths[:, at, None], axis=1)
                        off = distance(uv_at_1_nm(lamp.power * passed), white.uv) / STEP
                        found += [(stack.within, float(o), place == 0, lamp.odd) for o in off]
    stated, off, first, odd = np.array(found).T
    return Chances(stated, off, first.astype(bool), odd.astype(bool))


def tenths(found: Chances, chosen: Array) -> list[tuple[float, float, int]]:
    """Return for each tenth of stated chance the mean stated, the true share within and how many."""
    bins = np.minimum((found.stated * 10).astype(int), 9)
    rows = []
    for tenth in range(10):
        here = chosen & (bins == tenth)
        count = int(here.sum())
        within = float((found.off[here] <= TOLERANCE).mean()) if count else float("nan")
        rows.append((float(found.stated[here].mean()) if count else float("nan"), within, count))
    return rows
