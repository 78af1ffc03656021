"""How dear a layer is on glass: it comes off a roll, is taped or pressed in panels, and takes a ladder.

Common practice, no source: the figures are our judgement.
"""

import numpy as np

from ...colour.observer.data import Array
from ...model import Kind, Source

SHEET = 0.53 * 1.22
"""A sheet of gel: a window is dear by how many of them its glass takes. [m²] Common practice, no source."""
MOST_MORE = 3.0
"""The most layers more that each layer beyond the first counts as, on glass: in all it then has to bring two
steps."""


def dear(source: Source) -> float:
    """Return how many layers more than on one head a layer on a source counts as.

    A head counts by its openings, and glass by its area in sheets, since it comes off a roll.
    """
    if source.kind is Kind.DAYLIGHT:
        sheets = sum(one.count * max(one.width * one.height / SHEET, 1.0) for one in source.openings)
    else:
        sheets = float(sum(one.count for one in source.openings))
    return max(sheets - 1.0, 0.0)


def second_layer(source: Source) -> float:
    """Return how many layers more each layer beyond the first counts as on a source.

    Only glass whose size is known is dear: the first layer is put up on clean glass, and a second one has to
    lie on that without a bubble. Nothing on a head.
    """
    return min(dear(source), MOST_MORE) if source.kind is Kind.DAYLIGHT else 0.0


def counted_layers(layers: Array, more: Array | float) -> Array:
    """Return as how many layers (m,) count, where each beyond the first counts as `more` besides."""
    return np.asarray(layers + more * np.maximum(layers - 1, 0))
