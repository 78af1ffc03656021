"""What a source may take from the shelf: its stacks with miss, cost and the sheets that each uses."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ..colour.data import Array
from .allocation import Option


class Shelf:
    """Stacks of one source: `misses`, `costs` (m,), and `uses` (m, g) of the `gels` (g,) that may run out."""

    def __init__(self, misses: Array, costs: Array, gels: Sequence[int], uses: NDArray[np.integer]) -> None:
        self._misses, self._costs, self._uses = misses, costs, uses
        self._column = {gel: k for k, gel in enumerate(gels)}
        places = np.arange(len(misses))
        self._by_miss = np.lexsort((places, costs, misses))
        self._by_cost = np.lexsort((places, misses, costs))

    def nearest(self, most: Mapping[int, int]) -> Option:
        """Return the stack of least miss, the cheapest of those, with at `most` so many of some gels."""
        found = self._first(self._by_miss, most)
        assert found is not None, "the stack with nothing added uses no sheet"
        return found

    def cheapest(self, most: Mapping[int, int], miss: float) -> Option | None:
        """Return the cheapest stack that misses by `miss` or less, with at `most` so many of some gels."""
        return self._first(self._by_cost[self._misses[self._by_cost] <= miss], most)

    def _first(self, order: NDArray[np.intp], most: Mapping[int, int]) -> Option | None:
        for gel, n in most.items():
            if gel in self._column:
                order = order[self._uses[order, self._column[gel]] <= n]
        if not len(order):
            return None
        at = int(order[0])
        used = {gel: int(self._uses[at, k]) for gel, k in self._column.items() if self._uses[at, k]}
        return Option(at, float(self._misses[at]), float(self._costs[at]), used)
