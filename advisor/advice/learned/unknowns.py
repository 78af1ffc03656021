"""What may make the light behind a stack differ from the prediction: a move for each unknown.

Each unknown is a normal variable of mean 0 and standard deviation 1. It is the same for all stacks on the
source, so what it does behind one stack tells what it does behind another. A move is what one standard
deviation does. The unknowns are

- the lamp, within its ensemble: each member's distance from the mean, times the root of its weight;
- the lamp, outside its ensemble: its spectrum is stronger or weaker in a band of some 20 nm. The bare reading
  ties the bands together (`posterior`): bare, they may move the light no farther than the meter may be off;
- a lamp that `drifted` since it was read bare: a slope and a bow of its spectrum;
- dyes of another shape under the same labels;
- the hue of each gel: a share of what its strength may do, at right angles to the gel's shift;
- the strength of each gel, and what gels of a series share of which only the trade's usual figures are known.

So a weak sheet makes the fit take the others of its series for weak. That is right of a series that is weak
as a whole. It is wrong where one sheet faded, or each is off by itself, and one sheet cannot tell which
(common practice, no source: sheets of a series share their hue, and each has a strength of its own). So what
is `carried` over to a sheet that nobody read is doubted by as much as it is.
"""

from collections.abc import Collection

import numpy as np

from ...colour.observer.chromaticity import PER_STEP, uv_and_slope
from ...colour.observer.data import Array
from ...colour.observer.grid import WAVELENGTHS, weights
from ...model import Accuracy
from ..stacks.enumerate import NONE, Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import LightBehind, PreparedSource
from ..stacks.uncertainty import stronger

_WIDTH = 20.0
_BANDS = np.exp(-0.5 * ((WAVELENGTHS - np.arange(400.0, 701.0, _WIDTH)[:, None]) / _WIDTH) ** 2)
"""Where a spectrum may be off: bands (16, 81) of a standard deviation of so many nm."""
_BENDS = np.stack([(WAVELENGTHS - 560.0) / 200.0, ((WAVELENGTHS - 560.0) / 200.0) ** 2])
_ACROSS = 0.4
"""How far a gel may be off at right angles to its shift, as a share of how far it may be off along it. Our
judgement. A full CTB that may be 12 % off may be some 2 CC green."""
_DRIFTED = 0.3
"""How a lamp drifts: a slope and a bow of its spectrum (2, 81), and how large either may be:
our judgement."""
GUESSED, MEASURED = 0.1, 0.01
"""The share by which a spectrum may be off in a band: if guessed from the kind of lamp, and if measured. Set
on the even rows of the accuracy check."""
GATHERED = 0.85
"""How far lamps of a kind spread, as a share of how far its ensemble does. Set on the even rows of the
accuracy check."""

_MAY_FAIL = 1.0
"""How far what is carried over may fail: its standard deviation, as a share of it. Chosen with
invented sheets off by themselves, off together, and a few faded (`tests.accuracy.families --even`)."""


def unknowns(
    bare: PreparedSource,
    gel_arrays: GelArrays,
    stacks: Indices,
    behind: LightBehind,
    stronger_sheets: Array,
    *,
    drifted: bool = False,
) -> Array:
    """Return what each of q unknowns moves behind stacks (m, w), as (m, q, 2) [step] along u′ and v′.

    `behind` is the source behind those stacks (`behind_each`), and `stronger_sheets` (m, w, 2) [step] what a
    sheet one standard deviation too strong does there (`stronger`).
    """
    filters = behind.filters
    share = MEASURED if bare.ensemble.measured else GUESSED
    moves = [_lamp(behind.light.uv, bare.ensemble.weights), _stronger(bare, filters, share * _BANDS)]
    moves += [_stronger(bare, filters, _DRIFTED * _BENDS)] if drifted else []
    strengths = _strengths(gel_arrays, stacks, stronger_sheets)
    moves += [
        behind.redyed,
        _turned(strengths),
        strengths,
    ]
    return np.concatenate(moves, axis=1)


def hues(
    bare: PreparedSource, gel_arrays: GelArrays, stacks: Indices, filters: Array, accuracy: Accuracy
) -> Array:
    """Return how far sheets whose hue is off move the light, (m, s, 2) [step], by the s unknown strengths."""
    return _turned(_strengths(gel_arrays, stacks, stronger(bare, gel_arrays, stacks, filters, accuracy)))


def _turned(strengths: Array) -> Array:
    return np.asarray(_ACROSS * strengths[..., ::-1] * (1.0, -1.0))


def _lamp(uv: Array, shares: Array) -> Array:
    """Return what each spectrum of an ensemble moves, (m, k, 2), by where it lands, `uv` (m, k, 2)."""
    apart = uv - np.einsum("mkc,k->mc", uv, shares)[:, None, :]
    return np.asarray(GATHERED * np.sqrt(shares)[:, None] * apart * PER_STEP)


def _stronger(bare: PreparedSource, filters: Array, shares: Array) -> Array:
    """Return what a spectrum that is stronger by `shares` (b, 81) of itself moves, (m, b, 2)."""
    seen = bare.mean[0, :, None] * weights()
    folded = (shares[:, :, None] * seen).transpose(1, 0, 2).reshape(len(seen), -1)
    moved = (filters @ folded).reshape(len(filters), len(shares), 3)
    _, slope = uv_and_slope((filters @ seen)[:, None, :], moved)
    return np.asarray(slope * PER_STEP)


def _strengths(gel_arrays: GelArrays, stacks: Indices, moved: Array) -> Array:
    """Return how far the unknown strengths of `GelArrays.strengths` move the light, (m, s, 2) [step].

    `moved` (m, w, 2) is what each sheet does by itself.
    """
    return np.asarray(gel_arrays.strengths[stacks].transpose(0, 2, 1) @ moved)


def carried(mean: Array, read: Collection[int], gel_arrays: GelArrays) -> Array:
    """Return how far each gel is off by what others of its series read, (n + 1,), in standard deviations.

    `mean` (q,) are the unknowns of a fit, those of `GelArrays.strengths` last. It is 0 for gels that were
    `read` themselves, by index, and for NONE, the last.
    """
    count = int(gel_arrays.series.max(initial=-1)) + 1
    factors = gel_arrays.strengths
    found = np.asarray(factors[:, -count:] @ mean[-count:]) if count else np.zeros(len(factors))
    found[list(read)] = 0.0
    return found


def carried_doubt(moves: Array, stacks: Indices, off: Array) -> Array:
    """Return the covariance (m, 2, 2) [step²] of stacks (m, w) from what was carried over to their gels.

    `moves` (m, w, 2) [step] is what a sheet one standard deviation too strong does, and `off` (n + 1,) what
    was `carried` over to each gel. Sheets of one gel fail together, those of two gels by themselves.
    """
    failing = _MAY_FAIL * off[stacks][..., None] * moves
    same = (stacks[:, :, None] == stacks[:, None, :]) & (stacks != NONE)[:, :, None]
    return np.asarray(np.einsum("mwc,mwv,mvd->mcd", failing, same, failing))
