"""A set of our own invention, to see the job in a few minutes. No reading in it was ever taken."""

import secrets
from datetime import UTC, datetime, timedelta

from .advice.known_heads.ageing import PastTest
from .advice.known_heads.on_set import KeptTest, source_of
from .model import (
    Kind,
    LightSet,
    Opening,
    Predicted,
    Reading,
    Role,
    Source,
    Stage,
    Target,
    WantedOffset,
    Work,
)
from .model.basis.base import utc_text
from .model.sets.head_file import FiledHead
from .model.sets.whole import FORMAT, DatedReading, FromTest, Whole, WholeSource
from .sample_heads import sample_heads

TESTED_BEFORE = timedelta(days=40)
"""How long before today the heads were tested."""
_READ_BEFORE = timedelta(minutes=25)


def sample_set(now: datetime | None = None, tested_at: datetime | None = None) -> LightSet:
    """Return the invented sample: a diner at dusk, six sources of five kinds, some of them hung already.

    Three are heads that were tested before. The key was metered today, the fill was not.
    """
    now = now or datetime.now(UTC)
    heads = sample_heads(tested_at or now - TESTED_BEFORE)
    par, panel, fresnel = (source_of(one.head, [_kept(one)], now) for one in heads)
    return LightSet(
        name="Diner at dusk (invented sample)",
        note="Everything here is invented, readings included. Change it, break it, remove it.",
        target=Target(cct=5600),
        sources=[_window(), _key(par), _fill(panel), _tubes(), _backlight(fresnel), _lamps()],
    )


def sample_whole(now: datetime, tested_at: datetime) -> Whole:
    """Return the sample with its heads, and with when each reading was taken."""
    made, heads = sample_set(now, tested_at), sample_heads(tested_at)
    at = utc_text(now)
    return Whole(
        advisor_set=FORMAT,
        uid=secrets.token_hex(16),
        exported_at=at,
        changed_at=at,
        sample=True,
        set=made.model_copy(update={"sources": []}),
        sources=[_dated(source, heads, utc_text(now - _READ_BEFORE)) for source in made.sources],
        gels=[],
        history=[],
        heads=heads,
    )


def _dated(source: Source, heads: list[FiledHead], read_at: str) -> WholeSource:
    indices = {one.head.name: index for index, one in enumerate(heads)}
    dated = []
    for reading in [*source.readings, source.reading]:
        if source.test is None or reading.tested_at is None:
            dated.append(DatedReading(taken_at=read_at, reading=reading))
            continue
        index = indices[source.test.head]
        [taken_at] = [
            filed.taken_at
            for filed in heads[index].tests[0].readings
            if filed.reading.on_set == reading.model_copy(update={"tested_at": None})
        ]
        dated.append(DatedReading(taken_at=taken_at, reading=reading, test=FromTest(head=index, test=0)))
    return WholeSource.model_validate({"readings": dated, "source": _described(source)})


def _described(source: Source) -> dict[str, object]:
    return {name: getattr(source, name) for name in set(Source.model_fields) - {"reading", "readings"}}


def _kept(filed: FiledHead) -> KeptTest:
    [test] = filed.tests
    # The first reading, full and bare, counts first of all, so it comes last.
    readings = [one.reading for one in reversed(test.readings)]
    return KeptTest(
        test.test, PastTest(datetime.fromisoformat(test.begun_at), readings, test.test.minutes_on)
    )


def _window() -> Source:
    """Return a window that is to stay a stop under the key, so that it is dusk: ND hangs with the colour."""
    return Source(
        name="Front window",
        kind=Kind.DAYLIGHT,
        reading=Reading(cct=8200, duv=0.0036, lux=700),
        note="Dusk sky. Falls fast: meter it again",
        over_key=-1.0,
        openings=[Opening(width=1.4, height=2.1, count=2)],
    )


def _key(par: Source) -> Source:
    """Return a tested head that was metered today, through the frame that it is used with."""
    today = Reading(cct=5750, duv=0.0068, lux=830, level=100, modifier="diffusion frame")
    return Source.model_validate(
        {
            **dict(par),
            "name": "Key through the door",
            "note": "Lamp near the end of its hours",
            "reading": today,
            "readings": [*par.readings, par.reading],
            "role": Role.KEY,
            "openings": [Opening(width=1.2, height=1.2)],
        }
    )


def _fill(panel: Source) -> Source:
    """Return a tested head with dials that nobody metered today; its test tells what its numbers mean."""
    return Source.model_validate(
        {
            **dict(panel),
            "name": "Counter panel",
            "note": "Bicolour, with a green dial from -10 to 10. Green below 20 %",
            "role": Role.FILL,
            "level": 20,
            "modifier": "",
        }
    )


def _tubes() -> Source:
    """Return tubes that are to keep an eighth of green on purpose."""
    return Source(
        name="Kitchen tubes",
        kind=Kind.FLUORESCENT,
        reading=Reading(cct=4180, duv=0.0079, lux=110),
        note="Building's own, cannot be switched. The DP wants to feel that they are tubes",
        aim=WantedOffset(duv=0.0035),
        openings=[Opening(width=1.2, height=0.12, count=8)],
    )


def _backlight(fresnel: Source) -> Source:
    """Return a tested head that is used between two levels of its test; hung, then found to be off."""
    return Source.model_validate(
        {
            **dict(fresnel),
            "name": "Backlight",
            "note": "Warms below 80 %",
            "level": 80,
            "modifier": "",
            "role": Role.BACK,
            "openings": [Opening(width=0.35, height=0.35)],
            "work": Work(
                stage=Stage.HUNG,
                gels=["CTB 1/2", "CTB 1/2"],
                predicted=Predicted(
                    cct=5396, duv=0.0012, lux=327, uncertainty_steps=8.2, within=0.27, tolerance_steps=3
                ),
                read_behind=Reading(cct=4750, duv=0.0020, lux=340, level=80, gels=["CTB 1/2", "CTB 1/2"]),
            ),
        }
    )


def _lamps() -> Source:
    """Return practicals that are to be half a CTO warmer, within a wider tolerance; hung and confirmed."""
    return Source(
        name="Counter lamps",
        kind=Kind.TUNGSTEN,
        reading=Reading(cct=2720, duv=0.0002, lux=28),
        note="Practicals, seen in shot",
        aim=WantedOffset(mired=80.0),
        role=Role.PRACTICAL,
        on_subject=False,
        tolerance_steps=6,
        openings=[Opening(width=0.1, height=0.25, count=6)],
        work=Work(
            stage=Stage.CONFIRMED,
            gels=["CTB 1/2", "CTB 1/4", "Plus green 1/8"],
            predicted=Predicted(
                cct=3860, duv=0.0029, lux=10, uncertainty_steps=5.3, within=0.96, tolerance_steps=6
            ),
            read_behind=Reading(cct=3905, duv=0.0023, lux=10, gels=["CTB 1/2", "CTB 1/4", "Plus green 1/8"]),
        ),
    )
