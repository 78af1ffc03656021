"""Spectra for sources of which only a meter's CCT and Duv are known.

Each kind of source stands for archetype spectra; each is bent smoothly, by an exponential slope and
bow over wavelength, until it has exactly the chromaticity that the meter read.

References
----------
CIE 15:2004 and CIE 15:2018: illuminants FL1 to FL12, HP1 to HP5, the LED series; daylight.
"""

from functools import cache

import numpy as np

from .cct import cct_duv_of_uv
from .chromaticity import distance, uv_of_xyz
from .data import Array, illuminant
from .grid import WAVELENGTHS, to_grid, weights
from .loci import DAYLIGHT_RANGE, daylight, planckian
from .tilt import tilt, tilted

_ARCHETYPES = {
    "discharge": ("HP3", "HP4", "HP5"),
    "led-white": ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-V1", "LED-V2"),
    "led-mix": ("LED-RGB1",),
    "fluorescent": ("FL1", "FL2", "FL3", "FL4", "FL5", "FL6", "FL7", "FL8", "FL9"),
    "fluorescent-triband": ("FL10", "FL11", "FL12"),
    "sodium": ("HP1", "HP2"),
}
_X = (WAVELENGTHS - 560.0) / 200.0
_BEND = np.stack([_X, _X**2])


class Unbendable(ValueError):
    """No smooth bend gives the archetype the reading's chromaticity."""


def spectra_of(kind: str, uv: Array) -> Array:
    """Return the spectra (k, 81) that a source of `kind` with chromaticity `uv` (2,) may have.

    Raises Unbendable where the chromaticity is too far from anything that the kind can be.
    """
    return bent(_archetypes(kind, uv), uv)


def bent(spectra: Array, uv: Array) -> Array:
    """Bend spectra (k, 81) until each has exactly the chromaticity `uv`, (2,)."""
    strengths, found = tilt(spectra, _BEND, np.broadcast_to(uv, (len(spectra), 2)))
    if not found.all():
        raise Unbendable("no spectrum of this kind has this chromaticity")
    return tilted(spectra, _BEND, strengths)


def _archetypes(kind: str, uv: Array) -> Array:
    if kind in _ARCHETYPES:
        names = _ARCHETYPES[kind]
        known = np.array([_published(name) for name in names])
        nearest = np.argmin(distance(uv_of_xyz(known @ weights()), uv))
        return known[nearest : nearest + 1]
    cct = float(cct_duv_of_uv(uv)[0])
    low, high = DAYLIGHT_RANGE
    if kind == "daylight" and low <= cct <= high:
        return daylight(cct)[None, :]
    return planckian(cct)[None, :]


@cache
def _published(name: str) -> Array:
    spectrum = to_grid(*illuminant(name))
    spectrum.setflags(write=False)
    return spectrum
