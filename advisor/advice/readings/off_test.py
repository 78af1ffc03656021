"""A reading on the set that contradicts the test of its head: another head or lamp, or another level.

It contradicts where it is further off than heads drift (`AsTested.doubt_steps`) and a meter may be off, both
nine cases in ten, and would show. The plan goes by the reading. What was tested at another level may be what
was read: then the level is asked about first.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from ...colour.observer.chromaticity import steps_apart
from ...model import Accuracy, Reading, Source
from ...model.basis.base import name_key
from .chromaticity import whites_of
from .steps import meter_steps
from .tested import USUAL_DOUBT, MovedTest, OffTest

_SHOWS = 3.0
"""What is nearer than this to its test is close, whatever was known. [step] The usual tolerance."""
_ALIKE = 1.5
"""A reading that is so near to another level of the test may be of that level. [step] Our judgement."""
_CLEARLY = 1 / 3
"""It is that level's only where it is at most this share as far from it as from its own. Our judgement."""


@dataclass(frozen=True)
class Contradiction:
    """How far the newest reading is `off` the test, and the `level` whose test it reads like, if any. [%]"""

    off: OffTest
    level: float | None = None


def contradicts(source: Source, test: MovedTest, accuracy: Accuracy) -> Contradiction | None:
    """Return how the newest bare reading of a source contradicts its `test`; None where it does not."""
    if not test.shifts:
        return None
    (modifier, level, dial), off = list(test.shifts.items())[-1]
    bare = source.bare_readings
    today = [reading for reading in bare if not reading.tested_at]
    tested = [reading for reading in bare if reading.tested_at and reading.dial in (None, dial)]
    there = [one for one in tested if name_key(one.modifier) == modifier and one.level != level]
    [white, *others] = whites_of([today[-1], *there])
    if white is None:
        return None
    doubt = source.test.doubt_steps if source.test else USUAL_DOUBT
    if off.steps <= max(hypot(doubt, meter_steps(white, accuracy)), _SHOWS):
        return None
    away = [float(steps_apart(white.uv, other.uv)) if other else off.steps for other in others]
    return Contradiction(off, _read_like(there, away, off.steps))


def _read_like(there: Sequence[Reading], away: Sequence[float], off: float) -> float | None:
    """Return the level of the nearest of some readings, each so far `away`, where it is plainly that. [%]"""
    near = [k for k in range(len(there)) if away[k] <= min(_ALIKE, _CLEARLY * off)]
    return there[min(near, key=lambda k: away[k])].level if near else None


def read_twice(source: Source, accuracy: Accuracy) -> bool:
    """Whether the newest two bare readings of a source on the set say the same, taken alike."""
    today = [reading for reading in source.bare_readings if not reading.tested_at]
    alike = [one for one in today[:-1] if _taken(one) == _taken(today[-1])]
    if not alike:
        return False
    was, now = whites_of([alike[-1], today[-1]])
    if was is None or now is None:
        return False
    return float(steps_apart(was.uv, now.uv)) <= max(meter_steps(now, accuracy), 1.0)


def _taken(reading: Reading) -> tuple[object, ...]:
    return name_key(reading.modifier), reading.level, reading.dial
