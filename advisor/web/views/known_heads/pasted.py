"""A reading of a pasted test, in words."""

from ....advice.readings.chromaticity import measure
from ....model import HeadReading, HeadSetup, Refused
from ....model.basis.quantities import tidy
from ....model.sets.known_head import HeadStep
from ...wording.values import lux, white_said


def row_said(reading: HeadReading) -> str:
    """Say what was understood: “50 %, dish: 5 790 K, Duv −0.0010, 1 000 lx”."""
    step = HeadStep(HeadSetup(reading.modifier, reading.dial), reading.level).words
    try:
        white = measure(reading)
        said = white_said(white.cct, white.duv)
    except Refused as no:
        said = no.problems[0].says
    light = f", {lux(reading.lux)}" if reading.lux is not None else ""
    power = f", {tidy(reading.watts)}\N{NO-BREAK SPACE}W" if reading.watts is not None else ""
    return f"{step}: {said}{light}{power}{', spectrum' if reading.spectrum else ''}"
