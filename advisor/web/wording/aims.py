"""What is wanted of a source beside the target, said and offered in fractions of the gels at hand."""

from collections.abc import Sequence

from ...advice.readings.chromaticity import WhitePoint
from ...advice.wording.ladder import FRACTIONS, Ladder, Sizes
from ...advice.wording.words import beside, exactly, fraction_of
from ...model import Target, WantedOffset
from ...model.sets.phrases import white
from .short import off_as
from .values import kelvin, plain

_SAME = 5.0
"""What is worked out of a target lies this near to the CCT that it is named by. [K]"""
Choices = list[tuple[str, str]]
"""What can be chosen: its words, and its value for the form."""


def aimed(aim: WantedOffset, ladder: Ladder) -> str:
    """Say what is wanted of a source beside the target: “stays bare”, “kept ½ CTO warm”."""
    if aim.leave:
        return "stays bare"
    return "corrected" if aim.plain else f"kept {_off(aim, ladder)}"


def goal_said(cct: float, target: Target) -> str:
    """Say to which CCT [K] a source goes: as the target says it where it is that, else to ten kelvins."""
    named = target.cct is not None and abs(cct - target.cct) < _SAME
    return kelvin(target.cct if named else round(cct, -1))


def target_said(target: Target, now: WhitePoint | None) -> str:
    """Name a target: “5 600 K daylight”; one that matches a source with what that is `now`, if known.

    “the white of Window: 5 790 K”.
    """
    matched = f": {goal_said(now.cct, target)}" if target.source is not None and now else ""
    return white(target) + matched


def _off(aim: WantedOffset, ladder: Ladder) -> str:
    """Say how far off the target a source is kept on purpose, in fractions of gels."""
    parts = exactly(aim.mired, aim.duv, ladder)
    if None in parts:
        return off_as(beside(aim.mired, aim.duv, ladder, visible=True))
    return off_as(", ".join(part for part in parts if part))


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
