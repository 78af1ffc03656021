"""Filters that only absorb: the nearest to a given filter with a wanted colour, and the brightest of all.

Tristimulus values behind a filter are linear in its transmittance T. So all filters with the wanted values
form a convex set, and exactly one of them is nearest to a given filter P. Nearest means the least relative
entropy, of the light's quanta that pass or are held. That filter is T = 1 / (1 + exp(−l)) with
l = logit(P) + η · s, where s are the curves over wavelength whose sums are wanted. It lies between 0 and 1
everywhere, and is smooth where P is. Newton's method finds η, a convex problem. There is a solution whenever
any filter has the wanted values, and it changes without a jump as P or the wanted values change.

References
----------
Csiszár, I. (1975), "I-divergence geometry of probability distributions and minimization problems", Annals
of Probability 3(1): the projection, and its form.
MacAdam, D. L. (1935), "Maximum visual efficiency of colored materials", JOSA 25; Schrödinger, E. (1920),
"Theorie der Pigmente von größter Leuchtkraft": the most light of a chromaticity is passed by a filter that
passes all or nothing. Here as the dual of a linear programme (any textbook), which bounds it from above.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..observer.data import Array
from ..observer.grid import weights

CLOSE_ENOUGH = 1e-10
"""Nearer than this, of the light that is passed, no round is needed any more."""
FOUND = 1e-7
"""What counts as found where the rounds ran out before."""
_DARKEST = 1e-30
_ROUNDS = 80
_SHRINK = 0.5
_LEAST_STEP = 1e-6
_ENOUGH = 1e-4
"""The share of the promised descent that a step has to give (Armijo)."""
_RIDGE = 1e-9
"""What keeps a round's equations solvable, as a share of their size."""
_SOFTNESS = (0.3, 0.1, 0.03, 0.01, 0.003, 0.001, 0.0003)
"""How soft the edges of the brightest filters are, one round each, in units of the eye's weight."""


class Projected(NamedTuple):
    """The nearest filters, (n, 81), and whether each was found (n,)."""

    transmittances: Array
    found: NDArray[np.bool_]


def with_colour(prior: Array, lit: Array, xyz: Array) -> Projected:
    """Return the filters nearest to `prior` (n, 81) behind which `lit` (n, 81) has the chromaticity of `xyz`.

    `prior` lies between 0 and 1, both excluded. How much light passes is not fixed.
    """
    shapes = _off_colour(xyz)
    return _project(_logit(prior), _normal(lit), shapes, np.zeros((len(prior), 2)))


def with_light(prior: Array, lit: Array, xyz: Array, passed: Array) -> Projected:
    """Return the same, of the filters that also pass the share `passed` (n,) of the light."""
    shapes = np.broadcast_to(weights() / weights()[:, 1].max(), (len(prior), len(weights()), 3))
    wanted = passed[:, None] * xyz / xyz[:, 1:2] / weights()[:, 1].max()
    return _project(_logit(prior), _normal(lit), shapes, wanted)


def most_light(lit: Array, xyz: Array) -> Array:
    """Return the largest share (n,) of `lit` (n, 81) that a filter can pass and give it the colour of `xyz`.

    It is never too small, even where the rounds run out, and at most a thousandth above the best filter.
    """
    lit, shapes = _normal(lit), _off_colour(xyz)
    eye = np.broadcast_to(weights()[:, 1] / weights()[:, 1].max(), lit.shape)
    price = np.zeros((len(lit), 2))
    least = np.full(len(lit), np.inf)
    for soft in _SOFTNESS:
        found = _descend(eye / soft, lit, shapes, np.zeros_like(price), price / soft)
        price = found * soft
        worth = eye + np.einsum("nk,nwk->nw", price, shapes)
        least = np.minimum(least, (lit * np.maximum(worth, 0.0)).sum(axis=1) * weights()[:, 1].max())
    return np.asarray(np.minimum(least, 1.0))


def _off_colour(xyz: Array) -> Array:
    """Return what sums to zero over a light of the chromaticity of `xyz` (n, 3): (n, 81, 2)."""
    x, y, z = (weights()[None, :, k] for k in range(3))
    share = xyz / xyz[:, 1:2]
    pair = np.stack([x - share[:, :1] * y, z - share[:, 2:] * y], axis=-1)
    return np.asarray(pair / np.abs(pair).max(axis=1, keepdims=True))


def _normal(lit: Array) -> Array:
    return np.asarray(lit / (lit @ weights()[:, 1])[:, None])


def _logit(share: Array) -> Array:
    # A strong dye passes less than the smallest float, which is 0 and has no logit.
    told = np.clip(share, np.finfo(float).tiny, 1.0 - np.finfo(float).epsneg)
    return np.asarray(np.log(told) - np.log1p(-told))


def _project(logit: Array, lit: Array, shapes: Array, wanted: Array) -> Projected:
    prices = _descend(logit, lit, shapes, wanted, np.zeros_like(wanted))
    passed = _sigmoid(logit + np.einsum("nk,nwk->nw", prices, shapes))
    rest = np.einsum("nw,nwk->nk", lit * passed, shapes) - wanted
    return Projected(passed, _off(rest, lit, passed) <= FOUND)


def _sigmoid(value: Array) -> Array:
    return np.asarray(np.exp(-np.logaddexp(0.0, -value)))


def _off(rest: Array, lit: Array, passed: Array) -> Array:
    """Return by how much sums (n, k) are off, as a share of the light that is passed (n,)."""
    seen = (lit * passed) @ weights()[:, 1]
    return np.asarray(np.abs(rest).max(axis=1, initial=0.0) / np.maximum(seen, _DARKEST))


def _descend(logit: Array, lit: Array, shapes: Array, wanted: Array, start: Array) -> Array:
    """Minimise the convex function whose slope is what the filters pass minus what is wanted; (n, k)."""
    prices = start.copy()
    open_ = np.arange(len(logit))

    def at(rows: NDArray[np.intp], prices: Array) -> tuple[Array, Array]:
        level = logit[rows] + np.einsum("nk,nwk->nw", prices, shapes[rows])
        height = (lit[rows] * np.logaddexp(0.0, level)).sum(axis=1) - (prices * wanted[rows]).sum(axis=1)
        return height, _sigmoid(level)

    for _ in range(_ROUNDS):
        height, passed = at(open_, prices[open_])
        slope = np.einsum("nw,nwk->nk", lit[open_] * passed, shapes[open_]) - wanted[open_]
        off = _off(slope, lit[open_], passed) > CLOSE_ENOUGH
        open_, height, passed, slope = open_[off], height[off], passed[off], slope[off]
        if not len(open_):
            break
        pliant = lit[open_] * passed * (1.0 - passed)
        bend = np.einsum("nw,nwi,nwj->nij", pliant, shapes[open_], shapes[open_])
        ridge = _DARKEST + _RIDGE * np.trace(bend, axis1=1, axis2=2)
        bend += ridge[:, None, None] * np.eye(bend.shape[1])
        step = np.linalg.solve(bend, slope[..., None])[..., 0]
        promised = (step * slope).sum(axis=1)
        share = np.ones(len(open_))
        trying = np.arange(len(open_))
        while len(trying):
            rows = open_[trying]
            tried, _ = at(rows, prices[rows] - share[trying, None] * step[trying])
            worse = tried > height[trying] - _ENOUGH * share[trying] * promised[trying] + 1e-16
            trying = trying[worse & (share[trying] > _LEAST_STEP)]
            share[trying] *= _SHRINK
        prices[open_] -= share[:, None] * step
    return prices
