"""Colour rendition figures of a spectrum, computed by colour-science.

References
----------
CIE 13.3-1995 (Ra, R1 to R14) with CIE's sample 15; ANSI/IES TM-30-18 (Rf, Rg); SMPTE ST 2122:2020 (SSI).
"""

import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

import numpy as np

from .data import Array, library
from .grid import WAVELENGTHS
from .loci import DAYLIGHT_RANGE

SSI_REFERENCE = re.compile(r"([PD])(\d{4,5})")
"""A named reference of SSI: P for Planckian, D for daylight, and kelvins."""


class Rendition(NamedTuple):
    """The figures of one light: `special` is R1 to R15."""

    ra: float
    special: tuple[float, ...]
    rf: float
    rg: float


def rendition(spectrum: Array, wavelengths: Array = WAVELENGTHS) -> Rendition:
    """Return the figures of a spectrum (n,) at `wavelengths`. [nm]"""
    with _quiet():
        light = _distribution(spectrum, wavelengths)
        found = library().colour_rendering_index(light, additional_data=True, method="CIE 2024")
    special = tuple(float(found.Q_as[i].Q_a) for i in sorted(found.Q_as))
    return Rendition(float(found.Q_a), special, *fidelity_and_gamut(spectrum, wavelengths))


def fidelity_and_gamut(spectrum: Array, wavelengths: Array = WAVELENGTHS) -> tuple[float, float]:
    """Return Rf and Rg (ANSI/IES TM-30-18) of a spectrum (n,)."""
    with _quiet():
        found = library().colour_fidelity_index(
            _distribution(spectrum, wavelengths), additional_data=True, method="ANSI/IES TM-30-18"
        )
    return float(found.R_f), float(found.R_g)


def similarity(spectrum: Array, reference: str, wavelengths: Array = WAVELENGTHS) -> float:
    """Return SSI (SMPTE ST 2122) of a spectrum (n,) against ``P3200``, ``D5600`` and the like.

    Raises ValueError for a reference that is no such name, or daylight below 4 000 K.
    """
    named = SSI_REFERENCE.fullmatch(reference)
    cct = float(named[2]) if named else np.nan
    if not named or not 1000.0 <= cct <= 25000.0 or (named[1] == "D" and cct < DAYLIGHT_RANGE[0]):
        raise ValueError(f"SSI has no reference {reference!r}")
    with _quiet():
        shape = library().SpectralShape(375, 675, 1)
        if named[1] == "P":
            ideal = library().sd_blackbody(cct, shape)
        else:
            # ST 2122 names a phase of daylight by its rounded CCT; 1.4388/1.4380 keeps D55 at its 5 503 K.
            xy = library().temperature.CCT_to_xy_CIE_D(cct * 1.4388 / 1.4380)
            ideal = library().sd_CIE_illuminant_D_series(xy).align(shape)
        return float(library().spectral_similarity_index(_distribution(spectrum, wavelengths), ideal))


def _distribution(spectrum: Array, wavelengths: Array) -> Any:
    return library().SpectralDistribution(dict(zip(wavelengths.tolist(), spectrum.tolist(), strict=True)))


@contextmanager
def _quiet() -> Iterator[None]:
    """Leave out colour-science's notices (of clipped wavelengths, of optional parts) within a computation."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield
