"""Published spectra, read from colour-science once each.

References
----------
CIE 15:2018, Colorimetry, 4th ed.: the 1931 2° observer, illuminants, S0, S1, S2 of daylight.
ISO/CIE 11664-1:2019: the 1931 2° observer at 1 nm.
ASTM E308-18, 7.3: spectra measured at coarser steps are interpolated to 1 nm before summing.

colour-science is imported inside the functions: pages that show no colour start without it.
"""

import warnings
from collections.abc import Sequence
from functools import cache
from types import ModuleType
from typing import NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class TabulatedSpectrum(NamedTuple):
    """Relative power `values` at increasing `wavelengths`. [nm]"""

    wavelengths: Array
    values: Array


@cache
def library() -> ModuleType:
    """Import colour-science without its notices about optional parts that are not installed."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=".*related API features are not available")
        import colour
    return cast(ModuleType, colour)


@cache
def observer() -> TabulatedSpectrum:
    """Return the CIE 1931 2° colour-matching functions, 360 to 830 nm at 1 nm; values have shape (471, 3)."""
    return _frozen(library().MSDS_CMFS["CIE 1931 2 Degree Standard Observer"])


def published_each(names: Sequence[str]) -> list[TabulatedSpectrum]:
    """Return the `published` spectra of several names."""
    return [published(name) for name in names]


@cache
def published(name: str) -> TabulatedSpectrum:
    """Return a CIE or ISO illuminant, or else a measured lamp, by colour-science's name for it.

    Raises KeyError for a name that it has not.
    """
    found = library().SDS_ILLUMINANTS
    return _frozen(found[name] if name in found else library().SDS_LIGHT_SOURCES[name])


@cache
def test_colours() -> tuple[TabulatedSpectrum, ...]:
    """Return the reflectances of CIE test colours 1 to 15."""
    samples = library().quality.datasets.tcs.SDS_TCS["CIE 2024"]
    return tuple(_frozen(samples[name]) for name in sorted(samples))


@cache
def daylight_components() -> TabulatedSpectrum:
    """Return S0, S1, S2 of daylight (CIE 15:2018, table 6); values have shape (n, 3)."""
    basis = library().colorimetry.SDS_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES
    parts = [_frozen(basis[name]) for name in ("S0", "S1", "S2")]
    values = np.stack([part.values for part in parts], axis=-1)
    values.setflags(write=False)
    return TabulatedSpectrum(parts[0].wavelengths, values)


def _frozen(spectral: object) -> TabulatedSpectrum:
    pair = TabulatedSpectrum(
        np.array(spectral.wavelengths, dtype=np.float64),  # type: ignore[attr-defined]
        np.array(spectral.values, dtype=np.float64),  # type: ignore[attr-defined]
    )
    for array in pair:
        array.setflags(write=False)
    return pair
