"""A lamp read bare and behind one sheet of the gel that is taught: alone, or with a second gel beside it.

The row of the second gel says what that one does. What the row leaves in doubt counts too: how strong its
sheet is, its hue, and which dyes give the shift of its label. All readings are taken to be behind the same
sheet of it, so its error is the same in all of them, and does not average out.
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
"""How far off a row may be if it does not say, or if it is fitted afresh: as far as a generic CTO. [%]"""
ACROSS = 0.5
"""How much sheets of one label differ in hue, as a share of how much in strength (our judgement)."""


@dataclass(frozen=True, eq=False)
class SheetObservation:
    """A pair of readings: a lamp `bare`, and the white `behind` one sheet, by a meter of `accuracy`.

    `beside` names the second gel that hung with the sheet; it is empty if none did. `passed` (81,) is the
    transmittance of the second gel. `unsure` (2, 2) [step] is the root of the covariance, along u′ and v′, of
    the light behind it, from the doubt about that gel.
    """

    bare: PreparedSource
    behind: WhitePoint
    accuracy: Accuracy
    beside: str = ""
    passed: Array | float = 1.0
    unsure: Array | None = None

    @property
    def mean(self) -> Array:
        """The mean spectrum of the lamp, (1, 81): without the sheet, behind the second gel if one hung."""
        return np.asarray(self.bare.mean * self.passed)

    @property
    def spectra(self) -> Array:
        """The spectra that it may have, (k, 81): without the sheet, behind the second gel if one hung."""
        return np.asarray(self.bare.ensemble.spectra * self.passed)


def observed(
    bare: PreparedSource, behind: WhitePoint, accuracy: Accuracy, other: Gel | None = None
) -> SheetObservation:
    """Return a pair as `fit_gel` needs it; `other` is the second gel, if one hung with the sheet."""
    if other is None:
        return SheetObservation(bare, behind, accuracy)
    passed = gel_arrays_of((other,)).transmittances[0]
    return SheetObservation(bare, behind, accuracy, other.name, passed, _unsure(other, bare))


def _unsure(other: Gel, bare: PreparedSource) -> Array:
    """Return the root (2, 2) [step] of the covariance of a lamp's light behind a gel that is in doubt."""
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
