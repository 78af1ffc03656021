"""What the other sources leave of a stock that all share: no sheet that hangs is promised a second time."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..stacks.gel_arrays import PLENTY, GelArrays


def sheets_of(gels: Sequence[str], gel_arrays: GelArrays) -> NDArray[np.intp]:
    """Return how many sheets of each gel of the table, (n,), a stack takes; what it lacks is left out."""
    known = [name for name in gels if name in gel_arrays.names]
    return np.bincount(gel_arrays.find(known), minlength=len(gel_arrays.names))


def left_beside(
    total: NDArray[np.intp], own: NDArray[np.intp], gel_arrays: GelArrays, hangs: Sequence[str] = ()
) -> GelArrays:
    """Return the gels with the sheets, (n,), that are left to a source where all take `total` and it `own`.

    What it has itself, planned or as it `hangs`, stays at hand.
    """
    left = np.maximum(gel_arrays.stock - total + own, np.maximum(own, sheets_of(hangs, gel_arrays)))
    return replace(gel_arrays, stock=np.where(gel_arrays.stock >= PLENTY, gel_arrays.stock, left))
