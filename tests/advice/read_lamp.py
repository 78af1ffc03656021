"""A lamp, invented, that was read bare and behind gels, and what is advised for it."""

from advisor.advice.answer.advise import advise, predict
from advisor.model import (
    AdviceRequest,
    Kind,
    PredictionRequest,
    Reading,
    Source,
    Target,
)
from advisor.model.sets.lightset import RequestAccuracy
from tests.advice.rows import nominal

SHIPPED = nominal()
TARGET = Target(cct=5600)
ACCURACY = RequestAccuracy(meter_cct_percent=0.4, meter_duv=0.0002, gel_percent=7.0)
BARE = Reading(cct=3050, duv=0.001, lux=800)
"""A lamp, invented."""


def source(*behind, **more):
    return Source(name="Lamp", **{"kind": Kind.LED_WHITE, "reading": BARE, "readings": list(behind), **more})


def behind(*gels, cct, duv, **more):
    return Reading(cct=cct, duv=duv, gels=list(gels), **more)


def answer(*behind_gels, table=SHIPPED, **more):
    asked = AdviceRequest(target=TARGET, accuracy=ACCURACY, sources=[source(*behind_gels, **more)])
    [found] = advise(asked, table).sources
    return found


def predicted(*gels, of=None, tolerance=3.0):
    asked = PredictionRequest(
        source=of or source(), target=TARGET, accuracy=ACCURACY, stack=list(gels), tolerance_steps=tolerance
    )
    return predict(asked, SHIPPED)


def as_predicted(*gels, **more):
    """A reading that is exactly what was predicted."""
    after = predicted(*gels).after
    return Reading(xy=(after.x, after.y), gels=list(gels), **more)


def entry(found, *gels):
    return next(s for s in found.stacks if sorted(s.gels) == sorted(gels))


READINGS = [
    behind("CTB full", cct=5210, duv=-0.002),
    behind("CTB full", "CTB 1/8", cct=5900, duv=-0.003, lux=240),
    behind("CTB 1/2", cct=4020, duv=0.0),
    behind("CTB 1/2", cct=4035, duv=0.0002),
]
