"""How the camera is set, for the f-number that an illuminance asks for."""

from typing import Self

from pydantic import model_validator

from ..basis.base import Model
from ..basis.problems import wrong
from ..basis.quantities import FrameRate, Iso, MeterConstant, ShutterAngle, ShutterTime


class Exposure(Model):
    """ISO speed, frame rate, and a shutter angle [°] or an exposure time [s]; 180° where neither is given.

    `constant` is the incident-light calibration constant C [lx·s] of ISO 2720:1974, which allows 240 to 400
    for a flat receptor and 320 to 540 for a dome; 250 and 340 are usual.
    """

    iso: Iso = 800.0
    frame_rate: FrameRate = 24.0
    shutter_angle: ShutterAngle | None = None
    shutter_time: ShutterTime | None = None
    constant: MeterConstant = 340.0

    @model_validator(mode="after")
    def _one_shutter(self) -> Self:
        if self.shutter_angle is not None and self.shutter_time is not None:
            raise wrong("the shutter is given twice, as an angle and as a time", "one of the two")
        if self.shutter_time is not None and self.shutter_time > 1 / self.frame_rate:
            says = f"{self.shutter_time:g} s is longer than a frame at {self.frame_rate:g} fps"
            raise wrong(says, f"up to {1 / self.frame_rate:.4g} s, or a lower frame rate")
        return self
