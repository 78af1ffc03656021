"""Two readings behind one stack that was left as it is, and their Duv of opposite signs: one sign is a slip.

A sky that drifts goes past the locus slowly, and seldom lands as far beyond it. Which of the two is right
nobody can tell from the figures, so a person is asked. A third reading with either sign tells too.
"""

from collections.abc import Sequence

from ...model import Reading
from ...model.sets.behind import same_but_level

_LEAST = 0.0012
"""The least |Duv| of which a sign says anything: a meter's doubt is about so large. Our judgement."""
_ALIKE = 0.0008
"""Two |Duv| that differ by no more are the same figure read twice. Our judgement."""
_CCT = 0.02
"""The CCTs of two readings of one light differ by no more than this share. Our judgement."""


def other_sign(found: Reading, behind: Sequence[Reading]) -> Reading | None:
    """Return the last of the readings `behind` the same stack that is `found` with the other sign of Duv.

    None where another one says the same as `found` does, or where there is no such reading.
    """
    earlier = [one for one in behind if not same_but_level(one, found)]
    if len(behind) - len(earlier) > 1 or any(_alike(one, found, 1.0) for one in earlier):
        return None
    return earlier[-1] if earlier and _alike(earlier[-1], found, -1.0) else None


def _alike(one: Reading, found: Reading, sign: float) -> bool:
    """Whether one reading is another, with its Duv times `sign`."""
    if one.cct is None or found.cct is None or one.duv is None or found.duv is None:
        return False
    if found.duv_assumed or one.duv_assumed or min(abs(one.duv), abs(found.duv)) < _LEAST:
        return False
    return abs(one.duv - sign * found.duv) <= _ALIKE and abs(one.cct - found.cct) <= _CCT * found.cct
