"""What a source may take from the shelf: its stacks with miss, cost and the sheets that each uses."""

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.data import Array
from .offers import Offer


class Shelf:
    """Stacks of one source: `misses`, `costs` (m,), and `uses` (m, g) of the `gels` (g,) that may run out."""

    def __init__(self, misses: Array, costs: Array, gels: Sequence[int], uses: NDArray[np.integer]) -> None:
        self._gels = {gel: k for k, gel in enumerate(gels)}
        self._by_miss = _Sorted(np.lexsort((costs, misses)), misses, costs, uses)
        self._by_cost = _Sorted(np.lexsort((misses, costs)), misses, costs, uses)

    price = 10
    """Of a question, in looks at a known answer."""

    def nearest(self, most: Mapping[int, int]) -> Offer:
        """Return the stack of least miss, the cheapest of those, with at `most` so many of some gels."""
        found = self._by_miss.first(self._gels, most, math.inf)
        assert found is not None, "the stack with nothing added uses no sheet"
        return found

    def cheapest(self, most: Mapping[int, int], miss: float) -> Offer | None:
        """Return the cheapest stack that misses by `miss` or less, with at `most` so many of some gels."""
        return self._by_cost.first(self._gels, most, miss)


class _Sorted:
    """Stacks in one order, a column for the sheets of each gel."""

    def __init__(
        self, order: NDArray[np.intp], misses: Array, costs: Array, uses: NDArray[np.integer]
    ) -> None:
        self._order, self._misses, self._costs = order, misses[order], costs[order]
        self._uses = [np.ascontiguousarray(column) for column in uses[order].T]

    def first(self, gels: Mapping[int, int], most: Mapping[int, int], miss: float) -> Offer | None:
        """Return the first that misses by no more than `miss` and uses no more than `most`, if any."""
        fits = self._misses <= miss
        for gel, n in most.items():
            if gel in gels:
                fits &= self._uses[gels[gel]] <= n
        at = int(fits.argmax())
        if not fits[at]:
            return None
        used = {gel: int(self._uses[k][at]) for gel, k in gels.items() if self._uses[k][at]}
        return Offer(int(self._order[at]), float(self._misses[at]), float(self._costs[at]), used)
