"""Whose test a reading fits that contradicts the test of its own head: labels and cables are mixed up."""

from collections.abc import Iterable, Sequence

from ...colour.observer.chromaticity import steps_apart
from ...model import HeadReading, Reading, Refused
from ...model.basis.base import name_key
from ..readings.chromaticity import measure
from .levels import line_through

_ALIKE = 1.5
"""A reading so near to the test of a head may be of that head. [step] Our judgement."""
_CLEARLY = 1 / 3
"""It is that head's only where it is at most this share as far from it as from its own. Our judgement."""


def reads_as(reading: Reading, off: float, others: Iterable[Sequence[HeadReading]]) -> int | None:
    """Return which of other heads, from 0, a reading with a level fits by its test; None where none.

    `off` [step] is how far the reading is off the test of its own head, and `others` is what each of the
    others reads by now. A level between two that were read is worked out. Raises Refused for a reading that
    is no white.
    """
    away = [_apart(reading, own) for own in others]
    near = [k for k, steps in enumerate(away) if steps <= min(_ALIKE, _CLEARLY * off)]
    return min(near, key=lambda k: away[k]) if near else None


def _apart(reading: Reading, own: Sequence[HeadReading]) -> float:
    """Return how far a reading is off a head's test as it stood [step]; endless where that was not tested."""
    key = name_key(reading.modifier)
    alike = [one for one in own if name_key(one.modifier) == key and one.dial == reading.dial]
    if not alike or reading.level is None:
        return float("inf")
    try:
        there = line_through(alike).at(reading.level).white
    except Refused:
        return float("inf")
    return float(steps_apart(measure(reading).uv, there.uv))
