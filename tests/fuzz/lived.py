"""Invented sets as files, whose pages show the forms that the sample's do not. No reading was ever taken."""

from advisor.advice.plan.make import make_plan
from advisor.model import Exposure, Kind, LightSet, Limits, Reading, Role, Source, Stage, Target, Work
from advisor.model.sets.whole import DatedReading, Whole, WholeSource
from tests.advice.decided import hung_as
from tests.advice.rows import nominal

_AT = "2026-03-14T15:00:00Z"
_LIMITS = Limits(max_layers=1)


def drifted() -> str:
    """Return a set whose window moved after a lamp was matched to it.

    It has a key that is a stop short of f/2.8 at its camera, a head of unknown kind, and a lamp on which a
    full CTB is said to hang.
    """
    target = Target(source="Window")
    morning, noon = (Reading(cct=cct, duv=0.003, lux=500) for cct in (7143, 7850))
    window = Source(name="Window", kind=Kind.DAYLIGHT, reading=morning)
    bare = Reading(cct=3230, duv=0, lux=1000)
    lamp, doubted = (Source(name=n, kind=Kind.TUNGSTEN, reading=bare) for n in ("Lamp", "Backlight"))
    best = make_plan([window, lamp], target, _LIMITS, nominal()).heads[1].best
    said = Work(stage=Stage.HUNG, gels=["CTB full"], read_bare=bare)
    key = Reading(cct=3200, duv=0, lux=81.6)
    sources = [
        (window, [morning, noon]),
        (hung_as(lamp, best), [bare]),
        (doubted.model_copy(update={"work": said}), [bare]),
        (Source(name="Key", kind=Kind.LED_WHITE, role=Role.KEY, reading=key), [key]),
        (Source(name="Sign", reading=(sign := Reading(cct=4100, duv=0.009, lux=90))), [sign]),
    ]
    exposure = Exposure(iso=800, frame_rate=24, constant=340)
    made = LightSet(name="Drifted", target=target, limits=_LIMITS, exposure=exposure, sources=[])
    return _file("5" * 32, made, sources, target_source=0)


def pair() -> str:
    """Return two lamps and one layer, for which the best white is found soon."""
    reads = [Reading(cct=cct, duv=0.001, lux=300) for cct in (3200, 4300)]
    sources = [
        (Source(name=f"Lamp {k}", kind=Kind.TUNGSTEN, reading=read), [read]) for k, read in enumerate(reads)
    ]
    return _file("6" * 32, LightSet(name="Pair", target=Target(cct=5600), limits=_LIMITS), sources)


def _file(
    uid: str, made: LightSet, sources: list[tuple[Source, list[Reading]]], target_source: int | None = None
) -> str:
    described = set(Source.model_fields) - {"reading", "readings"}
    whole = [
        WholeSource.model_validate(
            {
                "readings": [DatedReading(taken_at=_AT, reading=reading) for reading in readings],
                "source": {name: getattr(source, name) for name in described},
            }
        )
        for source, readings in sources
    ]
    return Whole(
        advisor_set=3,
        uid=uid,
        exported_at=_AT,
        changed_at=_AT,
        set=made,
        target_source=target_source,
        sources=whole,
        gels=[],
        history=[],
    ).to_json()
