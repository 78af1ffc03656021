"""Whether a reading is so near to the edge of the tolerance, on either side, that another may say otherwise.

Of a meter's error only that part counts which is new at each reading: a second one cannot tell what is the
same in all. The scatter is taken as round, so that a reading farther off is never the surer of two.
"""

import numpy as np

from ...model import Accuracy
from ..cost.loss import chance_within
from ..learned.posterior import repeats
from ..readings.chromaticity import WhitePoint

SURE = 0.8
"""What reads within the tolerance, and would less often if it were read again and again, is metered twice.

Our judgement: 0.9 asks for more readings and brings in no more lamps (`tests.accuracy.rounds`).
"""
HARDLY = 0.05
"""What reads beyond the tolerance, and may lie within it this often, is metered twice before gel moves.

Our judgement: a reading is less work than a sheet.
"""


def near_edge(left: float, wanted: WhitePoint, tolerance: float, accuracy: Accuracy) -> bool:
    """Say whether one reading, `left` [step] from what is `wanted`, has to be taken once more.

    It has to where the light, as this meter reads it, lies within the `tolerance` [step] in fewer than eight
    of ten cases, and in one of twenty at least.
    """
    scatter = repeats(wanted, accuracy).trace() / 2.0 * np.eye(2)
    place, one = np.array([[[left, 0.0]]]), np.ones(1)
    return bool(HARDLY <= chance_within(place, one, scatter[None], tolerance)[0] < SURE)
