"""How a measured light renders colours, bare and behind a stack, beside what the meter said of it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import GRID_STEP, WAVELENGTHS, to_grid, weights
from ...colour.rendering.rendition import Rendition, rendition
from ...colour.rendering.ssi import similarity
from ...model import Locus, Reading, Target
from ..readings.chromaticity import WhitePoint, white_at
from ..readings.shape import shape_of
from ..readings.target import locus_duv
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource


@dataclass(frozen=True, eq=False)
class Rendered:
    """One light: `cct` [K] and `duv` are None where it is no white; `ssi` is against a reference.

    `spectrum` is on the grid (81,); `fine` are the wavelengths [nm] and values of the same light, (2, n), at
    the steps that it was measured in where those are finer: SSI is defined at 1 nm.
    """

    spectrum: Array
    fine: Array
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


def reference_named(target: Target, white: WhitePoint) -> str:
    """Name the SSI reference as the target is named: D5600 for 5 600 K of daylight.

    A target that is the white of a source has no such name, and gets that of the locus that it is nearer to.
    """
    if target.cct is None:
        return reference_of(white)
    return f"{'D' if target.locus is Locus.DAYLIGHT else 'P'}{min(max(round(target.cct), 1000), 25000)}"


def render(bare: PreparedSource, gel_arrays: GelArrays, gels: Sequence[str], reference: str) -> Rendered:
    """Return how the source's light renders behind gels; none is the bare source."""
    sheets = gel_arrays.product(gel_arrays.find(gels))
    spectrum = bare.mean[0] * sheets
    white = white_at(uv_of_xyz(spectrum @ weights()))
    fine = _fine(bare, spectrum)
    return Rendered(
        spectrum=spectrum,
        fine=fine,
        cct=white.cct if white else None,
        duv=white.duv if white else None,
        rendition=rendition(spectrum),
        ssi=similarity(fine[1], reference, fine[0]),
    )


def _fine(bare: PreparedSource, spectrum: Array) -> Array:
    """Return a light (81,) at the steps in which its source was measured, where those are finer.

    What hangs and what else the engine makes of the source is smooth: straight lines between the points of
    the grid will do.
    """
    own = shape_of(bare.source)
    if own is None or own.step >= GRID_STEP:
        return np.stack([WAVELENGTHS, spectrum])
    at: Array = np.asarray(own.start + own.step * np.arange(len(own.values)), dtype=np.float64)
    measured: Array = np.array(own.values, dtype=np.float64)
    on_grid = to_grid(at, measured)
    passed = np.divide(spectrum, on_grid, out=np.zeros_like(spectrum), where=on_grid > 0.0)
    return np.stack([at, measured * np.interp(at, WAVELENGTHS, passed)])


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
        index = similarity(light.fine[1], reading.ssi_reference, light.fine[0])
        pairs.append(FigureCompared(f"SSI {reading.ssi_reference}", reading.ssi, index))
    return pairs


def curve(spectrum: Array, highest: float) -> list[tuple[float, float]]:
    """Return the points of a spectrum (81,) for a plot: wavelength [nm], share of `highest`."""
    return [(float(w), float(v) / highest) for w, v in zip(WAVELENGTHS, spectrum, strict=True)]
