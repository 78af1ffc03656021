"""What the trade's gels do, roughly: enough to tell a wrong sign or a wrong scale in a table.

Common practice, no source: a full CTO warms by some 134 MK⁻¹, a full green adds some 30 CC, a density of 0.3
takes a stop. Invented tables differ from it by a third; a slip of sign or of a decimal place differs by far
more.
"""

import re
from math import log2

from .gel_headings import GelColumn
from .gel_names import CTB, CTO, CTS, MINUS, ND, PLUS, known_family

STOPS_PER_DENSITY = log2(10.0)
"""Light lost behind an optical density of 1. [stop]"""

_FULL = {
    CTO: (GelColumn.MIRED, 134.0),
    CTB: (GelColumn.MIRED, -134.0),
    CTS: (GelColumn.MIRED, 134.0),
    PLUS: (GelColumn.CC, 30.0),
    MINUS: (GelColumn.CC, -30.0),
}
_LADDER = ("1/8", "1/4", "1/2", "3/4", "full")
FARTHEST = 3.0
"""A figure this many times larger or smaller than the trade's is asked about (our own judgement)."""
_LIGHT_FARTHEST = 1.6


def nominal(family: str, fraction: str) -> tuple[GelColumn, float] | None:
    """Return what a gel that the trade knows mainly does: mired, CC, or stops; None for any other."""
    known = known_family(family)
    if known == ND and re.fullmatch(r"\d(\.\d+)?", fraction):
        return GelColumn.STOPS, float(fraction) * STOPS_PER_DENSITY
    share = _share(fraction)
    if known not in _FULL or share is None:
        return None
    column, full = _FULL[known]
    return column, full * share


def nearest(family: str, mired: float, cc: float) -> str:
    """Return the fraction of a family whose figure is nearest; empty where none is near."""
    usual = {f: told for f in _LADDER if (told := nominal(family, f)) is not None}
    said = {f: (mired if column is GelColumn.MIRED else cc) / figure for f, (column, figure) in usual.items()}
    near = {f: abs(log2(ratio)) for f, ratio in said.items() if ratio > 0}
    best = min(near, key=lambda f: near[f], default="")
    return best if best and near[best] < 1.0 else ""


def _share(fraction: str) -> float | None:
    if fraction == "full":
        return 1.0
    top, _, bottom = fraction.partition("/")
    try:
        return float(top) / float(bottom or 1.0)
    except (ValueError, ZeroDivisionError):
        return None


def is_far(column: GelColumn, said: float, usual: float) -> bool:
    """Whether a figure of the right sign is of another size than the trade's."""
    farthest = _LIGHT_FARTHEST if column is GelColumn.STOPS else FARTHEST
    ratio = said / usual
    return not 1.0 / farthest <= ratio <= farthest
