"""How a head aged: what it read at full in each of its tests, and how far it came since the first."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...colour.observer.chromaticity import steps_apart
from ...model import HeadReading, HeadSetup
from ...model.basis.base import name_key
from ...model.sets.phrases import counted
from ..readings.chromaticity import WhitePoint, measure
from ..wording.ladder import Ladder
from ..wording.words import amount_of_green

_HOLDS = 1.0
"""Up to this a head reads the same: no eye sees more of it, and no meter is surer. [step]"""
_ROUND = 10.0
"""To this a change of CCT is said. [K]"""
_SAID = 10.0
"""Less than this is no change of CCT that is worth words, here and on a set. [K]"""


@dataclass(frozen=True)
class AgedWhite:
    """What a head read in the test that began at `at`, as the store writes times."""

    at: str
    white: WhitePoint


def aged(tests: Sequence[tuple[str, Sequence[HeadReading]]]) -> tuple[HeadReading | None, list[AgedWhite]]:
    """Return what each test read as the newest did at its highest level, and that reading itself.

    `tests` are when they began and what was read, from the oldest; a test that did not read it is left out.
    """
    newest = next((readings for _, readings in reversed(tests) if readings), None)
    if newest is None:
        return None, []
    bare = [r for r in newest if not r.modifier] or list(newest)
    full = max(bare, key=lambda r: r.level)
    key = _key(full)
    found = [
        AgedWhite(at, measure(reading))
        for at, readings in tests
        if (reading := next((r for r in readings if _key(r) == key), None))
    ]
    return full, found


def aged_said(first: WhitePoint, now: WhitePoint, ladder: Ladder) -> str:
    """Say how far a head came: “80 K lower, about half an eighth greener”; empty where it holds.

    What a set would say of it is said here too, though it matches: see `holds`.
    """
    parts = []
    kelvins = _ROUND * round((now.cct - first.cct) / _ROUND)
    if abs(kelvins) >= _SAID:
        parts.append(f"{counted(abs(kelvins), 'K').removesuffix('s')} {'higher' if kelvins > 0 else 'lower'}")
    off = now.duv - first.duv
    if (green := amount_of_green(off, ladder)).rung >= 2:
        parts.append(f"{green.text} {'greener' if off > 0 else 'more magenta'}")
    return ", ".join(parts) or ("" if holds(first, now) else "a touch off")


def holds(first: WhitePoint, now: WhitePoint) -> bool:
    """Whether a head matches what it once was."""
    return float(steps_apart(first.uv, now.uv)) <= _HOLDS


def _key(reading: HeadReading) -> tuple[HeadSetup, float]:
    return HeadSetup(name_key(reading.modifier), reading.dial), reading.level
