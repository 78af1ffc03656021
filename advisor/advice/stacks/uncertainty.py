"""How far a prediction may be off, and which stacks look the same.

Light behind a stack is uncertain in two ways. First, the source may have any spectrum of its ensemble, and
each lands at a place of its own. Second, everything else scatters all those places alike. That scatter is
normal, and its covariance is the sum of

- lamps outside the ensemble: a share of the distance that the stack moves the light. It is nothing where the
  spectrum was measured;
- dyes: how far from here other dyes of the same label would land;
- strength: how far sheets may be from their label. Sheets of one gel are off together, and so are sheets of
  one series where only the trade's usual figures are known;
- the meter: what the crew says of it, carried through the stack as the same shift in mireds and Duv;
- the dim level, where it lies between or beyond the levels that were read.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import moves_at
from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, through, uv_and_slope
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.loci import MIRED_K
from ...model import Accuracy
from ..readings.chromaticity import WhitePoint
from .enumerate import NONE, Indices
from .gel_arrays import GelArrays
from .prediction import PreparedSource, stacked

ROUND = 1.52
"""The factor from root mean square to the radius that holds 90 % of a round normal scatter (Rayleigh)."""
SCALE = 1.35
"""The same factor for lamps and dyes. It is smaller, because lamps of a kind spread less than its ensemble.
Set so that the radius holds 90 % on the even rows of the accuracy check."""
ALONG_LINE = 1.645
"""The factor from standard deviation to the distance that holds 90 % of a normal scatter along a line."""
UNMODELLED_SHARE = 0.03
"""The root mean square error of lamps outside their ensemble, as a share of the shift. Set on the even rows
of the accuracy check."""
PER_STEP = np.array([1.0, 1.5]) / STEP_DELTA_UV
"""The factors from moves in CIE 1960 (u, v) to moves in steps of Δu′v′ along u′ and v′."""
_ONE_STEP, _NINE_IN_TEN = 1.0, 0.9
"""Two stacks look the same if they land within one step of each other for nine spectra in ten. One step is
just visible (CIE TN 001:2014, radius from memory)."""


class Certainty(NamedTuple):
    """How certain the results of f stacks on a source are.

    `places` (f, k, 2) [step] is where each of k spectra lands, as an offset from the target along u′ and v′.
    `covariance` (f, 2, 2) [step²] is the scatter that all of them share. `steps` (f,) [step] is the radius
    that holds 90 % of outcomes.
    """

    places: Array
    covariance: Array
    steps: Array

    def at(self, chosen: Indices) -> "Certainty":
        """Return the certainty of some of the stacks."""
        return Certainty(self.places[chosen], self.covariance[chosen], self.steps[chosen])


def certainty(bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, accuracy: Accuracy) -> Certainty:
    """Work out how certain the outcomes of stacks (f, w) are."""
    filters = stacked(gel_arrays.transmittances, stacks)
    uv = through(bare.ensemble.spectra, filters).uv
    mean = np.einsum("mkc,k->mc", uv, bare.ensemble.weights)
    spread = delta_uv_prime(uv, mean[:, None, :]) ** 2 @ bare.ensemble.weights / STEP_DELTA_UV**2
    strange = strangeness(bare, mean)
    redyed = other_dyes(bare, gel_arrays, stacks, filters)
    dyes = redyed.transpose(0, 2, 1) @ redyed
    sheets = strength(bare, gel_arrays, stacks, filters, accuracy)
    steady = meter(bare.white, accuracy) + level(bare)
    wide = SCALE**2 * (spread + strange + dyes.trace(axis1=1, axis2=2))
    narrow = ALONG_LINE**2 * (sheets + steady).trace(axis1=1, axis2=2)
    covariance = strange[:, None, None] * np.eye(2) / 2.0 + dyes + sheets + steady
    return Certainty((uv - bare.wanted.uv) * PER_STEP, covariance, np.sqrt(wide + narrow))


def strangeness(bare: PreparedSource, uv: Array) -> Array:
    """Return the mean square error (f,) [step²] of lamps outside the ensemble, for light at `uv` (f, 2)."""
    if bare.ensemble.measured:
        return np.zeros(len(uv))
    return np.asarray((UNMODELLED_SHARE * delta_uv_prime(uv, bare.white.uv) / STEP_DELTA_UV) ** 2)


@lru_cache(maxsize=512)
def meter(white: WhitePoint, accuracy: Accuracy) -> Array:
    """Return the covariance (2, 2) [step²] of a reading, from what the crew says of its meter."""
    warmer, greener = moves_at(np.array(white.cct), np.array(white.duv))
    mired = MIRED_K / white.cct * accuracy.meter_cct_percent / 100.0
    covariance = _along(warmer * mired) + _along(greener * accuracy.meter_duv)
    covariance.setflags(write=False)
    return covariance


def level(bare: PreparedSource) -> Array:
    """Return the covariance (2, 2) [step²] of a light worked out from readings at other dim levels."""
    return (bare.doubt / STEP_DELTA_UV / ALONG_LINE) ** 2 * np.eye(2) / 2.0


def strength(
    bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, filters: Array, accuracy: Accuracy
) -> Array:
    """Return the covariance (f, 2, 2) [step²] from sheets that are stronger or weaker than their labels.

    `filters` (f, 81) are the stacks' transmittances.
    """
    if not _denser(gel_arrays, accuracy).any():
        return np.zeros((len(stacks), 2, 2))
    moves = stronger(bare, gel_arrays, stacks, filters, accuracy)
    series = np.append(gel_arrays.series, NONE)[stacks]
    together = (series[:, :, None] == series[:, None, :]).astype(np.float64)
    return np.asarray(moves.transpose(0, 2, 1) @ together @ moves)


def stronger(
    bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, filters: Array, accuracy: Accuracy
) -> Array:
    """Return how far a sheet one standard deviation too strong moves the light, by layer, (f, w, 2) [step].

    A sheet of strength s has the transmittance T to the power s (Bouguer–Lambert–Beer). Nine sheets in ten
    are within the per cent of their row. `filters` (f, 81) are the transmittances of `stacks` (f, w).
    """
    seen, denser = bare.mean[0, :, None] * weights(), _denser(gel_arrays, accuracy)
    moved = np.empty((*stacks.shape, 3))
    for k, layer in enumerate(stacks.T):
        moved[:, k] = (filters * denser[layer]) @ seen
    with np.errstate(invalid="ignore", divide="ignore"):
        _, slope = uv_and_slope((filters @ seen)[:, None, :], moved)
    return np.asarray(slope * PER_STEP / ALONG_LINE)


@lru_cache(maxsize=32)
def _denser(gel_arrays: GelArrays, accuracy: Accuracy) -> Array:
    """Return how far ln T changes in gels stronger by their per cent, (n + 1, 81); the last row is NONE."""
    percent = gel_arrays.off_percent(accuracy)[:, None]
    changes = np.log(np.maximum(gel_arrays.transmittances, 1e-9)) * percent / 100.0
    return np.concatenate([changes, np.zeros((1, changes.shape[1]))])


def looks_same(sure: Certainty, shares: Array) -> list[int | None]:
    """Return for each stack, best first, the row of the first above it that looks the same; None if none.

    Two stacks look the same if they land within one step of each other for nine in ten of the spectra that
    the source may have, weighted by `shares` (k,). No eye would tell which of them hangs. This is only a
    remark: it does not change the order.
    """
    found: list[int | None] = [None] * len(sure.places)
    for k in range(1, len(sure.places)):
        apart = sure.places[:k] - sure.places[k]
        near = np.hypot(apart[..., 0], apart[..., 1]) <= _ONE_STEP
        alike = np.flatnonzero(near @ shares >= _NINE_IN_TEN)
        found[k] = int(alike[0]) if len(alike) else None
    return found


def other_dyes(bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, filters: Array) -> Array:
    """Return how far dyes of d other shapes move the light behind stacks (f, w), (f, d, 2) [step].

    The labels stay the same. All d are equally likely, so each move is divided by √d: the sum of the squares
    is the variance. `filters` (f, 81) are the stacks' transmittances.
    """
    both = np.concatenate([filters[None], stacked(gel_arrays.other_dyes, stacks)])
    own, *others = through(bare.mean, both).uv[..., 0, :]
    return np.asarray((np.stack(others, axis=1) - own[:, None]) * PER_STEP / np.sqrt(len(others)))


def _along(move: Array) -> Array:
    """Return the covariance (2, 2) [step²] of a scatter along a line, 90 % within ± `move` in (u, v)."""
    steps = move * PER_STEP / ALONG_LINE
    return np.asarray(steps[:, None] * steps[None, :])
