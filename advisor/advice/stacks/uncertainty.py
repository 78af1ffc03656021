"""How far a prediction may be off, and which stacks look the same.

Where a stack leads is uncertain in two ways. The source may have any spectrum of its ensemble, each of which
lands at a place of its own. All of them are scattered alike by the rest, a normal scatter whose covariance
is the sum of

- a share of the way that the stack moves the light, for lamps that are in no ensemble; nothing where the
  spectrum was measured;
- the gels' dyes: how far other dyes of the same label would lead;
- the gels' strength, by what is said of each gel's label. Sheets of one gel are off together, and so are
  sheets of one series of which only the trade's usual figures are known;
- the meter, by what the crew says of it, carried through the stack as the same shift in mireds and Duv;
- a dim level between or beyond those that were read.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import moves_at
from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, uv_and_slope
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.loci import MIRED_K
from ...colour.observer.predict import through
from ...model import Accuracy
from ..readings.chromaticity import WhitePoint
from .enumerate import NONE, Indices
from .gel_arrays import GelArrays
from .prediction import PreparedSource, stacked

ROUND = 1.52
"""From root mean square to the radius that holds 90 % of a round normal scatter (Rayleigh)."""
SCALE = 1.35
"""The same of lamps and dyes, so that 90 % hold on the even rows of the accuracy check: lamps of a kind lie
nearer together than its ensemble."""
ALONG_LINE = 1.645
"""From standard deviation to the distance that holds 90 % of a normal scatter along a line."""
UNMODELLED_SHARE = 0.03
"""Root mean square error of lamps that no ensemble foresees, as a share of the light's shift. Set on the even
rows of the accuracy check."""
PER_STEP = np.array([1.0, 1.5]) / STEP_DELTA_UV
"""From moves in CIE 1960 (u, v) to moves in steps of Δu′v′ along u′ and v′."""
_ONE_STEP, _NINE_IN_TEN = 1.0, 0.9
"""Stacks whose results are this near, this often, look the same: one step is just visible (CIE TN 001:2014,
radius from memory)."""


class Certainty(NamedTuple):
    """How certain f stacks on a source are, all in steps.

    `places` (f, k, 2) are where each spectrum of the ensemble lands behind them, from the target along u′ and
    v′, and `covariance` (f, 2, 2) the scatter that is common to them. `steps` (f,) is the radius that holds
    90 % of outcomes.
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
    """Return how far lamps in no ensemble lead, mean square (f,) in steps², for light at `uv` (f, 2)."""
    if bare.ensemble.measured:
        return np.zeros(len(uv))
    return np.asarray((UNMODELLED_SHARE * delta_uv_prime(uv, bare.white.uv) / STEP_DELTA_UV) ** 2)


@lru_cache(maxsize=512)
def meter(white: WhitePoint, accuracy: Accuracy) -> Array:
    """Return the covariance (2, 2) [step²] of a reading by what the crew says of its meter."""
    warmer, greener = moves_at(np.array(white.cct), np.array(white.duv))
    mired = MIRED_K / white.cct * accuracy.meter_cct_percent / 100.0
    covariance = _along(warmer * mired) + _along(greener * accuracy.meter_duv)
    covariance.setflags(write=False)
    return covariance


def level(bare: PreparedSource) -> Array:
    """Return the covariance (2, 2) [step²] of a light that was read at other dim levels."""
    return (bare.doubt / STEP_DELTA_UV / ALONG_LINE) ** 2 * np.eye(2) / 2.0


def strength(
    bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, filters: Array, accuracy: Accuracy
) -> Array:
    """Return the covariance (f, 2, 2) [step²] of sheets that are stronger or weaker than their labels.

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
    """Return what a sheet moves that is a deviation stronger, in each layer of stacks, (f, w, 2) [step].

    A sheet of strength s has the transmittance T to the power s (Bouguer–Lambert–Beer); nine sheets in ten
    lie within the per cent that their row says.
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
    """Return what logarithms of transmittance change at the gels' per cent, (n + 1, 81); NONE is last."""
    percent = gel_arrays.off_percent(accuracy)[:, None]
    changes = np.log(np.maximum(gel_arrays.transmittances, 1e-9)) * percent / 100.0
    return np.concatenate([changes, np.zeros((1, changes.shape[1]))])


def looks_same(sure: Certainty, shares: Array) -> list[int | None]:
    """Return for each stack, best first, the place of the first above it that looks the same; None if none.

    The two land within one step of each other in nine of ten spectra, weighing `shares` (k,), that the source
    may have: no eye would tell which of the two hangs. It is a remark, and orders nothing.
    """
    found: list[int | None] = [None] * len(sure.places)
    for k in range(1, len(sure.places)):
        apart = sure.places[:k] - sure.places[k]
        near = np.hypot(apart[..., 0], apart[..., 1]) <= _ONE_STEP
        alike = np.flatnonzero(near @ shares >= _NINE_IN_TEN)
        found[k] = int(alike[0]) if len(alike) else None
    return found


def other_dyes(bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, filters: Array) -> Array:
    """Return what dyes of d other shapes with the same labels move behind stacks (f, w), (f, d, 2) [step].

    Each is one of d that are as likely: the sum of their squares is the scatter. `filters` (f, 81) are the
    stacks' transmittances.
    """
    both = np.concatenate([filters[None], stacked(gel_arrays.other_dyes, stacks)])
    own, *others = through(bare.mean, both).uv[..., 0, :]
    return np.asarray((np.stack(others, axis=1) - own[:, None]) * PER_STEP / np.sqrt(len(others)))


def _along(move: Array) -> Array:
    """Return the covariance (2, 2) [step²] of a scatter along a line: `move` in (u, v) holds 90 %."""
    steps = move * PER_STEP / ALONG_LINE
    return np.asarray(steps[:, None] * steps[None, :])
