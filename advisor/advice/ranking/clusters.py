"""Gels in nested clusters, each with the band that its transmittances stay within.

The search rules out whole clusters at once. Two curves stand for the gels of a cluster: the least and the
greatest transmittance at each wavelength. First every gel is scaled to pass the same amount of light. The
scale does not change chromaticity, and without it the band would be wider. Level 0 has all gels in one
cluster. Each level halves the clusters of the one before. On the last every gel is alone, and its band is a
line. This needs no smooth curves, and no dyes: measured transmittances only make wider clusters.

Gels are sorted by the principal components (Pearson 1901, from memory) of their densities.
"""

import itertools
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ..stacks.enumerate import Indices
from ..stacks.gel_arrays import GelArrays

_SHAPES = 8
"""Principal components that sort the gels: most tables come from a few dyes. Only speed depends on it."""
_DARK = 1e-4
"""The least transmittance used to sort gels; nothing else uses it."""


@dataclass(frozen=True, eq=False)
class Level:
    """The clusters of one level: numbers 0 to c − 1, some of them empty.

    `starts` (c + 1,) are indices in the tree's order; `low` and `high` (c, 81) hold the scaled
    transmittances; `scale` and `least_scale` (c,) are the greatest and least factors that they were
    divided by; `signs` (c, 4) says whether all gels of a cluster are hung to warm, to turn green, to cool, to
    turn magenta.
    """

    starts: Indices
    low: Array
    high: Array
    scale: Array
    least_scale: Array
    signs: NDArray[np.bool_]

    @property
    def filled(self) -> NDArray[np.bool_]:
        """Which clusters hold a gel, (c,)."""
        return np.diff(self.starts) > 0


@dataclass(frozen=True, eq=False)
class Tree:
    """Clusters of gels: `order` (n,) are their indices; `levels` go from one cluster to single gels."""

    order: Indices
    levels: tuple[Level, ...]

    @property
    def depth(self) -> int:
        """The number of the last level, in which every gel is alone."""
        return len(self.levels) - 1

    def middle(self, number: int) -> Indices:
        """Return a gel of each cluster of a level that stands for it, (c,) indices in the gel table."""
        starts = self.levels[number].starts
        indices = np.minimum((starts[:-1] + starts[1:]) // 2, len(self.order) - 1)
        return np.asarray(self.order[indices])


@lru_cache(maxsize=32)
def tree_of(gel_arrays: GelArrays, gels: tuple[int, ...]) -> Tree:
    """Build the clusters of some gels of a gel table, at least one."""
    chosen = np.array(gels, dtype=np.intp)
    sheets = gel_arrays.transmittances[chosen]
    seen = weights() @ np.array([1.0, 15.0, 3.0])
    scale = sheets @ seen / seen.sum()
    scaled = sheets / scale[:, None]
    depth = math.ceil(math.log2(len(chosen))) if len(chosen) > 1 else 0
    order = _alike(_features(scaled, seen), depth)
    shift = np.concatenate([gel_arrays.pushes, -gel_arrays.pushes], axis=1)[chosen[order]] > 0
    levels = []
    for number in range(depth + 1):
        starts = _starts(len(chosen), number)
        rows = np.minimum(starts[:-1], len(chosen) - 1)  # an empty cluster gets a neighbour's row, unused
        levels.append(
            Level(
                starts=starts,
                low=np.minimum.reduceat(scaled[order], rows),
                high=np.maximum.reduceat(scaled[order], rows),
                scale=np.maximum.reduceat(scale[order], rows),
                least_scale=np.minimum.reduceat(scale[order], rows),
                signs=np.logical_and.reduceat(shift, rows),
            )
        )
    return Tree(chosen[order], tuple(levels))


def _starts(count: int, level: int) -> Indices:
    """Return where the clusters of a level begin and end, so that each splits in two on the next."""
    return np.asarray((count * np.arange(2**level + 1)) >> level, dtype=np.intp)


def _features(scaled: Array, seen: Array) -> Array:
    """Return the few numbers (n, f) in which gels differ most: principal components of their densities."""
    density = np.log(np.maximum(scaled, _DARK)) * np.sqrt(seen)
    density -= density.mean(axis=0)
    _, vectors = np.linalg.eigh(density.T @ density)
    return np.asarray(density @ vectors[:, -_SHAPES:])


def _alike(features: Array, depth: int) -> Indices:
    """Sort gels so that neighbours are alike: halved again and again across the direction of most spread."""
    count = len(features)
    order = np.arange(count)
    for level in range(depth):
        starts = _starts(count, level)
        for first, last in itertools.pairwise(starts):
            if last - first > 1:
                part = features[order[first:last]]
                axis = np.argmax(part.max(axis=0) - part.min(axis=0))
                order[first:last] = order[first:last][np.argsort(part[:, axis], kind="stable")]
    return order
