"""The gel in an answer that is only a guess, until somebody teaches it or types what its swatch book says."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from ...advice.plan.head import PlannedSource
from ...advice.readings.steps import scale_at
from ...model import Gel, Known
from ...model.gels.series import series_unsaid


@dataclass(frozen=True)
class Guess:
    """A gel of an answer that is known as the trade reckons it and no better.

    `series` tells that saying which series of CTO is on the truck would help too.
    """

    gel: Gel
    series: bool


def guess_in(head: PlannedSource, table: Sequence[Gel]) -> Guess | None:
    """Return the generic gel of a head's answer that leaves the most in doubt, by what it is worth there.

    None where there is none, where gel cannot bring the head in, and where the answer was read behind
    what hangs: then nothing rests on a label.
    """
    if head.best is None or head.white is None or head.out or head.check:
        return None
    scale = scale_at(head.white)

    def doubt(gel: Gel) -> float:
        """How far it may be off. [step]"""
        return (gel.off_percent or 0.0) / 100.0 * hypot(*scale.at(gel.mired, gel.cc / 1000.0))

    names = set(head.best.gels)
    guessed = [g for g in table if g.name in names and g.knowledge is Known.GENERIC and not g.neutral]
    if not guessed:
        return None
    worst = max(guessed, key=doubt)
    return Guess(worst, series_unsaid(worst))
