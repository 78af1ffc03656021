"""How a measured light renders colours, bare and behind a stack, beside what the meter said of it."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import WAVELENGTHS, weights
from ...colour.rendering.rendition import Rendition, rendition
from ...colour.rendering.ssi import similarity
from ...model import Locus, Reading
from ..readings.chromaticity import WhitePoint, white_at
from ..readings.target import locus_duv
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource


@dataclass(frozen=True, eq=False)
class Rendered:
    """One light: `cct` [K] and `duv` are None where it is no white; `ssi` is against a reference."""

    spectrum: Array
    cct: float | None
    duv: float | None
    rendition: Rendition
    ssi: float


@dataclass(frozen=True)
class FigureCompared:
    """A figure as the meter gave it and as the spectrum has it."""

    name: str
    meter: float
    computed: float


def reference_of(target: WhitePoint) -> str:
    """Name the SSI reference of a target's white: the locus that it is nearer to, daylight from 4 000 K."""
    cct = round(target.cct)
    daylight = locus_duv(cct, Locus.DAYLIGHT)
    return f"{'P' if daylight is None or target.duv <= daylight / 2 else 'D'}{min(max(cct, 1000), 25000)}"


def render(bare: PreparedSource, gel_arrays: GelArrays, gels: Sequence[str], reference: str) -> Rendered:
    """Return how the source's light renders behind gels; none is the bare source."""
    sheets = gel_arrays.product(gel_arrays.find(gels))
    spectrum = bare.mean[0] * sheets
    white = white_at(uv_of_xyz(spectrum @ weights()))
    return Rendered(
        spectrum=spectrum,
        cct=white.cct if white else None,
        duv=white.duv if white else None,
        rendition=rendition(spectrum),
        ssi=similarity(spectrum, reference),
    )


def differences(reading: Reading, light: Rendered) -> list[FigureCompared]:
    """Return the figures that the meter gave too."""
    computed = {
        "CCT": (reading.cct, light.cct),
        "Duv": (reading.duv, light.duv),
        "Ra": (reading.ra, light.rendition.ra),
        "R9": (reading.r9, light.rendition.special[8]),
        "Rf": (reading.rf, light.rendition.rf),
        "Rg": (reading.rg, light.rendition.rg),
    }
    pairs = [FigureCompared(k, m, c) for k, (m, c) in computed.items() if m is not None and c is not None]
    if reading.ssi is not None and reading.ssi_reference is not None:
        index = similarity(light.spectrum, reading.ssi_reference)
        pairs.append(FigureCompared(f"SSI {reading.ssi_reference}", reading.ssi, index))
    return pairs


def curve(spectrum: Array, highest: float) -> list[tuple[float, float]]:
    """Return the points of a spectrum (81,) for a plot: wavelength [nm], share of `highest`."""
    return [(float(w), float(v) / highest) for w, v in zip(WAVELENGTHS, spectrum, strict=True)]
