"""The best settings of a head for very many stacks at once.

Each stack's best setting is found on `surfaces`, by zooming in on the dial's own steps: the best of a coarse
lattice, then of ever finer ones around it (`Valley`). Behind any stack a warmer light stays warmer and a
greener one greener, so the miss has one valley over the settings. The tests compare with going through all
settings. The figures are approximate. `candidates` predicts the finalists exactly, moves the surfaces to fit
them (`moved`), and then sees which neighbouring settings (`around`) are worth predicting.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from ...colour.observer.chromaticity import STEP_DELTA_UV, lengths
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...model import Reach, Setting
from ..cost.loss import loss
from ..stacks.enumerate import Indices
from .calibration import DialFit, Mapped
from .surfaces import Surfaces

_COARSE = 9
"""Points along an axis of the first lattice."""
_SAMPLES = 33
"""Settings along an axis at which `span_of` asks the mapping what light the head gives."""
_ALIKE = 1e-9
FAR = 1e6
"""The miss of a setting that is no candidate. [step]"""
_OFFSETS = np.array([(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1)], dtype=np.intp)


@dataclass(frozen=True)
class Dials:
    """The settings of a reach, as whole numbers of steps from its lower ends."""

    reach: Reach
    ccts: int
    greens: int

    def mired(self, i: Indices) -> Array:
        """Return the dial's mired at the `i`-th CCT. [MK⁻¹]"""
        return np.asarray(MIRED_K / (self.reach.cct_from + self.reach.cct_step * i))

    def green(self, j: Indices) -> Array:
        """Return the `j`-th green, in the head's own numbers."""
        return np.asarray(self.reach.green_from + self.reach.green_step * j)

    def settings(self, at: Sequence[tuple[int, int]]) -> list[Setting]:
        """Return several settings."""
        return [self.setting(i, j) for i, j in at]

    def setting(self, i: int, j: int) -> Setting:
        """Return a setting, without the noise of sums of steps."""
        reach = self.reach
        return Setting(
            cct=round(reach.cct_from + reach.cct_step * int(i), 9),
            green=round(reach.green_from + reach.green_step * int(j), 9) + 0.0,
        )

    def place(self, setting: Setting) -> Indices | None:
        """Return a setting in steps, (2,); None where it is not on them or beyond the reach."""
        at = np.array(
            [
                (setting.cct - self.reach.cct_from) / self.reach.cct_step,
                (setting.green - self.reach.green_from) / self.reach.green_step,
            ]
        )
        whole = np.round(at).astype(np.intp)
        on = (
            np.abs(at - whole).max() < _ALIKE
            and (whole >= 0).all()
            and (whole < [self.ccts, self.greens]).all()
        )
        return whole if on else None


def dials_of(reach: Reach) -> Dials:
    """Return the settings of a reach: from its lower ends, in whole steps, as far as they go."""
    ccts = int((reach.cct_to - reach.cct_from) / reach.cct_step + _ALIKE) + 1
    greens = int((reach.green_to - reach.green_from) / reach.green_step + _ALIKE) + 1
    return Dials(reach, ccts, greens)


def span_of(fit: DialFit, dials: Dials) -> tuple[Array, Array]:
    """Return mired and Duv, (n,) each, of light that a head gives at settings all over its dials."""
    i = np.unique(np.linspace(0, dials.ccts - 1, _SAMPLES).astype(np.intp))
    j = np.unique(np.linspace(0, dials.greens - 1, _SAMPLES).astype(np.intp))
    mapped = fit.at(dials.mired(i)[:, None], dials.green(j)[None, :])
    return mapped.mired.ravel(), mapped.duv.ravel()


def scatter_of(mapped: Mapped, along: Array, across: Array) -> Array:
    """Return how far a mapping may be off, as mean square distances (...,) in Δu′v′.

    `along` and `across` are how far a mired and a unit of Duv lead there. [Δu′v′]
    """
    return np.asarray(mapped.mired_variance * along**2 + mapped.duv_variance * across**2)


Weigh = Callable[[Array, Array], Array]
"""A function from risks [step] and stops to the figure that is minimised."""


class BestSettings(NamedTuple):
    """Settings `at` (s, 2), in steps of the dials, with the risk [step] and the stops, (s,) each."""

    at: Indices
    risk: Array
    stops: Array


@dataclass(frozen=True, eq=False)
class Valley:
    """How far from a white (2,) a head's settings land behind s stacks, by its mapping and by surfaces.

    `scatter` (s,) [step²] is the mean square of everything else that is uncertain behind each stack. The risk
    is the loss at the root of the sum of all mean squares.
    """

    fit: DialFit
    dials: Dials
    surfaces: Surfaces
    wanted: Array
    scatter: Array
    tolerance: float

    def figures(self, at: Indices) -> tuple[Array, Array]:
        """Return the approximate risk [step] and stops, (s, p), at each stack's settings (s, p, 2)."""
        settings, which = np.unique(at[..., 0] * self.dials.greens + at[..., 1], return_inverse=True)
        which = which.reshape(at.shape[:2])  # stacks share most of their settings
        mired = self.dials.mired(settings // self.dials.greens)
        mapped, gain = self.fit.lit_at(mired, self.dials.green(settings % self.dials.greens))
        lit = self.surfaces.under(mapped.mired, mapped.duv)
        found = lit.basis[which] @ self.surfaces.coefficients
        moves = [found[..., :2] + lit.uv[which] - self.wanted, lit.warmer, lit.greener]
        away, along, across = lengths(moves)
        off = away**2 + np.maximum(found[..., 2], 0.0)
        square = (off + scatter_of(mapped, along, across)[which]) / STEP_DELTA_UV**2 + self.scatter[:, None]
        return (
            np.where(lit.real[which], loss(np.sqrt(square), self.tolerance), FAR),
            -found[..., 3] - gain[which],
        )

    def best(self, weighs: Sequence[Weigh]) -> list[BestSettings]:
        """Return each stack's best setting, by each way to weigh; all ways take one search."""
        stacks = len(self.surfaces.coefficients)
        each = self.some(np.tile(np.arange(stacks), len(weighs)))
        most = np.array([self.dials.ccts - 1, self.dials.greens - 1])
        apart = np.maximum(-(-most // (_COARSE - 1)), 1)
        places = [np.unique(np.minimum(np.arange(_COARSE) * a, m)) for a, m in zip(apart, most, strict=True)]
        grid = np.stack([g.ravel() for g in np.meshgrid(*places, indexing="ij")], axis=1)
        found = each._best_of(np.broadcast_to(grid, (len(each.scatter), *grid.shape)), weighs)
        while (apart > 1).any():
            apart = -(-apart // 2)
            found = each._best_of(self.around(found.at, apart), weighs)
        found = each._best_of(self.around(found.at), weighs)
        return [
            BestSettings(*parts) for parts in zip(*(np.split(v, len(weighs)) for v in found), strict=True)
        ]

    def some(self, stacks: Indices) -> "Valley":
        """Return the valleys of some stacks (m,)."""
        surfaces = replace(self.surfaces, coefficients=self.surfaces.coefficients[stacks])
        return replace(self, surfaces=surfaces, scatter=self.scatter[stacks])

    def moved(self, stacks: Indices, at: Indices, uv: Array) -> "Valley":
        """Return the valleys of some stacks (m,), moved so that settings `at` (m, 2) land at `uv` (m, 2)."""
        found = self.some(stacks)
        coefficients = found.surfaces.coefficients
        mapped = self.fit.at(self.dials.mired(at[:, 0]), self.dials.green(at[:, 1]))
        lit = self.surfaces.under(mapped.mired, mapped.duv)
        by = uv - lit.uv - np.einsum("mb,mbc->mc", lit.basis, coefficients[..., :2])
        coefficients[:, 0, :2] += by  # the first polynomial is constant
        return found

    def around(self, at: Indices, apart: Indices | int = 1) -> Indices:
        """Return each stack's setting (s, 2) and those beside it, so many steps apart, (s, 9, 2)."""
        most = np.array([self.dials.ccts - 1, self.dials.greens - 1])
        return np.asarray(np.clip(at[:, None, :] + _OFFSETS * apart, 0, most))

    def _best_of(self, at: Indices, weighs: Sequence[Weigh]) -> BestSettings:
        """Return the best of each stack's own settings (s, p, 2); each way weighs an equal part of them."""
        risk, stops = self.figures(at)
        parts = zip(weighs, *(np.split(v, len(weighs)) for v in (risk, stops)), strict=True)
        best = np.argmin(np.concatenate([weigh(*part) for weigh, *part in parts]), axis=1)[:, None]
        return BestSettings(
            np.take_along_axis(at, best[..., None], axis=1)[:, 0],
            np.take_along_axis(risk, best, axis=1)[:, 0],
            np.take_along_axis(stops, best, axis=1)[:, 0],
        )
