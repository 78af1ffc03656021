"""A window that drifts beside a lamp that hangs, as a set is restored with when each reading was taken."""

import secrets
from datetime import UTC, datetime, timedelta

from advisor.advice.plan.make import make_plan
from advisor.model import Kind, LightSet, Limits, Reading, Source, Target
from advisor.model.basis.base import utc_text
from advisor.model.sets.whole import WITHOUT_HEADS, DatedReading, Whole, WholeSource
from tests.advice.decided import hung_as
from tests.advice.rows import nominal


def hung_beside(window):
    """A lamp with what is advised for it, up, matched to a window."""
    lamp = Source(name="Key", kind=Kind.TUNGSTEN, reading=Reading(cct=3000, duv=0, lux=300))
    head = make_plan([window, lamp], Target(source="Window"), Limits(), nominal()).heads[1]
    return hung_as(lamp, head.best)


def kept(stores, mireds, minutes_ago):
    """A set of a window and a lamp that hangs; the window was read at those times."""
    now = datetime.now(UTC)
    readings = [Reading(cct=1e6 / mired, duv=0.003) for mired in mireds]
    window = Source(name="Window", kind=Kind.DAYLIGHT, reading=readings[-1])
    lamp = hung_beside(window)
    made = LightSet(name="Kitchen", target=Target(source="Window"))
    ats = [utc_text(now - timedelta(minutes=ago)) for ago in minutes_ago]
    at = utc_text(now)
    whole = Whole(
        advisor_set=WITHOUT_HEADS,
        uid=secrets.token_hex(16),
        exported_at=at,
        changed_at=at,
        sample=False,
        set=made,
        target_source=0,
        sources=[
            WholeSource(
                readings=[DatedReading(taken_at=t, reading=r) for t, r in zip(ats, readings, strict=True)],
                source=window,
            ),
            WholeSource(readings=[DatedReading(taken_at=ats[-1], reading=lamp.reading)], source=lamp),
        ],
        gels=[],
        history=[],
    )
    set_id = stores.sets.whole.restore(whole, made=True)
    return set_id, stores.sets.get_set(set_id).sources[0].id
