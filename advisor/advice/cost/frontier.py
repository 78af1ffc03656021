"""The least risk known for each loss of light: what a stack must beat to be worth showing."""

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.data import Array
from .counted import pareto

MARGIN = 1e-7
"""A bound rules nothing out by a difference smaller than this. [step or stop]"""


class Frontier:
    """Stacks that were judged: the least risk for each loss of light, falling as the loss rises."""

    def __init__(self) -> None:
        self._stops: Array = np.zeros(0)
        self._risk: Array = np.zeros(0)

    def add(self, risk: Array, lost: Array) -> None:
        """Take in stacks by their risk (m,) and the stops that they cost (m,)."""
        lost = np.concatenate([self._stops, lost])
        risk = np.concatenate([self._risk, risk])
        seen = np.flatnonzero(np.isfinite(risk) & np.isfinite(lost))
        order = seen[np.lexsort((risk[seen], lost[seen]))]
        least = np.minimum.accumulate(risk[order])
        lower = np.concatenate([[True], least[1:] < least[:-1]]) if len(least) else np.zeros(0, np.bool_)
        self._stops, self._risk = lost[order][lower], least[lower]

    @property
    def best(self) -> float:
        """The least risk that is known."""
        return float(self._risk[-1]) if len(self._risk) else float("inf")

    def least(self, lost: Array) -> Array:
        """Return the least risk that is known at each loss (m,); infinite where none is."""
        at = np.searchsorted(self._stops, lost, side="right")
        return np.concatenate([[np.inf], self._risk])[at]

    def beats(self, risk: Array, lost: Array) -> NDArray[np.bool_]:
        """Return where a known stack surely beats every stack of at least this `risk` and at least this loss.

        Losses that count are whole tenths of a stop, so they are either equal or well apart.
        """
        return np.asarray(~(risk <= self.least(lost + MARGIN) + MARGIN))


class Least:
    """The least risk that is known for each loss of light and number of layers."""

    def __init__(self) -> None:
        self._known = np.empty((0, 3))

    def add(self, risk: Array, lost: Array, layers: Array) -> None:
        """Take in stacks by their risk, the light that counts and their layers, (m,) each."""
        rows = np.concatenate([self._known, np.stack([risk, lost, layers], axis=1)])
        self._known = rows[pareto(rows[:, 0], rows[:, 1], rows[:, 2].astype(np.intp))]

    def beats(self, risk: Array, lost: Array, layers: Array) -> NDArray[np.bool_]:
        """Return where a known stack surely beats every stack of at least this risk, loss and layers."""
        known = self._known
        fits = (known[:, 1] <= lost[:, None] + MARGIN) & (known[:, 2] <= layers[:, None])
        least = np.where(fits, known[:, 0], np.inf).min(axis=1, initial=np.inf)
        return np.asarray(~(risk <= least + MARGIN))
