"""A window whose light is gone: it has no lamp that anybody changes, and it is back the next morning."""

import re

import pytest

from advisor.model import Kind, LightSet, Reading, Role, Source, Target


@pytest.fixture
def attic(stores):
    """Keep an invented set: a window that fills, and a lamp as the key."""
    sources = [
        Source(name="Dormer", kind=Kind.DAYLIGHT, role=Role.FILL, reading=Reading(cct=6000, duv=0.003)),
        Source(name="Desk", kind=Kind.TUNGSTEN, role=Role.KEY, reading=Reading(cct=3100, duv=0.0, lux=300)),
    ]
    return stores.sets.create_set(LightSet(name="Attic", target=Target(cct=4300), sources=sources))


@pytest.fixture
def tap(attic, post, stores):
    def press(action, number=1):
        revision = stores.sets.get_source(number).revision
        return post(f"/sources/{number}/lamp", {"action": action, "revision": str(revision)})

    return press


def buttons(page):
    return set(re.findall(r"<button[^>]*>([^<]*)", page.html))


def test_its_words_are_of_light_and_of_no_lamp(attic, tap, get):
    before = buttons(get("/sources/1"))
    assert "Light gone" in before and not before & {"Lamp out", "Lamp changed"}
    page = tap("out")
    assert "Light gone" in page.text and "Light is back" in buttons(page)
    assert "Cut the power" not in page.text and "Lamp out" not in page.text
    assert "light gone" in get(f"/sets/{attic}").text.lower()
    page = tap("back")
    assert "Another light since" in page.text and "Same light" in buttons(page)
    assert "Another lamp" not in page.text


def test_a_lamp_keeps_its_own(attic, tap, get):
    assert {"Lamp out", "Lamp changed"} <= buttons(get("/sources/2"))
    assert "Cut the power and let it cool" in tap("out", 2).text


def test_daylight_is_back_the_next_day_and_a_lamp_is_not(attic, tap, stores):
    tap("out")
    tap("out", 2)
    window, lamp = (one.source for one in stores.sets.get_set(stores.sets.days.duplicate(attic)).sources)
    assert not window.lamp_out and window.lamp is None
    assert lamp.lamp_out


def test_nobody_is_sent_to_meter_light_that_is_gone(attic, tap, get):
    assert "read it again with its lux" in get(f"/sets/{attic}/light").text
    tap("out")
    assert "read it again with its lux" not in get(f"/sets/{attic}/light").text
