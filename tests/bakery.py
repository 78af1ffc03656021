"""A plain set for tests of single pages: six bare sources, nothing hung. No reading in it was ever taken."""

from advisor.model import Kind, LightSet, Reading, Source, Target


def bakery() -> LightSet:
    """Return a bakery before dawn: six sources of six kinds."""

    def source(name: str, kind: Kind, cct: float, duv: float, lux: float, note: str) -> Source:
        return Source(name=name, kind=kind, reading=Reading(cct=cct, duv=duv, lux=lux), note=note)

    return LightSet(
        name="Bakery before dawn (invented sample)",
        note="Everything here is invented, readings included. Change it, break it, remove it.",
        target=Target(cct=5600),
        sources=[
            source("Shop window", Kind.DAYLIGHT, 7200, 0.0041, 820, "Overcast, drifts cooler towards dusk"),
            source(
                "Key through the door", Kind.DISCHARGE, 5820, 0.0068, 1450, "Lamp near the end of its hours"
            ),
            source("Counter panel", Kind.LED_WHITE, 5480, -0.0021, 410, "Bicolour, set to its daylight end"),
            source(
                "Oven room tubes", Kind.FLUORESCENT, 4180, 0.0079, 300, "Building's own, cannot be switched"
            ),
            source("Backlight", Kind.TUNGSTEN, 3190, -0.0003, 640, "At full; warms below 80 %"),
            source("Shelf lamps", Kind.TUNGSTEN, 2720, 0.0002, 95, "Practicals, seen in shot"),
        ],
    )
