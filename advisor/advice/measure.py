"""From a reading and a target to chromaticities and spectra, or to words for why not."""

from dataclasses import dataclass

import numpy as np

from ..colour import grid, loci, sources
from ..colour.cct import CCT_RANGE, DUV_LIMIT, cct_duv_of_uv, normal_at, uv_of_cct_duv
from ..colour.chromaticity import is_real, uv_of_xy, uv_of_xyz, xy_of_uv
from ..colour.data import Array
from ..colour.figures import Figures
from ..colour.loci import MEGA
from ..colour.sources import Ensemble
from ..model import Aim, Locus, Reading, Refused, Source, Spectrum, Target
from ..model.quantities import tidy


@dataclass(frozen=True)
class Whiteness:
    """A chromaticity `uv` (2,) in CIE 1960 (u, v) that is near enough to white to have CCT [K] and Duv."""

    uv: Array
    cct: float
    duv: float


def measure(reading: Reading) -> Whiteness:
    """Return the chromaticity of a reading.

    Raises Refused where the reading is no real light, or too far from white to have a CCT.
    """
    if reading.spectrum is not None:
        return _near_white(
            uv_of_xyz(grid.xyz_of_samples(*samples(reading.spectrum))), "spectrum", "the spectrum"
        )
    if reading.cct is not None and reading.duv is not None:
        uv = uv_of_cct_duv(np.array(reading.cct), np.array(reading.duv))
        if not is_real(xy_of_uv(uv)):
            raise Refused.one(
                "duv",
                f"Duv {tidy(reading.duv)} at {tidy(reading.cct)} K is a colour that no light can have",
                "a Duv nearer to 0; read the meter again",
            )
        return Whiteness(uv, reading.cct, reading.duv)
    assert reading.xy is not None, "the model asks for one of the three"
    return _near_white(_uv_of_pair(reading.xy), "xy", f"x {reading.xy[0]:g}, y {reading.xy[1]:g}")


def ensemble_of(source: Source, white: Whiteness) -> Ensemble:
    """Return the spectra that a source, which reads `white`, may have: its own if it was measured.

    A measured spectrum keeps, on the grid, exactly the chromaticity that it has at its own steps.
    Raises Unbendable where no source of the kind reads so.
    """
    reading = source.reading
    if reading.spectrum is not None:
        return sources.measured(grid.to_grid(*samples(reading.spectrum)), white.uv)
    seen = Figures(reading.ra, reading.r9, reading.rf, reading.rg, reading.ssi, reading.ssi_reference)
    return sources.ensemble(source.kind, white.uv, seen)


def white_of(target: Target, others: list[Source]) -> Whiteness:
    """Return the white that `target` means; `others` are the sources that it may name.

    Raises Refused where it names none of them, or where its offset leads too far from white.
    """
    if target.source is not None:
        match = next((s for s in others if s.name.casefold() == target.source.casefold()), None)
        if match is None:
            names = ", ".join(s.name for s in others) or "there are none yet"
            raise Refused.one(
                "source", f"no source here is called {target.source!r}", f"one of the sources: {names}"
            )
        try:
            white = measure(match.reading)
        except Refused as no:
            says = f"{match.name} cannot be matched: {no.problems[0].says}"
            raise Refused.one("source", says, "another target, or a better reading of that source") from None
    else:
        assert target.cct is not None, "the model asks for a CCT or a source"
        white = _on_locus(target.cct, target.locus)
    if not target.duv_offset:
        return white
    return _near_white(
        white.uv + target.duv_offset * normal_at(np.array(white.cct)), "duv_offset", "the target"
    )


def aimed(target: Whiteness, aim: Aim) -> Whiteness:
    """Return the white that a source is wanted at: the target, warmer and greener by its aim.

    Raises Refused where that is too far from white.
    """
    if not aim.mired and not aim.duv:
        return target
    mired, duv = MEGA / target.cct + aim.mired, target.duv + aim.duv
    low, high = CCT_RANGE
    if not MEGA / high <= mired <= MEGA / low or abs(duv) > DUV_LIMIT:
        says = f"{tidy(aim.mired)} MK⁻¹ and Duv {tidy(aim.duv)} from the target is too far from white"
        raise Refused.one("aim", says, f"{tidy(low)} to {tidy(high)} K and a Duv within {tidy(DUV_LIMIT)}")
    return Whiteness(uv_of_cct_duv(np.array(MEGA / mired), np.array(duv)), MEGA / mired, duv)


def locus_duv(cct: float, locus: Locus) -> float | None:
    """Return the Duv of a locus at `cct` [K]; None where it does not reach."""
    if locus is Locus.PLANCKIAN:
        return 0.0
    low, high = loci.DAYLIGHT_RANGE
    return float(cct_duv_of_uv(loci.daylight_uv(np.array(cct)))[1]) if low <= cct <= high else None


def _on_locus(cct: float, locus: Locus) -> Whiteness:
    if locus is Locus.PLANCKIAN:
        return Whiteness(uv_of_cct_duv(np.array(cct), np.array(0.0)), cct, 0.0)
    return _near_white(loci.daylight_uv(np.array(cct)), "cct", "the target")


def _near_white(uv: Array, where: str, what: str) -> Whiteness:
    if not np.all(np.isfinite(uv)) or not is_real(xy_of_uv(uv)):
        raise Refused.one(
            where, f"{what} is a colour that no light can have", "a colour within the spectral locus"
        )
    cct, duv = (float(v) for v in cct_duv_of_uv(uv))
    if not np.isfinite(cct):
        low, high = CCT_RANGE
        raise Refused.one(
            where,
            f"{what} is too far from white to have a CCT",
            f"{tidy(low)} to {tidy(high)} K and a Duv of {tidy(-DUV_LIMIT)} to {tidy(DUV_LIMIT)}",
        )
    return Whiteness(uv, cct, duv)


def _uv_of_pair(xy: tuple[float, float]) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return uv_of_xy(np.array(xy))


def samples(spectrum: Spectrum) -> tuple[Array, Array]:
    """Return a spectrum's wavelengths [nm] and values, each (n,)."""
    values = np.array(spectrum.values, dtype=np.float64)
    wavelengths: Array = spectrum.start + spectrum.step * np.arange(len(values), dtype=np.float64)
    return wavelengths, values
