"""colour-science as the outside check, without the warnings that it gives about its own alignments."""

import warnings
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

from advisor.colour.observer.data import Array, library

ONE_NM = (380, 780, 1)


@contextmanager
def _quiet() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", library().utilities.ColourRuntimeWarning)
        yield


def cct_duv(uv: Array) -> tuple[Array, Array]:
    """Return CCT [K] and Duv of (u, v), (n, 2), by colour-science's Ohno 2013."""
    with _quiet():
        found = library().temperature.uv_to_CCT_Ohno2013(uv)
    return found[..., 0], found[..., 1]


def uv_of_cct_duv(cct: float, duv: float) -> Array:
    """Return (u, v) by colour-science's Ohno 2013."""
    with _quiet():
        return np.asarray(library().temperature.CCT_to_uv_Ohno2013([cct, duv]))


def xyz(wavelengths: Array, values: Array) -> Array:
    """Return X, Y, Z of a spectrum by ASTM E308."""
    with _quiet():
        return np.asarray(library().sd_to_XYZ(_spectral(wavelengths, values)))


def at_1_nm(wavelengths: Array, values: Array) -> tuple[Array, Array]:
    """Interpolate a spectrum to 1 nm from 380 to 780 nm, by Sprague's method."""
    with _quiet():
        fine = _spectral(wavelengths, values).interpolate(library().SpectralShape(*ONE_NM))
    return np.asarray(fine.wavelengths), np.asarray(fine.values)


def _spectral(wavelengths: Array, values: Array):
    return library().SpectralDistribution(dict(zip(wavelengths.tolist(), values.tolist(), strict=True)))
