"""Whites by what a meter reads of them."""

import numpy as np

from advisor.colour.observer.cct import uv_of_cct_duv


def uv_at(cct, duv):
    """Return the CIE 1960 (u, v), (2,), of a CCT [K] and a Duv."""
    return uv_of_cct_duv(np.array(float(cct)), np.array(duv))
