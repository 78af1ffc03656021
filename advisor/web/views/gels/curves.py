"""Curves in doubt: why each is asked about, and what can be done with it."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....imports.gels.curves import DoubtfulCurve
from ...gels.curves import choices
from ...wording.values import capitalize_first


@dataclass(frozen=True)
class WayToTake:
    """A way to take a curve: its value for the form, its words, and what it would do."""

    value: str
    words: str
    does: str


@dataclass(frozen=True)
class AskedCurve:
    """A curve that somebody has to say something about; of its `ways` the likeliest is the first."""

    gel: str
    says: str
    ways: tuple[WayToTake, ...]


def ways_to_take(ways: Sequence[tuple[str, str, str]]) -> tuple[WayToTake, ...]:
    """Return the ways to take a curve, in their order."""
    return tuple(WayToTake(*way) for way in ways)


def asked_curve(curve: DoubtfulCurve) -> AskedCurve:
    """Return what the page asks about a curve."""
    ways = ways_to_take(choices(curve.ways, curve.likeliest))
    return AskedCurve(curve.gel, f"{capitalize_first(curve.says)}.", ways)
