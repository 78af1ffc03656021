"""How far a prediction may be off, and which stacks look the same.

Light behind a stack is uncertain in two ways. First, the source may have any spectrum of its ensemble, and
each lands at an offset of its own. Second, everything else scatters all those offsets alike. That scatter is
normal, and its covariance is the sum of

- lamps outside the ensemble: a share of the distance that the stack moves the light. It is nothing where the
  spectrum was measured;
- dyes: how far from here other dyes of the same label would land;
- strength: how far sheets may be from their label. Sheets of one gel are off together, and sheets of one
  series partly, where only the trade's usual figures are known (`GelArrays.alike`);
- the meter: what the crew says of it, carried through the stack as the same shift in mireds and Duv;
- the dim level, where it lies between or beyond the levels that were read.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import moves_at
from ...colour.observer.chromaticity import (
    PER_STEP,
    STEP_DELTA_UV,
    lengths,
    uv_and_slope,
)
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.loci import MIRED_K
from ...model import Accuracy
from ..readings.chromaticity import WhitePoint
from .enumerate import Indices
from .gel_arrays import GelArrays
from .prediction import Outcomes, PreparedSource, behind_each

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
_ONE_STEP, _NINE_IN_TEN = 1.0, 0.9
"""Two stacks look the same if they land within one step of each other for nine spectra in ten. One step is
just visible (CIE TN 001:2014, radius from memory)."""


class Certainty(NamedTuple):
    """How certain the results of f stacks on a source are.

    `offsets` (f, k, 2) [step] are how far off the target each of k spectra lands, along u′ and v′.
    `covariance` (f, 2, 2) [step²] is the scatter that all of them share. `steps` (f,) [step] is the radius
    that holds 90 % of outcomes.
    """

    offsets: Array
    covariance: Array
    steps: Array

    def at(self, chosen: Indices) -> "Certainty":
        """Return the certainty of some of the stacks."""
        return Certainty(self.offsets[chosen], self.covariance[chosen], self.steps[chosen])


def certainty(bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, accuracy: Accuracy) -> Certainty:
    """Work out how certain the outcomes of stacks (f, w) are."""
    [sure] = certainties([bare], gel_arrays, [stacks], accuracy)
    return sure


def certainties(
    bares: Sequence[PreparedSource], gel_arrays: GelArrays, stacks: Sequence[Indices], accuracy: Accuracy
) -> list[Certainty]:
    """Work out for each source how certain the outcomes of its own stacks (f, w) are."""
    return [one.sure for one in landings(bares, gel_arrays, stacks, accuracy)]


class Landing(NamedTuple):
    """What stacks do to a source, and how certain that is."""

    outcomes: Outcomes
    sure: Certainty


def landings(
    bares: Sequence[PreparedSource], gel_arrays: GelArrays, stacks: Sequence[Indices], accuracy: Accuracy
) -> list[Landing]:
    """Work out for each source what its own stacks (f, w) do, and how certain that is."""
    behind = behind_each(bares, gel_arrays, stacks)
    mean = [
        np.einsum("mkc,k->mc", lit.light.uv, bare.ensemble.weights)
        for bare, lit in zip(bares, behind, strict=True)
    ]
    apart = lengths(
        [lit.light.uv - at[:, None, :] for lit, at in zip(behind, mean, strict=True)]
        + [at - bare.white.uv for bare, at in zip(bares, mean, strict=True)]
        + [lit.light.uv - bare.wanted.uv for bare, lit in zip(bares, behind, strict=True)]
    )
    sheets = strengths(bares, gel_arrays, stacks, [lit.filters for lit in behind], accuracy)
    steadies = steady_each(bares, accuracy)
    found = []
    for k, (bare, lit) in enumerate(zip(bares, behind, strict=True)):
        spread = apart[k] ** 2 @ bare.ensemble.weights / STEP_DELTA_UV**2
        strange = _strange(bare, apart[len(bares) + k])
        dyes = lit.redyed.transpose(0, 2, 1) @ lit.redyed
        steady = steadies[k]
        wide = SCALE**2 * (spread + strange + dyes.trace(axis1=1, axis2=2))
        narrow = ALONG_LINE**2 * (sheets[k] + steady).trace(axis1=1, axis2=2)
        covariance = strange[:, None, None] * np.eye(2) / 2.0 + dyes + sheets[k] + steady
        offsets = (lit.light.uv - bare.wanted.uv) * PER_STEP
        sure = Certainty(offsets, covariance, np.sqrt(wide + narrow))
        away = apart[2 * len(bares) + k] @ bare.ensemble.weights / STEP_DELTA_UV
        found.append(Landing(Outcomes(mean[k], away, lit.light.passed @ bare.ensemble.weights), sure))
    return found


def strangeness(bares: Sequence[PreparedSource], uv: Sequence[Array]) -> list[Array]:
    """Return the mean square error (f,) [step²] of lamps outside each ensemble, for light at `uv` (f, 2)."""
    moved = lengths([at - bare.white.uv for bare, at in zip(bares, uv, strict=True)])
    return [_strange(bare, by) for bare, by in zip(bares, moved, strict=True)]


def _strange(bare: PreparedSource, moved: Array) -> Array:
    """Return `strangeness` of one source, for light that was `moved` so far (f,). [Δu′v′]"""
    if bare.ensemble.measured:
        return np.zeros(len(moved))
    return np.asarray((UNMODELLED_SHARE * moved / STEP_DELTA_UV) ** 2)


def meter(white: WhitePoint, accuracy: Accuracy) -> Array:
    """Return the covariance (2, 2) [step²] of a reading, from what the crew says of its meter."""
    return meter_within(white, accuracy.meter_cct_percent, accuracy.meter_duv)


def meter_within(white: WhitePoint, cct_percent: float, duv: float) -> Array:
    """Return the covariance (2, 2) [step²] of a reading, off by so many per cent and Duv at 90 %."""
    return np.asarray(_meters((white,), cct_percent, duv)[0])


@lru_cache(maxsize=512)
def _meters(whites: tuple[WhitePoint, ...], cct_percent: float, off: float) -> Array:
    """Return `meter_within` of each white, (n, 2, 2)."""
    cct, duv = (np.array([getattr(white, axis) for white in whites]) for axis in ("cct", "duv"))
    warmer, greener = moves_at(cct, duv)
    mired = (MIRED_K / cct * cct_percent / 100.0)[:, None]
    moves = zip(warmer * mired, greener * off, strict=True)
    covariances = np.array([_along(warm) + _along(green) for warm, green in moves])
    covariances.setflags(write=False)
    return covariances


def steady_each(bares: Sequence[PreparedSource], accuracy: Accuracy) -> list[Array]:
    """Return each source's scatter (2, 2) [step²] that is the same behind all stacks: `meter` and `level`."""
    whites = tuple(bare.white for bare in bares)
    meters = _meters(whites, accuracy.meter_cct_percent, accuracy.meter_duv)
    return [found + level(bare) for found, bare in zip(meters, bares, strict=True)]


def level(bare: PreparedSource) -> Array:
    """Return the covariance (2, 2) [step²] of a light worked out from readings at other dim levels."""
    return (bare.doubt / STEP_DELTA_UV / ALONG_LINE) ** 2 * np.eye(2) / 2.0


def strengths(
    bares: Sequence[PreparedSource],
    gel_arrays: GelArrays,
    stacks: Sequence[Indices],
    filters: Sequence[Array],
    accuracy: Accuracy,
) -> list[Array]:
    """Return the covariances (f, 2, 2) [step²] from sheets that are stronger or weaker than their labels.

    Each source has its own `stacks` (f, w) and their transmittances, `filters` (f, 81).
    """
    if not _denser(gel_arrays, accuracy).any():
        return [np.zeros((len(own), 2, 2)) for own in stacks]
    found = []
    for own, moves in zip(stacks, _stronger(bares, gel_arrays, stacks, filters, accuracy), strict=True):
        together = gel_arrays.alike[own[:, :, None], own[:, None, :]]
        found.append(np.asarray(moves.transpose(0, 2, 1) @ together @ moves))
    return found


def stronger(
    bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, filters: Array, accuracy: Accuracy
) -> Array:
    """Return how far a sheet one standard deviation too strong moves the light, by layer, (f, w, 2) [step].

    A sheet of strength s has the transmittance T to the power s (Bouguer–Lambert–Beer). Nine sheets in ten
    are within the per cent of their row. `filters` (f, 81) are the transmittances of `stacks` (f, w).
    """
    [moves] = _stronger([bare], gel_arrays, [stacks], [filters], accuracy)
    return moves


def _stronger(
    bares: Sequence[PreparedSource],
    gel_arrays: GelArrays,
    stacks: Sequence[Indices],
    filters: Sequence[Array],
    accuracy: Accuracy,
) -> list[Array]:
    """Return `stronger` of each source behind its own stacks."""
    denser, observer, xyz, moved = _denser(gel_arrays, accuracy), weights(), [], []
    for bare, own, filtered in zip(bares, stacks, filters, strict=True):
        seen = bare.mean[0, :, None] * observer
        layers = [(filtered * denser[layer]) @ seen for layer in own.T]
        moved += layers
        xyz += [filtered @ seen] * len(layers)
    if not moved:
        return [np.zeros((*own.shape, 2)) for own in stacks]
    with np.errstate(invalid="ignore", divide="ignore"):
        _, slope = uv_and_slope(np.concatenate(xyz), np.concatenate(moved))
    ends = np.cumsum([own.size for own in stacks])[:-1]
    parts = zip(stacks, np.split(slope * PER_STEP / ALONG_LINE, ends), strict=True)
    return [part.reshape(*own.shape[::-1], 2).swapaxes(0, 1) for own, part in parts]


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
    found: list[int | None] = [None] * len(sure.offsets)
    for k in range(1, len(sure.offsets)):
        apart = sure.offsets[:k] - sure.offsets[k]
        near = np.hypot(apart[..., 0], apart[..., 1]) <= _ONE_STEP
        alike = np.flatnonzero(near @ shares >= _NINE_IN_TEN)
        found[k] = int(alike[0]) if len(alike) else None
    return found


def _along(move: Array) -> Array:
    """Return the covariance (2, 2) [step²] of a scatter along a line, 90 % within ± `move` in (u, v)."""
    steps = move * PER_STEP / ALONG_LINE
    return np.asarray(steps[:, None] * steps[None, :])
