"""Gels as spectral transmittances, solved from what their label says.

A label says how a gel shifts its reference, a Planckian radiator, in mired and green–magenta, and perhaps how
much light it costs there. Many filters do that. The one taken here is, of all that do it exactly, the likest
to a gel of two dyes (`dyes`): it is those dyes where they can, and it follows the label without a jump
(`passive`). A label is refused only where no filter at all does what it says.

Where a label says less light than its dyes and a clear base pass, the base is taken to be grey.
"""

import numpy as np
from numpy.typing import NDArray

from ..observer.cct import CCT_RANGE, DUV_LIMIT, in_range, uv_of_cct_duv
from ..observer.chromaticity import stops as stops_lost
from ..observer.chromaticity import xyz_of_uv
from ..observer.data import Array
from ..observer.grid import WAVELENGTHS, weights
from ..observer.loci import CC_PER_DUV, MIRED_K, planckian
from .dyes import COOLING_REFERENCE, DYES, WARMING_REFERENCE, Dyes, densities, shifted
from .passive import Projected, most_light, with_colour, with_light

CLEAR_BASE = 0.92
"""Transmittance of the undyed film: about 4 % is reflected at each face (n = 1.5; Fresnel)."""
MAINLY_COOLS = -5.0
"""A row that cools by so much, and no less than by its cc, holds on 3 200 K unless it says so. [MK⁻¹]"""
_MOVED = ((12.0, 12.0), (12.0, -12.0), (-12.0, 12.0), (-12.0, -12.0))
"""How the two bands of a dye may lie otherwise. [nm] Set on the even rows of the accuracy check."""
_WIDER = 1.2
"""How much wider they are then. Set on the even rows of the accuracy check."""
_WAVE, _PHASES = 120.0, (0.0, 0.5, 0.25, 0.75)
_WAVES = 0.6
"""Waves over wavelength [nm] in the density of gels of no common dyes, as a share of its range.
Chosen by us."""
_CC_PER_MIRED = 0.13
"""How many CC move light as far as a mired does, about."""
_PLAIN, _COLOURED = 0.05, 0.25
"""Of common dyes yet, and of none: a shift whose lesser part is that share of the greater, and a loss that
is so much less than our dyes'. Chosen by us."""
_FAINTEST = 1e-9
"""The least transmittance of dyes that another filter is likened to."""
_ROUNDING = 1e-12
EXPLAINED = 50
"""Of more labels at once it is not worked out what light they would cost."""
_DARK = 2.0**-10
"""What passes less than this of the light is no gel: more stops than a label can say."""


class Impossible(ValueError):
    """No filter that only absorbs light does what the label says; `reason` in words."""

    def __init__(self, index: int, reason: str) -> None:
        super().__init__(reason)
        self.index = index
        self.reason = reason


def reference_of(mired: Array, cc: Array, reference: Array | None = None) -> Array:
    """Return the temperatures (n,) of the Planckian radiators on which labels hold. [K]

    `reference` (n,) is what the labels say, NaN where they do not: then 3 200 K for a gel that mainly cools
    (`mired` −5 MK⁻¹ or below, and no less of it than of `cc`), else 5 600 K.
    """
    cools = (mired <= MAINLY_COOLS) & (np.abs(mired) >= np.abs(cc))
    usual = np.where(cools, COOLING_REFERENCE, WARMING_REFERENCE)
    return usual if reference is None else np.where(np.isnan(reference), usual, reference)


def transmittances(
    mired: Array, cc: Array, stops: Array, reference: Array | None = None, dyes: Dyes = DYES
) -> Array:
    """Return the transmittances (n, 81) of gels from their labels, each of shape (n,).

    `mired` [MK⁻¹] is positive for warming, `cc` [1 000 × Duv] positive for green, `stops` the light
    lost, NaN where the dyes decide, all on the `reference` [K], 1 000 to 25 000 (`reference_of`). Raises
    Impossible for the first gel that would have to shift its reference out of 1 000 to 25 000 K or beyond
    50 CC, or to do what no filter does.
    """
    reference = reference_of(mired, cc, reference)
    uv = _wanted(mired, cc, reference)
    lit, xyz = _lit(reference), xyz_of_uv(uv)
    likest = CLEAR_BASE * 10.0 ** -densities(lit, uv, mired, cc, [dyes])[0]
    made, found = _solved(likest, lit, xyz, stops)
    made[(mired == 0.0) & (cc == 0.0) & np.isnan(stops)] = CLEAR_BASE  # to the last digit
    if not found.all():
        index = int(np.argmin(found))
        raise Impossible(index, _why_not(stops[[index]], reference[[index]], lit[[index]], xyz[[index]])[0])
    return made


def reasons(mired: Array, cc: Array, stops: Array, reference: Array) -> list[str]:
    """Return for each label, (n,) each as in `transmittances`, why no filter does it; empty where one does.

    How much light a filter would have to cost is said of the first `EXPLAINED` of them.
    """
    reference = reference_of(mired, cc, reference)
    said = [""] * len(mired)
    for wrong, reason in _no_whites(mired, cc, reference):
        for i in np.flatnonzero(wrong).tolist():
            said[i] = said[i] or reason
    able = np.flatnonzero([not reason for reason in said])
    mired, cc, stops, reference = (array[able] for array in (mired, cc, stops, reference))
    uv = _wanted(mired, cc, reference)
    lit, xyz = _lit(reference), xyz_of_uv(uv)
    found = _solved(CLEAR_BASE * 10.0 ** -densities(lit, uv, mired, cc, [DYES])[0], lit, xyz, stops).found
    missing = np.flatnonzero(~found)
    for i in able[missing].tolist():
        said[i] = "no filter does this"
    some = missing[:EXPLAINED]
    for i, reason in zip(
        able[some].tolist(), _why_not(stops[some], reference[some], lit[some], xyz[some]), strict=True
    ):
        said[i] = reason
    return said


def alternatives(mired: Array, cc: Array, stops: Array, reference: Array, own: Array) -> Array:
    """Return what gels of the same labels may be as well: four sets of transmittances, (4, n, 81).

    `own` (n, 81) are those that are taken. The bands of the dyes lie 12 nm towards the red or the blue, and
    are wider. A gel that shifts along both axes, or is much clearer than our dyes, has others: it may have
    waves over wavelength. With that the stated 90 % hold where nothing but the gel is unknown, for common
    dyes on the even rows of the accuracy check, nearly for random smooth ones that shift along both axes.
    Where one cannot be made, it is `own`.
    """
    uv = _wanted(mired, cc, reference)
    lit, xyz = _lit(reference), xyz_of_uv(uv)
    density = -np.log10(np.maximum(own, _FAINTEST))
    usual = loss_on_reference(reference, CLEAR_BASE * 10.0 ** -densities(lit, uv, mired, cc, [DYES])[0])
    strange = np.maximum(_mixed(mired, cc), _clearer(stops, usual))
    height = _WAVES * strange * (density.max(axis=1) - density.min(axis=1))
    waves = 0.5 + 0.5 * np.cos(2.0 * np.pi * (WAVELENGTHS / _WAVE + np.array(_PHASES)[:, None]))
    dyed = densities(lit, uv, mired, cc, [shifted(*moved, _WIDER) for moved in _MOVED])
    likest = (CLEAR_BASE * 10.0 ** -(dyed + height[:, None] * waves[:, None])).reshape(-1, len(WAVELENGTHS))
    # One run of the solver for all: each gel once for each of its other dyes.
    lit, xyz = (np.tile(array, (len(waves), 1)) for array in (lit, xyz))
    made, able = _solved(likest, lit, xyz, np.tile(stops, len(waves)))
    return np.where(able.reshape(len(waves), -1, 1), made.reshape(dyed.shape), own)


def _mixed(mired: Array, cc: Array) -> Array:
    """Return how far shifts are from those of common dyes, along one axis only: 0 to 1."""
    along, across = np.abs(mired) * _CC_PER_MIRED, np.abs(cc)
    share = np.minimum(along, across) / np.maximum(np.maximum(along, across), _FAINTEST)
    return np.clip((share - _PLAIN) / (_COLOURED - _PLAIN), 0.0, 1.0)


def _clearer(stops: Array, usual: Array) -> Array:
    """Return how much clearer gels are than our dyes, by the stops that they lose: 0 to 1."""
    share = 1.0 - np.nan_to_num(stops, nan=np.inf) / usual
    return np.clip((share - _PLAIN) / (_COLOURED - _PLAIN), 0.0, 1.0)


def _solved(likest: Array, lit: Array, xyz: Array, stops: Array) -> Projected:
    """Make the gels that are likest to some of those that do what labels say."""
    made, found = _clear(likest, lit, xyz)
    said = np.flatnonzero(~np.isnan(stops) & found)
    made[said], found[said] = _bright(made[said], lit[said], xyz[said], stops[said])
    return Projected(made, found)


def _wanted(mired: Array, cc: Array, reference: Array) -> Array:
    """Return where (u, v), (n, 2), labels lead their references; raises Impossible where that is no white."""
    for wrong, reason in _no_whites(mired, cc, reference):
        if wrong.any():
            raise Impossible(int(np.argmax(wrong)), reason)
    to = MIRED_K / reference + mired
    return uv_of_cct_duv(np.clip(MIRED_K / to, *CCT_RANGE), cc / CC_PER_DUV)


def _no_whites(mired: Array, cc: Array, reference: Array) -> list[tuple[NDArray[np.bool_], str]]:
    """Return which labels (n,) lead out of white, and why."""
    away = "this shift would take its reference"
    to, duv = MIRED_K / reference + mired, cc / CC_PER_DUV
    most = f"more than {CC_PER_DUV * DUV_LIMIT:g} CC from white"
    return [
        (~np.asarray(in_range(to, 0.0)), f"{away} out of 1 000 to 25 000 K"),
        (~np.asarray(in_range(MIRED_K / reference, duv)), f"{away} {most}"),
    ]


def _lit(reference: Array) -> Array:
    return planckian(reference)


def _clear(likest: Array, lit: Array, xyz: Array) -> Projected:
    """Make gels on a clear base; where what was solved is clearer than film, the base gives way."""
    made, found = with_colour(np.maximum(likest, _FAINTEST), lit, xyz)
    clearest = made.max(axis=1, initial=CLEAR_BASE)
    return Projected(made * (CLEAR_BASE / clearest)[:, None], found)


def _bright(made: Array, lit: Array, xyz: Array, stops: Array) -> Projected:
    """Make gels pass what their labels say: less than they do on a grey base, more by clearer dyes.

    The base is clearer than film only where the label is: hardly a gel then.
    """
    luminous = weights()[:, 1]
    passed = 2.0**-stops
    share = passed * (lit @ luminous) / ((lit * made) @ luminous)
    base = np.minimum(share, np.maximum(passed / CLEAR_BASE, 1.0))
    result, found = np.minimum(base[:, None] * made, 1.0), np.ones(len(made), dtype=np.bool_)
    more = np.flatnonzero(share > base * (1.0 + _ROUNDING))
    prior = np.minimum(result[more], 1.0 - _FAINTEST)
    result[more], found[more] = with_light(prior, lit[more], xyz[more], passed[more])
    return Projected(result, found)


def _why_not(stops: Array, reference: Array, lit: Array, xyz: Array) -> list[str]:
    most = most_light(lit, xyz)
    return [_too_bright(*one) for one in zip(stops.tolist(), reference.tolist(), most.tolist(), strict=True)]


def _too_bright(stops: float, reference: float, most: float) -> str:
    light = f"{reference:,.0f} K light".replace(",", "\N{NARROW NO-BREAK SPACE}")
    if np.isnan(stops) or most < _DARK:
        return f"no filter makes this shift of {light}"
    least = np.ceil(-100.0 * np.log2(most)) / 100.0
    return (
        f"{stops:g} stops is too little: no filter passes more than {np.floor(1000.0 * most) / 10.0:g} % of "
        f"{light} and makes this shift; it costs at least {least:.2f} stops"
    )


def least_stops(mired: Array, cc: Array, reference: Array) -> Array:
    """Return what filters of some shifts cost at least on their references, (n,) each, with any dyes. [stop]

    Raises Impossible as `transmittances` does, for a shift that leads out of white.
    """
    xyz = xyz_of_uv(_wanted(mired, cc, reference))
    return stops_lost(most_light(_lit(reference), xyz))


def loss_on_reference(reference: Array, transmittances: Array) -> Array:
    """Return the light that gels (n,) with transmittances (n, 81) cost on their references [K]. [stop]"""
    lit = _lit(reference)
    luminous = weights()[:, 1]
    return stops_lost(((lit * transmittances) @ luminous) / (lit @ luminous))
