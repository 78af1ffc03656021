"""What is wanted of a source beside the target, said and offered in fractions of the gels at hand."""

from collections.abc import Sequence

from ...advice.wording.ladder import FRACTIONS, Ladder, Sizes
from ...advice.wording.words import beside, exactly, fraction_of
from ...model import WantedOffset
from .values import plain

Choices = list[tuple[str, str]]
"""What can be chosen: its words, and its value for the form."""


def aimed(aim: WantedOffset, ladder: Ladder) -> str:
    """Say what is wanted of a source, in full: “half a CTO warmer than the target”."""
    if aim.leave:
        return "left as it is"
    return "corrected" if aim.plain else f"{wanted(aim, ladder)} than the target"


def wanted(aim: WantedOffset, ladder: Ladder) -> str:
    """Say what is wanted of a source: “half a CTO warmer”, and “about …” where it is no fraction of a gel."""
    parts = exactly(aim.mired, aim.duv, ladder)
    if None in parts:
        return beside(aim.mired, aim.duv, ladder, told=True)
    return ", ".join(part for part in parts if part)


def warmer(ladder: Ladder) -> Choices:
    """Offer the fractions of CTO, which warms, and of CTB, which cools. [MK⁻¹]"""
    return _choices((ladder.cto, "CTO", "warmer"), (ladder.ctb, "CTB", "cooler"))


def greener(ladder: Ladder) -> Choices:
    """Offer the fractions of plus and minus green. [Duv]"""
    return _choices((ladder.plus_green, "", "greener"), (ladder.minus_green, "", "more magenta"))


def _choices(more: tuple[Sizes, str, str], less: tuple[Sizes, str, str]) -> Choices:
    """Offer the fractions of a gel and of its opposite, each with its sizes, its name and its way."""
    found = [("as the target", "0")]
    for sign, (sizes, gel, way) in ((1.0, more), (-1.0, less)):
        for fraction, size in zip(FRACTIONS, sizes, strict=True):
            found.append((f"{fraction_of(fraction.said, gel)} {way}", plain(sign * round(size, 4))))
    return found


def nearest(value: float, choices: Sequence[tuple[str, str]], within: float) -> str:
    """Return, for a form, the choice that a value is, to `within`; the value itself where it is none."""
    return next((own for _, own in choices if abs(float(own) - value) <= within), plain(value))
