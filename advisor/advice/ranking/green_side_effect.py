"""What gels for warm and cool do to green on the side, where that stands in for a minus green."""

from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.grid import weights
from ...colour.observer.loci import CC_PER_DUV
from ...model import Shift, StackAdvice
from ...model.basis.quantities import tidy
from ...model.sets.phrases import listed
from ..readings.chromaticity import white_at
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource

_LEAST = 2.0
"""Less than this is not worth a word. [CC] Our judgement: it is hardly a step."""


def green_taken_out(bare: PreparedSource, needed: Shift, stack: StackAdvice, gel_arrays: GelArrays) -> str:
    """Say how much green those gels of a stack take out that only warm or cool it.

    “The CTB takes 6 CC of green out as well.” That is the change of Duv behind these gels alone. Empty
    where less than a quarter of minus green is needed, or where one hangs: then nobody asks where it went.
    """
    indices = gel_arrays.find(stack.gels)
    quarter = -CC_PER_DUV * gel_arrays.ladder.minus_green[1]
    if needed.cc is None or needed.cc > quarter or any(gel_arrays.pushes[i, 1] < 0 for i in indices):
        return ""
    turning = [i for i in indices if gel_arrays.pushes[i, 0]]
    behind = white_at(uv_of_xyz((bare.mean[0] * gel_arrays.product(turning)) @ weights()))
    if not turning or behind is None:
        return ""
    out = CC_PER_DUV * (bare.white.duv - behind.duv)
    if out < _LEAST:
        return ""
    families = list(dict.fromkeys(gel_arrays.names[i].rpartition(" ")[0] for i in turning))
    takes = "takes" if len(families) == 1 else "take"
    return f"The {listed(families)} {takes} {tidy(out, 0)} CC of green out as well."
