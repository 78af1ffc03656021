"""Filters that only absorb: the likest to a given one that does what is wanted, and the most light of any.

Tristimulus values behind a filter are linear in its transmittance T, so that all filters with wanted ones
are a convex set, and the one of least relative entropy (of the light's quanta, passed or held, against those
of a given filter P) is unique. It is T = 1 / (1 + exp(−l)), l = logit(P) + η · (what is wanted, over
wavelength): between 0 and 1 everywhere, smooth where P is, and found by Newton's method on η, which is a
convex problem. It is there whenever any filter is, and follows P and what is wanted without a jump.

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
"""How softly the brightest filters go from all to nothing, in units of the eye's weight: less and less."""


class Projected(NamedTuple):
    """The likest filters, (n, 81), and whether each was found (n,)."""

    transmittances: Array
    found: NDArray[np.bool_]


def with_colour(prior: Array, lit: Array, xyz: Array) -> Projected:
    """Return the filters likest to `prior` (n, 81) behind which `lit` (n, 81) has the chromaticity of `xyz`.

    `prior` lies between 0 and 1, ends left out; how much light is passed is left to it.
    """
    shapes = _off_colour(xyz)
    return _project(_logit(prior), _normal(lit), shapes, np.zeros((len(prior), 2)))


def with_light(prior: Array, lit: Array, xyz: Array, passed: Array) -> Projected:
    """Return the same that moreover pass the share `passed` (n,) of the light."""
    shapes = np.broadcast_to(weights() / weights()[:, 1].max(), (len(prior), len(weights()), 3))
    wanted = passed[:, None] * xyz / xyz[:, 1:2] / weights()[:, 1].max()
    return _project(_logit(prior), _normal(lit), shapes, wanted)


def most_light(lit: Array, xyz: Array) -> Array:
    """Return the largest share (n,) of `lit` (n, 81) that filters pass behind which it looks like `xyz`.

    A bound from above, whatever the rounds come to; within a thousandth of what the best filter does.
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
    # A dye that is strong enough passes less than a float can say, and that is none.
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
