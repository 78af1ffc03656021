"""A reading of a pasted test, in words."""

from collections.abc import Sequence

from ....advice.readings.chromaticity import measure
from ....model import HeadReading, HeadSetup, Problem, Refused
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


def lines_named(problems: Sequence[Problem]) -> list[Problem]:
    """Return what is wrong with a text, each with its line in words: “Line 3: CCT 27550 is out of range”."""
    return [
        p.model_copy(update={"says": f"{p.where.capitalize()}: {p.says}"})
        if p.where.startswith("line ")
        else p
        for p in problems
    ]
