"""The least miss known for each loss of light: what a stack must beat to be worth showing."""

import numpy as np
from numpy.typing import NDArray

from ..colour.data import Array

MARGIN = 1e-7
"""Two figures nearer than this, in steps or stops, are never told apart by a bound."""


class Staircase:
    """Misses that fall as losses rise, of stacks that were predicted."""

    def __init__(self) -> None:
        self._stops: Array = np.zeros(0)
        self._steps: Array = np.zeros(0)

    def add(self, steps: Array, lost: Array) -> None:
        """Take in stacks by their expected miss (m,) and the stops that they cost (m,)."""
        lost = np.concatenate([self._stops, lost])
        steps = np.concatenate([self._steps, steps])
        seen = np.flatnonzero(np.isfinite(steps) & np.isfinite(lost))
        order = seen[np.lexsort((steps[seen], lost[seen]))]
        least = np.minimum.accumulate(steps[order])
        lower = np.concatenate([[True], least[1:] < least[:-1]]) if len(least) else np.zeros(0, np.bool_)
        self._stops, self._steps = lost[order][lower], least[lower]

    @property
    def best(self) -> float:
        """The least miss that is known."""
        return float(self._steps[-1]) if len(self._steps) else float("inf")

    def least(self, lost: Array) -> Array:
        """Return the least miss that is known at each loss (m,); infinite where none is."""
        at = np.searchsorted(self._stops, lost, side="right")
        return np.concatenate([[np.inf], self._steps])[at]

    def beats(self, steps: Array, lost: Array) -> NDArray[np.bool_]:
        """Return where some stack is surely better than all that miss by `steps` and lose `lost`, or more."""
        return np.asarray(~(steps <= self.least(lost - MARGIN) + MARGIN))
