"""Gels as spectral transmittances, solved from what their label says.

A gel is a clear base times two smooth absorption bands (dyes). The two strengths are solved so that
the gel does exactly its nominal mired and green–magenta shift on its reference: a Planckian radiator
of 5 600 K, or of 3 200 K where it cools.

The bands' centres and widths and the base are our own choice: with them full CTO loses 0.71 stop and
full CTB 1.52, close to what crews reckon with (about 2/3 and 1 1/2 to 2; common practice, no source).

References
----------
Bouguer–Lambert–Beer law: a dye's density grows in proportion to its amount, and densities of layers add up.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .cct import CCT_RANGE, DUV_LIMIT, in_range, uv_of_cct_duv
from .data import Array
from .grid import WAVELENGTHS, weights
from .loci import CC, MEGA, planckian
from .predict import stops as stops_lost
from .tilt import tilt

CLEAR_BASE = 0.92
"""Transmittance of the undyed film: about 4 % is reflected at each face (n = 1.5; Fresnel)."""
WARMING_REFERENCE, COOLING_REFERENCE = 5600.0, 3200.0
"""The source on which a nominal shift holds. [K]"""


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
_LN10 = np.log(10.0)


def shifted(first: float, second: float, wider: float) -> Dyes:
    """Return dyes with their bands `first` and `second` further to the red [nm], `wider` times as wide."""
    return Dyes(*((_shifted(a, first, wider), _shifted(b, second, wider)) for a, b in DYES))


def _shifted(band: Band, by: float, wider: float) -> Band:
    return Band(band.centre + by, band.width * wider)


class Impossible(ValueError):
    """No filter that only absorbs light does what the label says; `reason` in words."""

    def __init__(self, index: int, reason: str) -> None:
        super().__init__(reason)
        self.index = index
        self.reason = reason


def reference_cct(mired: float) -> float:
    """Return the temperature of the Planckian radiator on which a gel's label holds. [K]"""
    return COOLING_REFERENCE if mired < 0 else WARMING_REFERENCE


def transmittances(mired: Array, cc: Array, stops: Array, dyes: Dyes = DYES) -> Array:
    """Return the transmittances (n, 81) of gels from their labels, each of shape (n,).

    `mired` [MK⁻¹] is positive for warming, `cc` [1 000 × Duv] positive for green, `stops` the light
    lost on the reference, NaN where the base decides. Raises Impossible for the first gel that would
    have to shift its reference out of 1 000 to 25 000 K, or to pass more light than it gets.
    """
    reference = np.where(mired < 0, COOLING_REFERENCE, WARMING_REFERENCE)
    lit = np.array([planckian(t) for t in reference]).reshape(-1, len(WAVELENGTHS))
    passed = 10.0 ** -_densities(mired, cc, reference, lit, dyes)
    bright = (lit @ weights()[:, 1]) / ((lit * passed) @ weights()[:, 1])
    # A solved strength may be slightly negative; the base then gives way, since film adds no light.
    base = np.where(
        np.isnan(stops),
        CLEAR_BASE / np.maximum(passed.max(axis=1), 1.0),
        bright * 2.0 ** -np.nan_to_num(stops),
    )
    result = base[:, None] * passed
    for i in np.flatnonzero(result.max(axis=1) > 1.0 + 1e-9):
        least = np.log2(bright[i] * passed[i].max())
        raise Impossible(
            int(i), f"{stops[i]:g} stops is too little: this shift costs at least {least:.2f} stops"
        )
    return np.asarray(result)


def _densities(mired: Array, cc: Array, reference: Array, lit: Array, dyes: Dyes) -> Array:
    """Return the densities (n, 81), without the base."""
    none = np.zeros_like(mired)
    warm_or_cool = [dyes.cool if m < 0 else dyes.warm for m in mired]
    green_or_magenta = [dyes.magenta if c < 0 else dyes.green for c in cc]
    warm_cool = _one_axis(mired, none, reference, lit, warm_or_cool)
    green_magenta = _one_axis(none, cc, reference, lit, green_or_magenta)
    both = np.flatnonzero((mired != 0) & (cc != 0))
    total: Array = warm_cool + green_magenta
    if len(both):
        # A row with both shifts is one dye of each direction, their strengths solved together.
        shapes = np.stack([warm_cool[both], green_magenta[both]], axis=1) * -_LN10
        strengths = _strengths(mired[both], cc[both], reference[both], lit[both], shapes, both)
        total[both] = np.einsum("bi,bin->bn", strengths, shapes) / -_LN10
    return total


def _one_axis(mired: Array, cc: Array, reference: Array, lit: Array, bands: list[tuple[Band, Band]]) -> Array:
    """Return the densities (n, 81) of gels that shift along one axis."""
    density = np.zeros_like(lit)
    some = np.flatnonzero((mired != 0) | (cc != 0))
    if len(some):
        shapes = np.array([[_band(b) for b in bands[i]] for i in some]) * -_LN10
        strengths = _strengths(mired[some], cc[some], reference[some], lit[some], shapes, some)
        density[some] = np.einsum("bi,bin->bn", strengths, shapes) / -_LN10
    return density


def _strengths(
    mired: Array, cc: Array, reference: Array, lit: Array, shapes: Array, rows: NDArray[np.intp]
) -> Array:
    to, duv = MEGA / reference + mired, cc / CC
    for wrong, reason in (
        (~in_range(to, 0.0), "out of 1 000 to 25 000 K"),
        (~in_range(MEGA / reference, duv), f"more than {CC * DUV_LIMIT:g} CC from white"),
    ):
        if wrong.any():
            raise Impossible(int(rows[np.argmax(wrong)]), f"this shift would take its reference {reason}")
    wanted = uv_of_cct_duv(np.clip(MEGA / to, *CCT_RANGE), duv)
    strengths, found = tilt(lit, shapes, wanted)
    if not found.all():
        raise Impossible(int(rows[np.argmin(found)]), "no dye of these gels makes this shift")
    return strengths


def _band(band: Band) -> Array:
    return np.asarray(np.exp(-0.5 * ((WAVELENGTHS - band.centre) / band.width) ** 2))


def loss_on_reference(mired: Array, transmittances: Array) -> Array:
    """Return the light that gels (n,) with transmittances (n, 81) cost on their reference. [stop]"""
    lit = np.array([planckian(reference_cct(m)) for m in mired]).reshape(-1, len(WAVELENGTHS))
    luminous = weights()[:, 1]
    return stops_lost(((lit * transmittances) @ luminous) / (lit @ luminous))
