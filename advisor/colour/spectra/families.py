"""Parametric families of lamp spectra: three coloured parts whose shares a chromaticity decides.

Every member of a family is made of three spectra (a bluish, a greenish and a reddish part). For a
wanted chromaticity there is exactly one mixture of the three; members that would need a negative share
are left out. The parts' shapes vary within ranges, evenly spread by a Halton sequence, so that a family
stands for the lamps of a kind rather than for one of them.

References
----------
Halton, J. H. (1960), "On the efficiency of certain quasi-random sequences of points", Numer. Math. 2.
Wavelengths of mercury, thallium, indium, sodium and lithium lines: NIST Atomic Spectra Database
(from memory, to the nanometre). Emission of Tb³⁺ and Eu³⁺ phosphors, widths of pumps, phosphors and
LEDs, and the ranges about them: common practice, no source.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from ..observer.chromaticity import xyz_of_uv
from ..observer.data import Array
from ..observer.grid import GRID_STEP, WAVELENGTHS, weights

Parts = tuple[Array, Array, Array]
_FWHM = 4.0 * np.log(2.0)
_PRIMES = (2, 3, 5, 7, 11, 13, 17)
_LINE = 6.0
"""Width of a line on the grid: the resolution of a handheld spectrometer, about. [nm]"""


@cache
def family(name: str) -> Array:
    """Return the members of a family, (n, 3, 81), by its name in `_FAMILIES`. Raises KeyError for another."""
    make, members = _FAMILIES[name]
    made = np.array([make(row) for row in _halton(members)])
    made.setflags(write=False)
    return made


def mixtures(members: Array, uv: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Mix each member's parts, (n, 3, 81), to chromaticities `uv` (..., 2) of luminance 1.

    Returns the spectra (..., n, 81) and whether each can be made (..., n).
    """
    parts = np.einsum("ncw,wk->nkc", members, weights())
    shares = np.linalg.solve(parts, xyz_of_uv(uv)[..., None, :, None])[..., 0]
    return np.einsum("...nc,ncw->...nw", shares, members), shares.min(axis=-1) >= 0.0


def _white_led(h: Array) -> Parts:
    """Make a blue pump, a green to yellow phosphor, a red one."""
    green = _skewed(_at(h[2], 523, 560), _at(h[3], 85, 120), 0.75, 1.15)
    red = _skewed(_at(h[4], 592, 640), _at(h[5], 80, 125), 0.85, 1.10)
    return _peak(_at(h[0], 440, 458), _at(h[1], 18, 28)), green, red


def _hybrid_led(h: Array) -> Parts:
    """Make a white LED whose red comes from red chips."""
    blue, green, _ = _white_led(h)
    return blue, green, _peak(_at(h[4], 605, 635), _at(h[5], 15, 22))


def _rgb(h: Array) -> Parts:
    """Make blue, green and red chips."""
    return (
        _peak(_at(h[0], 445, 475), _at(h[3], 18, 28)),
        _peak(_at(h[1], 515, 550), _at(h[4], 28, 42)),
        _peak(_at(h[2], 612, 640), _at(h[4], 15, 24)),
    )


def _rgb_amber(h: Array) -> Parts:
    """Make red, green, blue, and amber following the red."""
    blue, green, red = _rgb(h)
    return blue, green, red + _at(h[5], 0.2, 1.5) * _peak(_at(h[6], 575, 600), _at(h[3], 14, 18))


def _rgb_lime(h: Array) -> Parts:
    """Make red, green, blue, and a lime or white phosphor following the green."""
    blue, green, red = _rgb(h)
    lime = _skewed(_at(h[6], 545, 565), 112, 0.85, 1.15)
    return blue, _at(h[6], 0.1, 1.0) * green + _at(h[5], 0.3, 1.5) * lime, red


def _triband(h: Array) -> Parts:
    """Make narrow phosphors (BAM or chlorapatite, Tb³⁺, Eu³⁺) over mercury and some halophosphate."""
    broad = _at(h[5], 0.0, 0.12)
    blue = _peak(_at(h[0], 447, 458), _at(h[1], 40, 60)) + _at(h[2], 0.5, 1.5) * _lines({405: 0.5, 436: 1.0})
    blue = blue + _at(h[3], 0.0, 0.5) * _peak(490, 60)
    green = _lines({489: 0.25, 543: 1.0, 549: 0.5, 585: 0.25, 622: 0.1}) + _at(h[4], 0.1, 0.5) * _lines(
        {546: 1.0}
    )
    red = _lines({588: 0.15, 594: 0.2, 611: 1.0, 631: 0.2, 707: 0.1}) + broad * _peak(
        _at(h[6], 575, 630), 100
    )
    return blue, green + broad * _peak(560, 100), red


def _metal_halide(h: Array) -> Parts:
    """Make mercury with iodides of indium, thallium, sodium and rare earths, the last a continuum."""
    many = _at(h[0], 0.1, 2.5)
    mercury = _at(h[1], 0.0, 1.0)
    blue = (
        many * _peak(_at(h[4], 425, 455), 120)
        + mercury * _lines({405: 0.5, 436: 1.0})
        + _at(h[2], 0.0, 1.5) * _lines({451: 1.0})
    )
    green = (
        many * _peak(_at(h[5], 520, 560), 110)
        + mercury * _lines({546: 1.0, 578: 0.8})
        + _at(h[3], 0.0, 2.0) * _lines({535: 1.0})
    )
    sodium = _peak(_at(h[4], 588, 598), _at(h[5], 8, 45))
    red = (
        many * _peak(_at(h[2], 630, 670), 130)
        + _at(h[6], 0.2, 2.5) * sodium
        + _at(h[3], 0.0, 0.8) * _lines({671: 1.0})
    )
    return blue, green, red


def _mercury(h: Array) -> Parts:
    """Make mercury without iodides, its pressure in the lines' ratios, and a phosphor of europium or none."""
    haze = _at(h[0], 0.0, 0.06)
    blue = _lines({405: _at(h[1], 0.3, 0.8), 436: 1.0}) + haze * _peak(450, 150)
    green = _lines({546: 1.0, 578: _at(h[2], 0.2, 1.1)}) + haze * _peak(540, 150)
    phosphor = _lines({595: 0.2, 619: 1.0, 650: 0.1, 699: 0.3}) + _at(h[3], 0.0, 0.4) * _peak(630, 90)
    red = _at(h[4], 0.0, 1.0) * phosphor + _at(h[5], 0.1, 1.0) * _lines({578: 1.0})
    return blue, green, red + haze * _peak(640, 150)


def _low_pressure_sodium(h: Array) -> Parts:
    """Make two neighbours on the grid, between which a line at 589 nm falls, and one of them with some haze.

    The third part keeps the family at the spectral locus: what is a little whiter is no member any more.
    """
    pair, longer = divmod(int(8 * h[0]), 2)  # eight members are all four pairs, either way
    at = 580.0 + GRID_STEP * pair
    lines = [_peak(at, 0.1), _peak(at + GRID_STEP, 0.1)]
    return lines[0], lines[1], lines[longer] + _at(h[1], 0.001, 0.003) * _peak(590, 200)


_FAMILIES = {
    "white-led": (_white_led, 24),
    "hybrid-led": (_hybrid_led, 8),
    "rgb": (_rgb, 6),
    "rgb-amber": (_rgb_amber, 16),
    "rgb-lime": (_rgb_lime, 16),
    "triband": (_triband, 16),
    "metal-halide": (_metal_halide, 24),
    "mercury": (_mercury, 12),
    "low-pressure-sodium": (_low_pressure_sodium, 8),
}
"""Families by name: what makes a member, and how many there are. How wide the ranges of a family are, all
together, was held against the even rows of the accuracy check, but for low-pressure sodium, which is not
among them. How many members there are was chosen."""


def _halton(count: int) -> Array:
    """Return `count` points spread evenly over the unit cube, (count, 7)."""
    points = np.zeros((count, len(_PRIMES)))
    for column, base in enumerate(_PRIMES):
        for row in range(count):
            share, rest = 1.0, row + 11  # the first points of a Halton sequence lie on a line
            while rest:
                share /= base
                points[row, column] += share * (rest % base)
                rest //= base
    return points


def _at(share: float, low: float, high: float) -> float:
    return low + (high - low) * float(share)


def _peak(centre: float, width: float) -> Array:
    """Return a Gaussian of full `width` at half height. [nm]"""
    return np.asarray(np.exp(-_FWHM * ((WAVELENGTHS - centre) / width) ** 2))


def _skewed(centre: float, width: float, below: float, above: float) -> Array:
    """Return a peak with a width of its own on each side, as phosphors have."""
    return np.where(centre > WAVELENGTHS, _peak(centre, width * below), _peak(centre, width * above))


def _lines(strengths: dict[int, float]) -> Array:
    """Return spectral lines as narrow peaks."""
    return np.asarray(sum(strength * _peak(at, _LINE) for at, strength in strengths.items()))
