"""The gels of the check: sixteen labels, and transmittances at 1 nm by dyes that are not the advisor's.

The dyes' bands are those of the product's design with their centres moved by 10 to 15 nm and their
widths grown by a fifth; they stand here as numbers, so that a change of the product's own dyes does not
change what it is checked against. The strengths are solved here, at 1 nm, for what the label says.
"""

from functools import cache
from typing import NamedTuple

import numpy as np

from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.data import Array
from advisor.colour.observer.loci import planckian
from advisor.model import Gel
from tests.accuracy.lamps import WAVELENGTHS, observer_at_1_nm, uv_at_1_nm

FULL_CTO = 1e6 / 3200 - 1e6 / 5600
SHARES = {"1/8": 1 / 8, "1/4": 1 / 4, "1/2": 1 / 2, "full": 1.0}
GREENS = {"1/8": 3.5, "1/4": 7.5, "1/2": 15.0, "full": 30.0}
"""[CC] Common practice, no source."""
CLEAR_BASE = 0.92

Bands = tuple[tuple[float, float], tuple[float, float]]
"""Centre and width of the two bands of a dye. [nm]"""
WARM: Bands = ((420, 55), (520, 55))
COOL: Bands = ((640, 70), (560, 60))
GREEN: Bands = ((440, 35), (650, 50))
MAGENTA: Bands = ((545, 40), (450, 40))


class DyeSet(NamedTuple):
    """How far the first and the second band of every dye move [nm]; all are `wider` times as wide."""

    first: float
    second: float
    wider: float = 1.2

    @property
    def name(self) -> str:
        return f"{self.first:+g}/{self.second:+g} nm"


DYE_SETS = (
    DyeSet(10, 10),
    DyeSet(-10, -10),
    DyeSet(15, 15),
    DyeSet(-15, -15),
    DyeSet(12, -12),
    DyeSet(-12, 12),
)


class Label(NamedTuple):
    """What is printed on a gel, and the bands of its dye."""

    family: str
    fraction: str
    mired: float
    cc: float
    bands: Bands


LABELS = (
    *(Label("CTO", f, FULL_CTO * share, 0.0, WARM) for f, share in SHARES.items()),
    *(Label("CTB", f, -FULL_CTO * share, 0.0, COOL) for f, share in SHARES.items()),
    *(Label("Plus green", f, 0.0, cc, GREEN) for f, cc in GREENS.items()),
    *(Label("Minus green", f, 0.0, -cc, MAGENTA) for f, cc in GREENS.items()),
)


class Filters(NamedTuple):
    """Gels as they are, `transmittances` (16, 401), and as their labels tell the advisor, `rows`."""

    transmittances: Array
    rows: tuple[Gel, ...]


@cache
def filters(dyes: DyeSet) -> Filters:
    """Make the sixteen gels of a set of dyes."""
    made = [_transmittance(label, dyes) for label in LABELS]
    rows = tuple(
        Gel(
            family=label.family,
            fraction=label.fraction,
            mired=label.mired,
            cc=label.cc,
            stops=_stops(_reference(label), passed),
        )
        for label, passed in zip(LABELS, made, strict=True)
    )
    return Filters(np.array(made), rows)


def _reference(label: Label) -> Array:
    return planckian(_reference_cct(label), WAVELENGTHS)


def _reference_cct(label: Label) -> float:
    return 3200.0 if label.mired < 0 else 5600.0


def _transmittance(label: Label, dyes: DyeSet) -> Array:
    """Solve the two strengths of a dye so that the label holds on its reference."""
    moved = zip(label.bands, (dyes.first, dyes.second), strict=True)
    shapes = np.array(
        [
            np.exp(-0.5 * ((WAVELENGTHS - centre - by) / (width * dyes.wider)) ** 2)
            for (centre, width), by in moved
        ]
    )
    lit, cct = _reference(label), 1e6 / (1e6 / _reference_cct(label) + label.mired)
    wanted = uv_of_cct_duv(np.array(cct), np.array(label.cc / 1000.0))
    strengths = np.zeros(2)
    for _ in range(100):
        rest = uv_at_1_nm(lit * 10.0 ** -(strengths @ shapes)) - wanted
        if np.abs(rest).max() < 1e-12:
            break
        nudged = strengths + 1e-6 * np.eye(2)
        slope = (uv_at_1_nm(lit * 10.0 ** -(nudged @ shapes)) - wanted - rest).T / 1e-6
        step = np.linalg.solve(slope, rest)
        strengths = strengths - step * min(1.0, 0.3 / np.abs(step).max())
    else:
        raise ValueError(f"no gel {label.family} {label.fraction} of the dyes {dyes.name}")
    passed = 10.0 ** -(strengths @ shapes)
    return np.asarray(CLEAR_BASE / max(1.0, passed.max()) * passed)


def _stops(lit: Array, passed: Array) -> float:
    seen = lit * observer_at_1_nm()[:, 1]
    return float(-np.log2((seen * passed).sum() / seen.sum()))
