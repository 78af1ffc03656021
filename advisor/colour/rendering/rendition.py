"""Colour rendition figures of a spectrum, computed by colour-science.

References
----------
CIE 13.3-1995 (Ra, R1 to R14) with CIE's sample 15; ANSI/IES TM-30-18 (Rf, Rg).
"""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from ..observer.data import Array, library
from ..observer.grid import WAVELENGTHS


class Rendition(NamedTuple):
    """The figures of one light: `special` is R1 to R15."""

    ra: float
    special: tuple[float, ...]
    rf: float
    rg: float


def rendition(spectrum: Array, wavelengths: Array = WAVELENGTHS) -> Rendition:
    """Return the figures of a spectrum (n,) at `wavelengths`. [nm]"""
    return Rendition(*colour_rendering(spectrum, wavelengths), *fidelity_and_gamut(spectrum, wavelengths))


def colour_rendering(spectrum: Array, wavelengths: Array = WAVELENGTHS) -> tuple[float, tuple[float, ...]]:
    """Return Ra, and R1 to R15, of a spectrum (n,) at `wavelengths`. [nm]"""
    with _quiet():
        light = _distribution(spectrum, wavelengths)
        found = library().colour_rendering_index(light, additional_data=True, method="CIE 2024")
    return float(found.Q_a), tuple(float(found.Q_as[i].Q_a) for i in sorted(found.Q_as))


def fidelity_and_gamut(spectrum: Array, wavelengths: Array = WAVELENGTHS) -> tuple[float, float]:
    """Return Rf and Rg (ANSI/IES TM-30-18) of a spectrum (n,)."""
    with _quiet():
        found = library().colour_fidelity_index(
            _distribution(spectrum, wavelengths), additional_data=True, method="ANSI/IES TM-30-18"
        )
    return float(found.R_f), float(found.R_g)


def _distribution(spectrum: Array, wavelengths: Array) -> Any:
    return library().SpectralDistribution(dict(zip(wavelengths.tolist(), spectrum.tolist(), strict=True)))


@contextmanager
def _quiet() -> Iterator[None]:
    """Leave out colour-science's notices (of clipped wavelengths, of optional parts) within a computation."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield
