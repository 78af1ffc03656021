"""Which gel a head can teach: by a pair of readings, or by one more with what hangs on it now."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.learned.light_now import light_differs
from ....advice.plan.head import PlannedSource
from ....model import Accuracy, Source


@dataclass(frozen=True)
class Teachable:
    """A gel that a head can teach; `paired` tells that it was read behind what hangs: nothing is to meter."""

    gel: str
    paired: bool


def teachable(head: PlannedSource, source: Source, accuracy: Accuracy) -> Teachable | None:
    """Return the one gel that hangs beside what a head keeps, else the last that it was read behind alone.

    `source` is as it is stored. None where nobody read it bare, or its light changed since; nor while a gel
    is doubted. What was read of a light that moved in between is no pair, by a meter of that `accuracy`.
    """
    check = head.check
    if not source.reading.said or head.changed or (check and (check.gel_doubted or check.sky_moved)):
        return None
    work = source.work
    if work and work.hangs and (gel := _single(work.gels, source.keep)):
        read = work.read_behind if not head.again else None
        paired = read is not None and not light_differs(source, read, source.reading, accuracy)
        return Teachable(gel, paired=paired)
    behind = (_single(reading.gels, source.keep) for reading in reversed(source.readings))
    gel = next((gel for gel in behind if gel), "")
    return Teachable(gel, paired=False) if gel else None


def _single(gels: Sequence[str], keep: Sequence[str]) -> str:
    added = [gel for gel in gels if gel not in keep]
    return added[0] if len(added) == 1 else ""
