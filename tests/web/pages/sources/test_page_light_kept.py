"""A reading without its lux loses no light that was read before; the head's page says whose it is."""

from advisor.model import LightSet, Reading, Source, Target

SAID = "Its lux is from an earlier reading."


def test_a_new_reading_without_lux_keeps_the_light_and_says_so(read, get, stores):
    lit = Source(name="Lamp", kind="tungsten", reading=Reading(cct=3200, duv=0.001, lux=640))
    set_id = stores.sets.create_set(LightSet(name="Loft", target=Target(cct=5600), sources=[lit]))
    [lamp] = stores.sets.get_set(set_id).sources
    first = get(f"/sources/{lamp.id}").text
    assert SAID not in first and "640 lx" in first
    again = read("3210", "0.0010", number=lamp.id).text
    assert SAID in again and "640 lx" in again
    assert stores.sets.get_source(lamp.id).source.reading.lux is None
