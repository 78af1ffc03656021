"""What was read behind a sheet: alone, or with another gel that hung with it and is known by its row.

Of a stack of two gels the other one's light is taken as its row says, and its doubts count: how strong its
sheet is, its hue, and other dyes under its label. That sheet is the same in all readings behind it, so its
error is one error, however many lamps were read.
"""

from dataclasses import dataclass

import numpy as np

from ...colour.observer.chromaticity import PER_STEP, through
from ...colour.observer.data import Array
from ...colour.spectra import gels
from ...model import Accuracy, Gel
from ..readings.chromaticity import WhitePoint
from ..stacks.gel_arrays import gel_arrays_of
from ..stacks.prediction import PreparedSource
from ..stacks.uncertainty import ALONG_LINE
from .possible_rows import reference_of

UNSAID = 25.0
"""How far off a row is taken to be if it does not say, or is fitted afresh: as for a generic CTO. [%]"""
ACROSS = 0.5
"""Sheets of one label differ in hue half as much as in strength (our own judgement, no source)."""


@dataclass(frozen=True, eq=False)
class SheetObservation:
    """A pair of readings: a lamp `bare`, and the white `behind` one sheet, by a meter of `accuracy`.

    `beside` names another gel that hung with it, empty where none did. `passed` (81,) is the transmittance of
    that, and `unsure` (2, 2) [step] the moves that its doubts make of the light behind both, one a row.
    """

    bare: PreparedSource
    behind: WhitePoint
    accuracy: Accuracy
    beside: str = ""
    passed: Array | float = 1.0
    unsure: Array | None = None

    @property
    def mean(self) -> Array:
        """The mean spectrum of the lamp behind what hung with the sheet, (1, 81)."""
        return np.asarray(self.bare.mean * self.passed)

    @property
    def spectra(self) -> Array:
        """The spectra that the lamp may have, behind what hung with the sheet, (k, 81)."""
        return np.asarray(self.bare.ensemble.spectra * self.passed)


def observed(
    bare: PreparedSource, behind: WhitePoint, accuracy: Accuracy, other: Gel | None = None
) -> SheetObservation:
    """Return a pair as the fit needs it, where the gel `other` may have hung with the sheet."""
    if other is None:
        return SheetObservation(bare, behind, accuracy)
    passed = gel_arrays_of((other,)).transmittances[0]
    return SheetObservation(bare, behind, accuracy, other.name, passed, _unsure(other, bare))


def _unsure(other: Gel, bare: PreparedSource) -> Array:
    """Return the root (2, 2) of the covariance [step²] of a light, by the doubts of a gel."""
    percent = UNSAID if other.off_percent is None else other.off_percent
    more = 1.0 + percent / 100.0 / ALONG_LINE
    row = other.model_copy(update={"transmittance": None, "stops": None})
    shift = np.array([row.mired, row.mired * more]), np.array([row.cc, row.cc * more])
    kelvin = np.full(2, reference_of(row))
    sheets = gels.transmittances(*shift, np.full(2, np.nan), kelvin)
    own, stronger = through(bare.mean, sheets).uv[:, 0] * PER_STEP
    along = np.asarray(stronger - own)
    covariance = np.outer(along, along)
    covariance += ACROSS**2 * (float(along @ along) * np.eye(2) - covariance)
    if other.transmittance is None:
        others = np.array([through(bare.mean, t).uv[0, 0] for t in gel_arrays_of((row,)).other_dyes])
        apart = others * PER_STEP - own
        covariance += np.einsum("ka,kb->ab", apart, apart) / len(apart)
    values, axes = np.linalg.eigh(covariance)
    return np.asarray((axes * np.sqrt(np.maximum(values, 0.0))) @ axes.T)
