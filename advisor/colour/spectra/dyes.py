"""The dyes that a gel is taken to have where only its label is known: two smooth absorption bands a way.

How strong the two bands are for a shift along one axis is solved once, on a Planckian radiator of 5 600 K,
for cooling gels of 3 200 K. A gel of any label on any reference is a warming or cooling dye times a green or
magenta one, of amounts that bring it nearest to its label there.

The bands' centres and widths are our own choice: with them full CTO loses 0.71 stop and full CTB 1.52, close
to what crews reckon with (about 2/3 and 1 1/2 to 2; common practice, no source).

References
----------
Bouguer–Lambert–Beer law: a dye's density grows in proportion to its amount, and densities of layers add up.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ..observer.cct import DUV_LIMIT, uv_of_cct_duv
from ..observer.chromaticity import tilt, uv_of_xyz
from ..observer.data import Array
from ..observer.grid import WAVELENGTHS, weights
from ..observer.loci import CC_PER_DUV, MIRED_K, planckian

WARMING_REFERENCE, COOLING_REFERENCE = 5600.0, 3200.0
"""The lights on which the dyes' strengths are solved. [K]"""


class Band(NamedTuple):
    """A Gaussian absorption band. [nm]"""

    centre: float
    width: float


class Dyes(NamedTuple):
    """The two bands for each direction: (warm, cool, green, magenta)."""

    warm: tuple[Band, Band]
    cool: tuple[Band, Band]
    green: tuple[Band, Band]
    magenta: tuple[Band, Band]


DYES = Dyes(
    warm=(Band(420, 55), Band(520, 55)),
    cool=(Band(640, 70), Band(560, 60)),
    green=(Band(440, 35), Band(650, 50)),
    magenta=(Band(545, 40), Band(450, 40)),
)
_MOST_WARM, _MOST_COOL, _MOST_CC = 800.0, -270.0, CC_PER_DUV * DUV_LIMIT
"""How far the dyes are solved: warmer or cooler than that there is no white any more. [MK⁻¹, MK⁻¹, CC]"""
_KNOTS = 201
"""Shifts at which they are solved, on either side of an axis; between them strengths go straight."""
_ROUNDS = 5
_APART = np.array([8.0, 2.0])
"""Over so much to either side the amounts' effect is taken. [MK⁻¹, CC]"""
_LONGEST = np.array([60.0, 12.0])
"""The largest change of an amount in one round. [MK⁻¹, CC]"""
_HELD = 1e-3
"""Amounts are held back where a change as long as that does hardly more than so much: they would run away
after what their dyes cannot do. [Δuv]"""


def shifted(first: float, second: float, wider: float) -> Dyes:
    """Return dyes with their bands `first` and `second` further to the red [nm], `wider` times as wide."""
    return Dyes(*((_shifted(a, first, wider), _shifted(b, second, wider)) for a, b in DYES))


def _shifted(band: Band, by: float, wider: float) -> Band:
    return Band(band.centre + by, band.width * wider)


def densities(lit: Array, uv: Array, mired: Array, cc: Array, dyes: Sequence[Dyes]) -> Array:
    """Return the densities (d, n, 81) of gels of d dyes behind which `lit` (n, 81) comes near to `uv` (n, 2).

    `mired` [MK⁻¹] and `cc` [CC] of each (n,) is the shift that this is, and the amounts of its dyes to begin
    with: on the dyes' own reference one dye alone is right at once, elsewhere a few rounds bring most of it.
    """
    table, ways = _tables(tuple(dyes)), np.diag(_APART)[:, None]
    amounts = np.repeat(table.within(np.stack([mired, cc], axis=1))[None], len(dyes), axis=0)
    for _ in range(_ROUNDS):
        here = amounts[:, None]
        around = np.concatenate([here, here + ways, here - ways], axis=1)
        seen = uv_of_xyz((lit * 10.0 ** -table.of(around)) @ weights())
        rest = seen[:, 0] - uv
        slope = np.moveaxis((seen[:, 1:3] - seen[:, 3:]) / (2.0 * _APART)[:, None, None], 1, -1) * _LONGEST
        turned = slope.swapaxes(-1, -2)
        step = np.linalg.solve(turned @ slope + _HELD**2 * np.eye(2), turned @ rest[..., None])[..., 0]
        step /= np.maximum(np.abs(step).max(axis=-1, keepdims=True), 1.0)
        amounts = table.within(amounts - step * _LONGEST)
    return table.of(amounts[:, None])[:, 0]


class _Tables(NamedTuple):
    """Densities of d dyes by shift: along mired at `mired` (k,) and along green at `cc` (k,), (d, k, 81)."""

    mired: Array
    along: Array
    cc: Array
    across: Array

    def within(self, amounts: Array) -> Array:
        """Hold amounts (..., 2) within what was solved."""
        low, high = ([self.mired[i], self.cc[i]] for i in (0, -1))
        return np.clip(amounts, low, high)

    def of(self, amounts: Array) -> Array:
        """Return the densities (d, ..., 81) of d dyes of some amounts each, (d, ..., 2)."""
        along, across = (
            _between(self.mired, self.along, amounts[..., 0]),
            _between(self.cc, self.across, amounts[..., 1]),
        )
        return along + across


def _between(knots: Array, values: Array, at: Array) -> Array:
    left = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)
    share = np.clip((at - knots[left]) / (knots[left + 1] - knots[left]), 0.0, 1.0)
    own = np.arange(len(values)).reshape(-1, *(1,) * (at.ndim - 1))
    return np.asarray(values[own, left] + share[..., None] * (values[own, left + 1] - values[own, left]))


@lru_cache(maxsize=8)
def _tables(dyes: tuple[Dyes, ...]) -> _Tables:
    warm, cool = np.linspace(0.0, _MOST_WARM, _KNOTS), np.linspace(0.0, _MOST_COOL, _KNOTS)
    green = np.linspace(0.0, _MOST_CC, _KNOTS)
    mired, cc = np.zeros((4, _KNOTS)), np.zeros((4, _KNOTS))
    mired[:2], cc[2:] = (warm, cool), (green, -green)
    warming, cooling, greening, against = _along(dyes, mired, cc).swapaxes(0, 1)
    return _Tables(
        np.concatenate([cool[:0:-1], warm]),
        np.concatenate([cooling[:, :0:-1], warming], axis=1),
        np.concatenate([-green[:0:-1], green]),
        np.concatenate([against[:, :0:-1], greening], axis=1),
    )


def _along(dyes: Sequence[Dyes], mired: Array, cc: Array) -> Array:
    """Return the densities (d, 4, k, 81) of each way's two bands that do shifts (4, k) along its axis."""
    reference = np.array([WARMING_REFERENCE, COOLING_REFERENCE, WARMING_REFERENCE, WARMING_REFERENCE])[
        :, None
    ]
    shapes = np.array([[[_band(band) for band in bands] for bands in one] for one in dyes])
    wanted = uv_of_cct_duv(MIRED_K / (MIRED_K / reference + mired), cc / CC_PER_DUV)
    each = mired.shape[1]
    lit = np.tile(np.repeat(planckian(reference[:, 0]), each, axis=0), (len(dyes), 1))
    absorbed = np.repeat(shapes.reshape(-1, 2, len(WAVELENGTHS)), each, axis=0)
    strengths, _ = tilt(lit, -np.log(10.0) * absorbed, np.tile(wanted.reshape(-1, 2), (len(dyes), 1)))
    return np.asarray(np.maximum(strengths, 0.0).reshape(len(dyes), 4, each, 2) @ shapes)


def _band(band: Band) -> Array:
    return np.asarray(np.exp(-0.5 * ((WAVELENGTHS - band.centre) / band.width) ** 2))
