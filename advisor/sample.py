"""A set of our own invention, to see the job in a few minutes. No reading in it was ever taken."""

from .model import (
    Kind,
    LightSet,
    Opening,
    Predicted,
    Reach,
    Reading,
    Role,
    Setting,
    Source,
    Stage,
    Target,
    WantedOffset,
    Work,
)


def sample_set() -> LightSet:
    """Return the invented sample: a bakery at dawn, six sources of six kinds, some of them hung already."""
    return LightSet(
        name="Bakery at dawn (invented sample)",
        note="Everything here is invented, readings included. Change it, break it, remove it.",
        target=Target(cct=5600),
        sources=[_window(), _key(), _panel(), _tubes(), _backlight(), _shelf()],
    )


def _window() -> Source:
    """Return a window that is too bright: it may stand a stop over the key, so ND hangs with the colour."""
    return Source(
        name="Shop window",
        kind=Kind.DAYLIGHT,
        reading=Reading(cct=7200, duv=0.0041, lux=5200),
        note="Overcast, drifts cooler as it rises",
        over_key=1.0,
        openings=[Opening(width=1.4, height=2.1, count=2)],
    )


def _key() -> Source:
    return Source(
        name="Key through the door",
        kind=Kind.DISCHARGE,
        reading=Reading(cct=5820, duv=0.0068, lux=1450),
        note="Lamp near the end of its hours",
        role=Role.KEY,
        watts=1200,
        openings=[Opening(width=0.6, height=0.6)],
    )


def _panel() -> Source:
    """Return an adjustable head, read at two settings: what its numbers mean follows from that."""
    return Source(
        name="Counter panel",
        kind=Kind.LED_WHITE,
        readings=[Reading(cct=3260, duv=-0.0012, lux=455, dial=Setting(cct=3200))],
        reading=Reading(cct=5480, duv=-0.0021, lux=410, dial=Setting(cct=5600)),
        note="Bicolour, with a green dial from -10 to 10",
        role=Role.FILL,
        reach=Reach(cct_from=2700, cct_to=6500, green_from=-10, green_to=10),
        watts=120,
    )


def _tubes() -> Source:
    """Return tubes that are to keep an eighth of green on purpose."""
    return Source(
        name="Oven room tubes",
        kind=Kind.FLUORESCENT,
        reading=Reading(cct=4180, duv=0.0079, lux=300),
        note="Building's own, cannot be switched. The DP wants to feel that they are tubes",
        aim=WantedOffset(duv=0.0035),
        openings=[Opening(width=1.2, height=0.12, count=8)],
    )


def _backlight() -> Source:
    """Return a head that was read at four levels, used between two; hung, then found to be off."""
    return Source(
        name="Backlight",
        kind=Kind.TUNGSTEN,
        readings=[
            Reading(cct=2560, duv=0.0004, lux=88, level=40),
            Reading(cct=2790, duv=0.0002, lux=215, level=60),
            Reading(cct=3010, duv=0.0, lux=402, level=80),
        ],
        reading=Reading(cct=3190, duv=-0.0003, lux=640, level=100),
        note="At full; warms below 80 %",
        level=90,
        role=Role.BACK,
        watts=650,
        openings=[Opening(width=0.35, height=0.35)],
        work=Work(
            stage=Stage.HUNG,
            gels=["CTB 1/2", "CTB 1/2"],
            predicted=Predicted(
                cct=5549, duv=0.0013, lux=160, uncertainty_steps=8.2, within=0.3, tolerance_steps=3
            ),
            read_behind=Reading(cct=4810, duv=0.0052, lux=171, level=90, gels=["CTB 1/2", "CTB 1/2"]),
        ),
    )


def _shelf() -> Source:
    """Return practicals that are to be half a CTO warmer, within a wider tolerance; hung and confirmed."""
    return Source(
        name="Shelf lamps",
        kind=Kind.TUNGSTEN,
        reading=Reading(cct=2720, duv=0.0002, lux=95),
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
                cct=3860, duv=0.0029, lux=33, uncertainty_steps=5.6, within=0.96, tolerance_steps=6
            ),
            read_behind=Reading(cct=3905, duv=0.0023, lux=34, gels=["CTB 1/2", "CTB 1/4", "Plus green 1/8"]),
        ),
    )
