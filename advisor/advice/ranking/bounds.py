"""The least risk that any stack of a whole cluster can have, and the most light that it can pass.

Let member k of the ensemble, of weight w, have the spectrum S, and let T(λ) be a stack's transmittance. With
the target at (u₀, v₀), both of

    D = Σ S·T·(x̄ + 15ȳ + 3z̄)        L = Σ S·T·l,  l = (4x̄ − u₀d, 1.5·(6ȳ − v₀d)) / 0.0011,  d = x̄ + 15ȳ +
    3z̄

are sums over the grid, linear in T, and the member's miss in steps is |L| / D exactly (CIE 1976 u′v′ from
the definition of u and v). The risk is at least Σ w f(|L| / D), where f is the loss. Everything else that is
uncertain scatters the members' places with a mean of zero, and f of the distance is convex in the place.

**Groups.** For a group g of members that weighs W, Σ_g w f(|L| / D) ≥ W f(Σ_g w |L| / D / W) by Jensen's
inequality, since f is convex, and Σ_g w |L| / D ≥ Σ_g w |L| / max_g D ≥ |Σ_g w L| / max_g D by the triangle
inequality. f rises, so a lower bound of its argument gives one of f. Added up over the groups, these bound
the risk from below. For each group that takes two sums; without groups, each member takes two sums, a root
and a division. Any grouping is valid, and it is tight where members of a group land near each other.

**Clusters.** Let low ≤ T ≤ high at every wavelength, c their middle and r half their distance. For any
direction n, |Σ w L·n| ≥ |Σ w L(c)·n| − Σ_λ r·|Σ w S l·n|, because |T − c| ≤ r; and D ≤ D(high), since all its
terms are positive. The best of a few directions is used. For a single stack low equals high, r is 0, and |L|
itself is used. The share of light that passes is a positive sum too, so it is at most that of `high`.

A stack's transmittance is the product of its gels', and none is negative. So it lies between the products of
the clusters' low and high curves. None of this depends on a model of gels or lamps. Only the rounding of
double precision remains, a millionth of what the search allows for.
"""

from dataclasses import dataclass

import numpy as np

from ...colour.observer.chromaticity import STEP_DELTA_UV
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ..cost.loss import loss
from ..stacks.enumerate import Indices

_DIRECTIONS = 6
"""Directions in the half plane. With so few the bound loses at most 1 − cos 15°."""


@dataclass(frozen=True, eq=False)
class Bounds:
    """Sums over the grid that bound what stacks do to one source.

    `sums` (81, 2 g) is Σ w S l of each group, all u′ first, then all v′. `along` (81, n · g) is the same
    along n directions, and `spread` its absolute values. `seen` (81, k + 1) is S d of each member, sorted by
    group, then the share of light passed. `starts` (g,) is where each group begins, and `shares` (g,) its
    weight. No risk is below `floor`. [step]
    """

    sums: Array
    along: Array
    spread: Array
    seen: Array
    starts: Indices
    shares: Array
    tolerance: float
    floor: float

    def of_bands(self, low: Array, high: Array) -> tuple[Array, Array]:
        """Return the least risk and the most light passed, (m,), between curves (m, 81)."""
        middle = 0.5 * (low + high)
        least = np.abs(middle @ self.along) - (high - middle) @ self.spread
        least = least.reshape(len(low), _DIRECTIONS, len(self.starts)).max(axis=1)
        return self._over(np.maximum(least, 0.0), high)

    def of_stacks(self, filters: Array) -> tuple[Array, Array]:
        """Return a lower bound of the risk and the light passed, (m,), of filters (m, 81)."""
        sums = filters @ self.sums
        return self._over(np.hypot(sums[:, : len(self.starts)], sums[:, len(self.starts) :]), filters)

    def passed(self, filters: Array) -> Array:
        """Return the light passed, (m,), of filters (m, 81)."""
        return np.asarray(filters @ self.seen[:, -1])

    def _over(self, least: Array, filters: Array) -> tuple[Array, Array]:
        seen = filters @ self.seen
        most = np.maximum.reduceat(seen[:, :-1], self.starts, axis=1)
        # No light at all has no chromaticity: NaN, which nothing compares with, as in the prediction.
        with np.errstate(invalid="ignore"):
            risk = loss(least / most / self.shares, self.tolerance) @ self.shares
            return np.maximum(risk, self.floor), seen[:, -1]


def bounds_of(
    spectra: Array,
    weight: Array,
    kept: Array,
    target: Array,
    groups: Indices,
    tolerance: float,
    floor: float = 0.0,
) -> Bounds:
    """Prepare the sums for spectra (k, 81) of weights (k,) behind `kept` (81,), which hangs in any case.

    `target` (2,) is in (u, v); `groups` (k,) gives each member a number.
    """
    order = np.argsort(groups, kind="stable")
    starts = np.flatnonzero(np.diff(groups[order], prepend=-1))
    x, y, z = (spectra[order, :, None] * weights()).transpose(2, 0, 1)
    bare = y.sum(axis=1)
    x, y, z = x * kept, y * kept, z * kept
    d = x + 15.0 * y + 3.0 * z
    share = weight[order, None]
    u = np.add.reduceat(share * (4.0 * x - target[0] * d), starts, axis=0) / STEP_DELTA_UV
    v = np.add.reduceat(share * 1.5 * (6.0 * y - target[1] * d), starts, axis=0) / STEP_DELTA_UV
    angles = np.arange(_DIRECTIONS) * np.pi / _DIRECTIONS
    along = u * np.cos(angles)[:, None, None] + v * np.sin(angles)[:, None, None]
    along = np.ascontiguousarray(along.reshape(-1, along.shape[-1]).T)
    passed = (share * y / bare[:, None]).sum(axis=0)
    return Bounds(
        sums=np.ascontiguousarray(np.concatenate([u, v]).T),
        along=along,
        spread=np.abs(along),
        seen=np.ascontiguousarray(np.concatenate([d, passed[None, :]]).T),
        starts=starts,
        shares=np.add.reduceat(weight[order], starts),
        tolerance=tolerance,
        floor=floor,
    )


def grouped(places: Array, weight: Array, most: int) -> Indices:
    """Put members that land close to each other, `places` (k, 2), into at most `most` groups, (k,).

    Starts from the heaviest and those farthest from what was chosen, then moves each centre to the mean
    of its group a few times (Lloyd 1982, IEEE Trans. Inf. Theory 28(2); from memory).
    """
    chosen = [int(np.argmax(weight))]
    away = np.full(len(places), np.inf)
    while len(chosen) < min(most, len(places)):
        away = np.minimum(away, _apart(places, places[chosen[-1:]])[:, 0])
        chosen.append(int(np.argmax(away * np.sqrt(weight))))
    centres = places[chosen]
    for _ in range(4):
        group = np.argmin(_apart(places, centres), axis=1)
        total = np.bincount(group, weight, len(centres))
        sums = np.stack([np.bincount(group, weight * places[:, i], len(centres)) for i in (0, 1)], axis=1)
        centres = np.where(total[:, None] > 0, sums / np.maximum(total, 1e-300)[:, None], centres)
    return np.asarray(np.argmin(_apart(places, centres), axis=1))


def _apart(a: Array, b: Array) -> Array:
    return np.asarray(np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1]))
