"""A set and a gel table, invented."""

from advisor.model import (
    Gel,
    GelTable,
    LightSet,
    Reading,
    Source,
    Target,
)
from advisor.model.sets.whole import Whole
from advisor.store import SetStore

WINDOW = Source(name="Window", kind="daylight", reading=Reading(cct=6800, duv=0.004, lux=900))
LAMP = Source(name="Desk lamp", kind="tungsten", reading=Reading(cct=2750, duv=0.0))
CEILING = Source(name="Ceiling", kind="fluorescent", reading=Reading(xy=(0.38, 0.39)), keep=["ND 0.3"])
OFFICE = LightSet(name="Office", note="north side", target=Target(cct=5600), sources=[WINDOW, LAMP])
HALF_CTO = Gel(family="CTO", fraction="1/2", mired=81)
ND = Gel(family="ND", fraction="0.3", stops=1)
SHIPPED = GelTable(rows=[HALF_CTO, ND])


def export(sets: SetStore, number: int) -> Whole:
    return sets.whole.export(number, SHIPPED.rows)
