"""Rows to be taught, and how near a fit comes to them."""

from advisor.model import Transmittance
from tests.advice.rows import neutral, nominal

MIRED_BACK, CC_BACK, STOPS_BACK = 0.02, 0.02, 0.001
"""How near a fit comes to the row that made an exact pair [MK⁻¹, CC, stop]: twice what 1 291 random pairs
missed at most (0.0075, 0.0060, 0.0005), nearly all of it the row's own rounding (0.01, 0.01, 0.001)."""
TABLE = [*nominal(), *neutral()]
ROW = {g.name: g for g in TABLE}


def flat(value):
    return Transmittance(start=380, step=5, values=[value] * 81)
