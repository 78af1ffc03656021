"""The f-number that an illuminance asks for.

References
----------
ISO 2720:1974, incident-light equation: N² / t = E · S / C, with the f-number N, the exposure time t [s], the
illuminance E [lx], the ISO speed S and the constant C [lx·s].
ISO 517: whole f-numbers stand for powers of √2 and are written rounded: 1.4, 2.8, 5.6, 11, 22 (from memory).
"""

import math
from dataclasses import dataclass

from ...model import Exposure
from ...model.basis.quantities import tidy
from ...model.sets.phrases import counted

USUAL_ANGLE = 180.0
"""The shutter angle where none is given. [°] Common practice, no source."""
_WHOLE = (
    "0.5",
    "0.7",
    "1",
    "1.4",
    "2",
    "2.8",
    "4",
    "5.6",
    "8",
    "11",
    "16",
    "22",
    "32",
    "45",
    "64",
    "90",
    "128",
)
_FIRST = -2
"""The power of √2 that the first of the whole stops stands for: 0.5 = √2⁻²."""
_BETWEEN = {
    **{1: 1.1, 2: 1.2, 4: 1.6, 5: 1.8, 7: 2.2, 8: 2.5, 10: 3.2, 11: 3.5, 13: 4.5, 14: 5.0},
    **{16: 6.3, 17: 7.1, 19: 9.0, 20: 10.0, 22: 13.0, 23: 14.0, 25: 18.0, 26: 20.0, 28: 25.0, 29: 29.0},
}
"""What lenses write for the thirds between, by how many thirds of a stop they are over f/1 (from memory)."""
_THIRDS = ("", " ⅓", " ⅔")


@dataclass(frozen=True)
class FStop:
    """An f-number, and the nearest third of a stop as a crew says it: “f/4 ⅓”."""

    number: float
    words: str


def exposure_time(exposure: Exposure) -> float:
    """Return the exposure time t [s]: as given, or angle / 360° / frame rate, 180° where neither is given."""
    if exposure.shutter_time is not None:
        return exposure.shutter_time
    angle = USUAL_ANGLE if exposure.shutter_angle is None else exposure.shutter_angle
    return angle / 360.0 / exposure.frame_rate


def f_stop(lux: float, exposure: Exposure) -> FStop:
    """Return the f-number N = √(E · S · t / C) for an illuminance of `lux` [lx], above 0.

    Raises ValueError for an illuminance that is no light.
    """
    if not (math.isfinite(lux) and lux > 0):
        raise ValueError(f"an f-number needs an illuminance above 0 lx, got {lux}")
    number = math.sqrt(lux * exposure.iso * exposure_time(exposure) / exposure.constant)
    return FStop(number, said(number))


def lux_for(number: float, exposure: Exposure) -> float:
    """Return the illuminance E = N² · C / (S · t) that asks for the f-number N, above 0. [lx]"""
    return number**2 * exposure.constant / (exposure.iso * exposure_time(exposure))


def as_marked(number: float) -> float:
    """Return the f-number that a mark on a lens stands for: 2.8 is √8. What is no mark stays as it is."""
    marks = {3 * (index + _FIRST): float(mark) for index, mark in enumerate(_WHOLE)} | _BETWEEN
    thirds = next((k for k, mark in marks.items() if math.isclose(number, mark)), None)
    return number if thirds is None else math.exp2(thirds / 6.0)


def said(number: float) -> str:
    """Say an f-number, above 0, as a whole stop and thirds; beyond the scale, as stops from its end."""
    whole, third = divmod(round(6.0 * math.log2(number)), 3)
    at = whole - _FIRST
    if at < 0:
        return f"{_stops_from(number, 0)} wider than f/{_WHOLE[0]}"
    if at >= len(_WHOLE):
        return f"{_stops_from(number, len(_WHOLE) - 1)} beyond f/{_WHOLE[-1]}"
    return f"f/{_WHOLE[at]}{_THIRDS[third]}"


def time_said(seconds: float) -> str:
    """Say an exposure time as cameras show it: “1/48 s”, and “2 s” for long ones."""
    if seconds > 0.4:
        return f"{tidy(round(seconds, 2))} s"
    part = 1.0 / seconds
    return f"1/{tidy(round(part, 1 if part < 10 else 0))} s"


def _stops_from(number: float, at: int) -> str:
    return counted(round(abs(2.0 * math.log2(number) - (at + _FIRST)), 1), "stop")
