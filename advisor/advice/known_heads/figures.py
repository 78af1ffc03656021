"""Ra, R9, Rf, Rg and SSI of a head that was read as a spectrum, worked out from it."""

from functools import lru_cache
from typing import NamedTuple

from ...colour.observer.grid import GRID_STEP, WAVELENGTHS, to_grid
from ...colour.rendering.rendition import rendition
from ...colour.rendering.ssi import similarity
from ...model import Spectrum
from ..pictures.rendering import reference_of
from ..readings.chromaticity import WhitePoint, samples


class SpectrumFigures(NamedTuple):
    """Figures of a spectrum; `ssi` is against `ssi_reference`, such as D5600."""

    ra: float
    r9: float
    rf: float
    rg: float
    ssi: float
    ssi_reference: str


def figures_of(spectrum: Spectrum, white: WhitePoint) -> SpectrumFigures:
    """Return the figures of a spectrum whose white is given: SSI against the locus that it is nearer to."""
    return _figures(spectrum, reference_of(white))


@lru_cache(maxsize=512)
def _figures(spectrum: Spectrum, reference: str) -> SpectrumFigures:
    # Kept, since a sheet is opened more often than a head is read.
    at, values = samples(spectrum)
    on_grid = to_grid(at, values)
    found = rendition(on_grid)
    # SSI is defined at 1 nm: what was read finer than the grid stays so.
    fine = (values, at) if spectrum.step < GRID_STEP else (on_grid, WAVELENGTHS)
    ssi = float(similarity(fine[0], reference, fine[1]))
    return SpectrumFigures(found.ra, float(found.special[8]), found.rf, found.rg, ssi, reference)
