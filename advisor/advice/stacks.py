"""Every stack that makes sense: which gels can hang together, as rows of indices."""

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ..model import Refused
from .rack import Rack

Indices = NDArray[np.intp]
MOST_STACKS = 400_000
"""More than this is not searched one by one: about 3 s and 300 MB."""
NONE = -1
"""Fills the places of a row that has fewer gels than the widest."""


def stacks_on(rack: Rack, keep: tuple[int, ...], max_layers: int) -> Indices:
    """Return all stacks of up to `max_layers` gels that hold `keep`, as (m, w) indices into the rack.

    Rows are padded with NONE. No stack holds two opposites of one axis, or more of a gel than there is
    in stock; the first row is `keep` alone, "leave it bare" where nothing is kept. What is kept is
    there whatever the limits say.
    Raises Refused where there are too many to go through.
    """
    return _enumerate(rack, keep, max(max_layers - len(keep), 0))


@lru_cache(maxsize=64)
def _enumerate(rack: Rack, keep: tuple[int, ...], free: int) -> Indices:
    gels = np.flatnonzero(rack.ranked)
    width = len(keep) + free
    if math.comb(len(gels) + free, free) > 4 * MOST_STACKS:
        raise _too_many(len(gels), free)
    base = np.full((1, width), NONE, dtype=np.intp)
    base[0, : len(keep)] = keep
    level, found = base, [base]
    for layer in range(free):
        level = _one_more(rack, gels, level, len(keep), len(keep) + layer)
        found.append(level)
        if sum(map(len, found)) > MOST_STACKS:
            raise _too_many(len(gels), free)
    result = np.concatenate(found)
    result.setflags(write=False)
    return result


def _one_more(rack: Rack, gels: Indices, level: Indices, kept: int, at: int) -> Indices:
    """Add one gel to each stack of a level: none before the last one added, so that each comes once."""
    last = level[:, at - 1] if at > kept else np.full(len(level), NONE)
    rows, columns = np.nonzero(gels[None, :] >= last[:, None])
    grown = level[rows]
    grown[:, at] = gels[columns]
    used = grown >= 0
    mired = np.where(used, rack.mired[grown], 0.0)
    cc = np.where(used, rack.cc[grown], 0.0)
    opposed = _opposed(mired) | _opposed(cc)
    count = (grown == grown[:, at : at + 1]).sum(axis=1)
    return np.asarray(grown[~opposed & (count <= rack.stock[grown[:, at]])])


def _opposed(shift: NDArray[np.float64]) -> NDArray[np.bool_]:
    return np.asarray((shift > 0).any(axis=1) & (shift < 0).any(axis=1))


def _too_many(gels: int, free: int) -> Refused:
    return Refused.one(
        "gels",
        f"{gels} gels in up to {free} layers make more than {MOST_STACKS:,} stacks".replace(",", " "),
        "fewer layers, or gels switched off that are not on the truck",
    )
