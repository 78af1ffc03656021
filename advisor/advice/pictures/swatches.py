"""Each gel of a table held up against daylight, as a patch in light's colours."""

from functools import lru_cache

import numpy as np

from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.grid import weights
from ...colour.observer.loci import daylight
from ...colour.observer.patches import hexes_of_light
from ...model import Gel
from ..stacks.gel_arrays import gel_arrays_of

HELD_UP = 5600.0
"""The daylight that swatches are held up against. [K]"""


@lru_cache(maxsize=8)
def swatches(rows: tuple[Gel, ...]) -> dict[str, str]:
    """Return ``#rrggbb`` of each gel of a table, by name, to an eye that is set to the daylight behind it.

    It is computed from the transmittance: measured where there is a curve, else worked out from its row.
    What passes all of the light is the screen's white; a gel that passes none is black.
    """
    if not rows:
        return {}
    arrays, light = gel_arrays_of(rows), daylight(HELD_UP)
    white = light @ weights()
    xyz = (light * arrays.transmittances) @ weights()
    share = xyz[:, 1] / white[1]
    seen = np.where(share[:, None] > 0, xyz, white)  # what is black has no chromaticity
    target = np.broadcast_to(uv_of_xyz(white), (len(rows), 2))
    return dict(zip(arrays.names, hexes_of_light(uv_of_xyz(seen), target, share), strict=True))
