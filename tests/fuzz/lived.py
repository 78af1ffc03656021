"""Invented sets as files, whose pages show the forms that the sample's do not. No reading was ever taken."""

from pathlib import Path
from tempfile import TemporaryDirectory

from advisor.advice.plan.make import make_plan
from advisor.model import Exposure, Kind, LightSet, Limits, Reading, Role, Source, Stage, Target, Work
from advisor.store.file.database import Database
from advisor.store.sets.sets import SetStore
from advisor.web.plans.aside import FEW_SOURCES
from tests.advice.decided import hung_as
from tests.advice.rows import nominal

_LIMITS = Limits(max_layers=1)


def drifted() -> str:
    """Return a set whose window moved after a lamp was matched to it.

    It has a key that is a stop short of f/2.8 at its camera, a head of unknown kind, and a lamp on which a
    full CTB is said to hang.
    """
    target = Target(source="Window")
    morning, noon = (Reading(cct=cct, duv=0.0005, lux=500) for cct in (5700, 6500))
    window = Source(name="Window", kind=Kind.DAYLIGHT, reading=morning)
    bare = Reading(cct=3230, duv=0, lux=1000)
    lamp, doubted = (Source(name=n, kind=Kind.TUNGSTEN, reading=bare) for n in ("Lamp", "Backlight"))
    best = make_plan([window, lamp], target, _LIMITS, nominal()).heads[1].best
    said = Work(stage=Stage.HUNG, gels=["CTB full"], read_bare=bare)
    sources = [
        window.model_copy(update={"reading": noon, "readings": [morning]}),
        hung_as(lamp, best),
        doubted.model_copy(update={"work": said}),
        Source(name="Key", kind=Kind.LED_WHITE, role=Role.KEY, reading=Reading(cct=3200, duv=0, lux=81.6)),
        Source(name="Sign", reading=Reading(cct=4100, duv=0.009, lux=90)),
    ]
    exposure = Exposure(iso=800, frame_rate=24, constant=340)
    return _file(LightSet(name="Drifted", target=target, limits=_LIMITS, exposure=exposure, sources=sources))


def alike() -> str:
    """Return two signs of unknown kind that read the same, of which the page asks what lamps they are."""
    reading = Reading(cct=4100, duv=0.009, lux=90)
    sources = [Source(name=f"Sign {k}", reading=reading) for k in (1, 2)]
    return _file(LightSet(name="Alike", target=Target(cct=7143), limits=_LIMITS, sources=sources))


def pair() -> str:
    """Return two lamps and one layer, for which the best white is found soon."""
    sources = [
        Source(name=f"Lamp {k}", kind=Kind.TUNGSTEN, reading=Reading(cct=cct, duv=0.001, lux=300))
        for k, cct in enumerate((3200, 4300))
    ]
    return _file(LightSet(name="Pair", target=Target(cct=5600), limits=_LIMITS, sources=sources))


def many() -> str:
    """Return a set whose plan is worked out aside: of more sources than a page waits for."""
    reading = Reading(cct=3200, duv=0.001, lux=300)
    sources = [Source(name=f"Lamp {k}", kind=Kind.TUNGSTEN, reading=reading) for k in range(FEW_SOURCES + 1)]
    return _file(LightSet(name="Many", target=Target(cct=5600), limits=_LIMITS, sources=sources))


def _file(made: LightSet) -> str:
    """Return a set as another laptop exports it."""
    with TemporaryDirectory() as folder, Database(Path(folder) / "advisor.db") as database:
        sets = SetStore(database)
        return sets.whole.export(sets.create_set(made), []).to_json()
