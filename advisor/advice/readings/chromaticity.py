"""Turn a reading into its chromaticity, or say why that cannot be done."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot, isfinite

import numpy as np

from ...colour.observer import grid
from ...colour.observer.cct import CCT_RANGE, DUV_LIMIT, cct_duv_of_uv, in_range, moves_at, uv_of_cct_duv
from ...colour.observer.chromaticity import uv_of_xy, uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.loci import CC_PER_DUV, MIRED_K
from ...colour.observer.real_light import held_real, is_real_uv
from ...colour.spectra.last_asked import LastAsked
from ...model import Curve, Reading, Refused
from ...model.basis.quantities import Lux, quantity_of, tidy

_LUX = quantity_of(Lux)
_ROUNDING_XY = 1e-4
"""The rounding error of x and y with four decimals, plus a margin. [Δuv]"""


@dataclass(frozen=True, eq=False)
class WhitePoint:
    """A chromaticity `uv` (2,) in CIE 1960 (u, v) that is near enough to white to have CCT [K] and Duv."""

    uv: Array
    cct: float
    duv: float

    @property
    def mired(self) -> float:
        """A million over its CCT. [MK⁻¹]"""
        return MIRED_K / self.cct

    @property
    def cc(self) -> float:
        """How green it is, by its Duv. [CC]"""
        return CC_PER_DUV * self.duv

    def shift_to(self, other: "WhitePoint") -> tuple[float, float]:
        """Return what carries this white to another, in mired [MK⁻¹] and Duv: positive warms, turns green."""
        return MIRED_K / other.cct - MIRED_K / self.cct, other.duv - self.duv


def shifts_between(whites: Iterable[tuple[WhitePoint, WhitePoint]]) -> list[tuple[float, float]]:
    """Return what carries the first white of each pair to the second, as `WhitePoint.shift_to` does."""
    return [white.shift_to(other) for white, other in whites]


def measure(reading: Reading) -> WhitePoint:
    """Return the chromaticity of a reading.

    If it is outside the spectral locus by no more than a meter's rounding, it is moved onto the locus. Raises
    Refused if the reading is no real light, or too far from white to have a CCT.
    """
    if reading.spectrum is not None:
        return near_white(
            uv_of_xyz(grid.xyz_of_samples(*samples(reading.spectrum))), "spectrum", "the spectrum"
        )
    if reading.cct is not None and reading.duv is not None:
        return _white_of(reading.cct, reading.duv)
    if reading.xy is None:
        raise unread()
    uv = _uv_of_pair(reading.xy)
    [real] = held_real(uv[None])
    near = bool(hypot(*(real - uv)) <= _ROUNDING_XY)
    return near_white(real if near else uv, "xy", f"x {reading.xy[0]:g}, y {reading.xy[1]:g}")


def measure_each(readings: Iterable[Reading]) -> list[WhitePoint | Refused]:
    """Return the chromaticity of each reading, as `measure` does; where there is none, why."""
    readings = list(readings)
    printed = [_printed(reading) for reading in readings]
    known = iter(_KEPT.of_all([one for one in printed if one], _whites_of))
    found: list[WhitePoint | Refused] = []
    for reading, one in zip(readings, printed, strict=True):
        try:
            found.append((next(known) or _no_light_so(*one)) if one else measure(reading))
        except Refused as no:
            found.append(no)
    return found


def whites_of(readings: Iterable[Reading]) -> list[WhitePoint | None]:
    """Return the chromaticity of each reading; None for one that is no real light, or too far from white."""
    return [None if isinstance(white, Refused) else white for white in measure_each(readings)]


def _printed(reading: Reading) -> tuple[float, float] | None:
    """Return the CCT and Duv that a meter printed, where these count."""
    if reading.spectrum is not None or reading.cct is None or reading.duv is None:
        return None
    return reading.cct, reading.duv


def _white_of(cct: float, duv: float) -> WhitePoint:
    """Return the white of what a meter prints. Raises Refused where no light is so."""
    [white] = _KEPT.of_all([(cct, duv)], _whites_of)
    if white is None:
        raise _no_light_so(cct, duv)
    return white


def _no_light_so(cct: float, duv: float) -> Refused:
    says = f"Duv {tidy(duv)} at {tidy(cct)} K is a colour that no light can have"
    return Refused.one("duv", says, "a Duv nearer to 0, or another reading")


def _whites_of(printed: Sequence[tuple[float, float]]) -> list[WhitePoint | None]:
    """Return the whites of what a meter prints, CCT [K] and Duv each; None where no light is so."""
    uv = uv_of_cct_duv(*np.array(printed).T)
    uv.setflags(write=False)
    return [_held_white(*one, *at) for one, *at in zip(printed, uv, held_real(uv), strict=True)]


_KEPT = LastAsked[tuple[float, float], WhitePoint | None](2048)
"""Each reading's white is needed many times."""


def _held_white(cct: float, duv: float, uv: Array, real: Array) -> WhitePoint | None:
    """Return the white of what a meter prints, `uv` (2,) or `real` (2,), the nearest that a light can have.

    None where that is further away than a meter's rounding.
    """
    away = hypot(*(real - uv))
    if away > 0.0 and away > _rounding(cct):
        return None
    return (white_at(real) if away > 0.0 else None) or WhitePoint(uv, cct, duv)


def held(lux: float) -> float:
    """Return an illuminance that was worked out [lx], clipped to the range that a reading may have."""
    return float(min(max(lux, _LUX.low), _LUX.high))


def held_each(luxes: Iterable[float | None]) -> list[float | None]:
    """Return illuminances as `held` does; None stays so."""
    return [None if lux is None else held(lux) for lux in luxes]


def unread() -> Refused:
    """Return the error for a source without a bare reading that counts: it has no white."""
    return Refused.one("reading", "no bare reading of it counts", "meter it bare, or bring one back")


def _rounding(cct: float) -> float:
    """Return the rounding error that is allowed in what a meter prints. [Δuv]

    It is twice that of half a kelvin and half of 0.0001 Duv: a meter's own tables are no better than its last
    digit.
    """
    a_mired = hypot(*moves_at(np.array(cct), np.array(0.0))[0])
    return 2.0 * hypot(0.5 * MIRED_K / cct**2 * a_mired, 0.00005)


def near_white(uv: Array, where: str, what: str) -> WhitePoint:
    """Return a chromaticity with its CCT and Duv. Raises Refused at `where` if `what` has none."""
    if not np.all(np.isfinite(uv)) or not is_real_uv(uv):
        raise _no_light(where, what)
    white = white_at(uv)
    if white is None:
        raise _too_far(where, what)
    return white


def white_with(mired: float, duv: float, where: str, what: str) -> WhitePoint:
    """Return the white of a `mired` [MK⁻¹] and a `duv`. Raises Refused at `where` if `what` is none."""
    if not in_range(mired, duv):
        raise _too_far(where, what)
    cct = float(np.clip(MIRED_K / mired, *CCT_RANGE))
    uv = uv_of_cct_duv(np.array(cct), np.array(duv))
    if not is_real_uv(uv):
        raise _no_light(where, what)
    return WhitePoint(uv, cct, duv)


def _too_far(where: str, what: str) -> Refused:
    low, high = CCT_RANGE
    span = f"{tidy(low)} to {tidy(high)} K and a Duv of {tidy(-DUV_LIMIT)} to {tidy(DUV_LIMIT)}"
    return Refused.one(where, f"{what} is too far from white to have a CCT", span)


def _no_light(where: str, what: str) -> Refused:
    says = f"{what} is a colour that no light can have"
    return Refused.one(where, says, "a colour within the spectral locus")


def white_at(uv: Array) -> WhitePoint | None:
    """Return a chromaticity (2,) in (u, v) with its CCT and Duv; None where it is too far from white."""
    return _white_at(float(uv[0]), float(uv[1]))


@lru_cache(maxsize=4096)
def _white_at(u: float, v: float) -> WhitePoint | None:
    # Kept, since after a change of one source of a set the light of all others is as it was.
    uv = np.array([[u, v]])
    uv.setflags(write=False)
    [white] = whites_at(uv)
    return white


def whites_at(uv: Array) -> list[WhitePoint | None]:
    """Return `white_at` of each of n chromaticities, (n, 2)."""
    each = zip(uv, *(values.tolist() for values in cct_duv_of_uv(uv)), strict=True)
    return [WhitePoint(at, cct, duv) if isfinite(cct) else None for at, cct, duv in each]


def _uv_of_pair(xy: tuple[float, float]) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return uv_of_xy(np.array(xy))


def samples(curve: Curve) -> tuple[Array, Array]:
    """Return the wavelengths [nm] and values, each (n,), of a spectrum or a transmittance."""
    values = np.array(curve.values, dtype=np.float64)
    wavelengths: Array = curve.start + curve.step * np.arange(len(values), dtype=np.float64)
    return wavelengths, values
