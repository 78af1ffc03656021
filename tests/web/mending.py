"""A lamp whose readings are mended, and what is on record of them."""

from tests.advice.lamps import planckian

LAMP = planckian(3230)
SAID, REALLY = "CTB full", "CTB 1/2"


def ids(stores, number):
    return [r.id for r in stores.sets.readings_of(number)]


def told(stores, number):
    """What is on record of a head's readings: CCT, gels, and whether it counts."""
    found = stores.sets.readings_of(number)
    return [(round(r.reading.cct), r.reading.gels, r.struck is None) for r in found]
