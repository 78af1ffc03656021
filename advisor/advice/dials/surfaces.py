"""What stacks make of all the light that an adjustable head can give, as smooth surfaces.

How far a stack carries a light is smooth in the light's mired and Duv. The whole ensemble predicts it exactly
at a few Chebyshev nodes over all that the head can do; a polynomial interpolates between them. For light of a
known kind that is off by 0.1 step at the median, and by less than half a step nine times in ten, as the tests
hold. Nodes for Duv end where real light does, which is nearer the warmer it is.

References
----------
Trefethen, L. N. (2013), "Approximation Theory and Approximation Practice", 2 and 8: Chebyshev points, and why
polynomials through them converge.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import CCT_RANGE, DUV_LIMIT, in_range, uv_and_moves, uv_of_mired_duv
from ...colour.observer.chromaticity import lengths, through_each
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...colour.observer.real_light import way_to_edge
from ...colour.spectra.sources import Ensemble

MIRED_RANGE = (MIRED_K / CCT_RANGE[1], MIRED_K / CCT_RANGE[0])
"""Where a light is near enough to white. [MK⁻¹]"""
_MIRED_NODE, _DUV_NODE = 60.0, 0.015
"""A node for so much of the reach, in MK⁻¹ and Duv: see the regret in the benchmark."""
_FEWEST, _MOST = 3, 8
"""Nodes along an axis."""
_POINT = 1e-9
"""A reach that is no wider has one node."""


def possible(mired: Array, duv: Array) -> Array:
    """Return which whites (...,) are real light within the range of CCT and Duv."""
    at, most = _greenest()
    return np.asarray(in_range(mired, duv) & (duv <= np.interp(mired, at, most)))


@lru_cache(maxsize=1)
def _greenest() -> tuple[Array, Array]:
    """Return the largest Duv of real light, and the mireds at which it is given, (n,) each."""
    at = np.linspace(*MIRED_RANGE, 49)
    on_locus, one = uv_of_mired_duv(at, np.zeros(len(at))), uv_of_mired_duv(at, np.ones(len(at)))
    return at, np.minimum(way_to_edge(on_locus, one - on_locus), DUV_LIMIT)


def uv_of(mired: Array, duv: Array) -> Array:
    """Return (u, v), (..., 2), of whites (...,); beyond the range of CCT, of the nearest within."""
    return uv_of_mired_duv(np.clip(mired, *MIRED_RANGE), duv)


@dataclass(frozen=True, eq=False)
class Surfaces:
    """For each of s stacks, polynomials in the mired and Duv of the light that falls on it.

    `low` and `high` (2,) are the box in mired and Duv; `coefficients` (s, a·b, 4) are of the shifts in u and
    v, the spread of the ensemble (mean square, Δu′v′²) and the logarithm (base 2) of the light that passes.
    """

    low: Array
    high: Array
    degrees: tuple[int, int]
    coefficients: Array

    def under(self, mired: Array, duv: Array) -> "Lit":
        """Return what the polynomials work on at whites (...,)."""
        basis = _basis(self.low, self.high, self.degrees, mired, duv)
        return Lit(basis, *uv_and_moves(np.clip(mired, *MIRED_RANGE), duv), possible(mired, duv))


class Lit(NamedTuple):
    """Whites (...,): polynomials (..., a·b), `uv` (..., 2), and whether each is `real` light near white.

    `warmer` and `greener` (..., 2) are how (u, v) moves by a mired and by a unit of Duv there.
    """

    basis: Array
    uv: Array
    warmer: Array
    greener: Array
    real: Array


def surfaces_of(
    mired: Array, duv: Array, filters: Array, spectra_at: Callable[[Array], Sequence[Ensemble | None]]
) -> Surfaces | None:
    """Predict stacks' transmittances `filters` (s, 81) at nodes over whites (n,) that a head can give.

    `spectra_at` gives the spectra of whites (u, v), (m, 2), None for one that the head cannot give. None
    where there is no such light.
    """
    able = possible(mired, duv)
    if not able.any():
        return None
    low = np.array([mired[able].min(), duv[able].min()])
    high = np.array([mired[able].max(), duv[able].max()])
    degrees = (_nodes(high[0] - low[0], _MIRED_NODE), _nodes(high[1] - low[1], _DUV_NODE))
    along = _chebyshev(low[0], high[0], degrees[0])
    greenest = np.maximum(low[1], np.minimum(high[1], np.interp(along, *_greenest())))
    nodes = np.array(
        [(m, d) for m, g in zip(along, greenest, strict=True) for d in _chebyshev(low[1], g, degrees[1])]
    )
    uv = uv_of(*nodes.T)
    lit = spectra_at(uv)
    there = [k for k, ensemble in enumerate(lit) if ensemble]
    if not there:
        return None
    at = _basis(low, high, degrees, *nodes[there].T)
    figures = _figures([ensemble for ensemble in lit if ensemble], filters, uv[there])
    found = np.tensordot(np.linalg.pinv(at), figures, axes=1)
    return Surfaces(low, high, degrees, np.ascontiguousarray(found.transpose(1, 0, 2)))


def _basis(low: Array, high: Array, degrees: tuple[int, int], mired: Array, duv: Array) -> Array:
    """Return products of Chebyshev polynomials at whites (...,) of a box, (..., a·b)."""
    x, y = (
        np.clip((2 * value - a - b) / max(b - a, 1e-12), -1.0, 1.0)
        for value, a, b in zip((mired, duv), low, high, strict=True)
    )
    along = np.polynomial.chebyshev.chebvander(x, degrees[0] - 1)
    across = np.polynomial.chebyshev.chebvander(y, degrees[1] - 1)
    return np.asarray((along[..., :, None] * across[..., None, :]).reshape(*np.shape(x), -1))


def _nodes(span: float, each: float) -> int:
    return 1 if span < _POINT else int(np.clip(np.ceil(span / each) + 1, _FEWEST, _MOST))


def _chebyshev(low: float, high: float, count: int) -> Array:
    x = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    return np.asarray((low + high + (high - low) * x) / 2)


def _figures(ensembles: Sequence[Ensemble], filters: Array, bare: Array) -> Array:
    """Return the figures (n, s, 4) of n ensembles, of light at `bare` (n, 2), behind filters (s, 81)."""
    lights = through_each([lit.spectra for lit in ensembles], [filters] * len(ensembles))
    uv = [np.einsum("mkc,k->mc", light.uv, lit.weights) for lit, light in zip(ensembles, lights, strict=True)]
    apart = lengths([light.uv - mean[:, None, :] for light, mean in zip(lights, uv, strict=True)])
    figures = []
    for lit, light, mean, off, at in zip(ensembles, lights, uv, apart, bare, strict=True):
        u, v = (mean - at).T
        figures.append(np.stack([u, v, off**2 @ lit.weights, np.log2(light.passed @ lit.weights)], axis=1))
    return np.array(figures)
