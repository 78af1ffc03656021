"""A reading beyond the stated doubt that no gel and no sure slip explains: read again before gel moves.

The stated doubt holds nine readings in ten, and the usual scatter of sheets and meters is in it. A number
that was read or typed wrong is then likelier than a lamp that does so. What was read twice alike is no slip.
The daylight drifts that far by itself, so it is asked about only where it is further off. What may have been
meant is only offered: a drift looks the same. So it may lie anywhere within the doubt, unlike a sure `slip`.
But a Duv is always another with its sign turned, so that has to explain the reading as clearly as a slip.
A gel of another family may have hung, too: that is offered as well, what fits better first.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from ...model import Accuracy, Kind, Predicted, Reading, Refused, Source
from ..learned.taken import differ
from ..readings.chromaticity import WhitePoint, measure
from .slip import CLEARLY, Slip, nearest, typed
from .wrong_gel import Mistake

_LEAST = 6.0
"""What is nearer than this is not asked about, however small the stated doubt. [step] Our judgement."""
_TIMES, _FAR = 3.0, 20.0
"""Daylight, a stack that somebody looked at, and a head with dials, which are turned without a climb, are
asked about beyond so many times their doubt, and so many steps. Our judgement."""


@dataclass(frozen=True)
class FarOff:
    """A reading to take again.

    `meant` is what may have been meant, if one slip leads near the prediction, `mistake` a gel of another
    family that may hang instead. `gel_first` is true if the gel fits no worse.
    """

    meant: Slip | None
    mistake: Mistake | None = None

    @property
    def gel_first(self) -> bool:
        """Whether another gel explains it, in CCT and Duv, as well as any slip or better."""
        return self.mistake is not None and (self.meant is None or self.mistake.away <= self.meant.away)


def far_off(
    found: Reading,
    source: Source,
    predicted: Predicted,
    apart: float,
    allowed: float,
    behind: Sequence[Reading],
    accuracy: Accuracy,
) -> FarOff | None:
    """Return what to ask of the reading `found` of a `source`; None where it may be right.

    `apart` [step] is how far it lies from the prediction, `allowed` [step] how far it may. `behind` are all
    readings behind the same stack, `found` among them.
    """
    seldom = source.kind is Kind.DAYLIGHT or source.reach or found.gels_checked
    if apart <= (max(_TIMES * allowed, _FAR) if seldom else max(allowed, _LEAST)):
        return None
    if len(behind) > 1 and read_twice(measure(found), behind, accuracy):
        return None
    meant = nearest(typed(found, any_two=True), predicted, min(allowed, apart))
    if meant and not meant.in_cct and meant.away > CLEARLY * apart:
        meant = None
    return FarOff(meant)


def read_twice(white: WhitePoint, behind: Sequence[Reading], accuracy: Accuracy) -> bool:
    """Whether two of the readings `behind` a stack or more say that its light is of a `white`."""
    alike = 0
    for reading in behind:
        try:
            alike += not differ(measure(reading), white, accuracy)
        except Refused:
            continue
    return alike > 1
