"""A new lamp that is metered behind gels alone: what is called predicted was so before it was read.

A courtyard's discharge head; the lamps and their readings are invented.
"""

import json
import re

import pytest

from advisor.model import Kind, LightSet, Reading, Source, Target

EIGHTH, QUARTER = "Minus green 1/8", "Minus green 1/4"


@pytest.fixture
def court(stores):
    head = Source(name="Arcade", kind=Kind.DISCHARGE, reading=Reading(cct=5720, duv=0.0079, lux=1180))
    return stores.sets.create_set(LightSet(name="Courtyard", target=Target(cct=5600), sources=[head]))


@pytest.fixture
def hang(court, post, stores):
    def do(*gels, action="hung"):
        seen = stores.sets.get_source(1).revision
        return post(
            "/sources/1/work", {"action": action, "stack": json.dumps({"gels": gels}), "revision": seen}
        )

    return do


@pytest.fixture
def metered(post):
    def do(cct, duv, lux, behind="hung"):
        return post("/sources/1/reading", {"cct": cct, "duv": duv, "lux": lux, "behind": behind})

    return do


@pytest.fixture
def lamp(post, stores):
    def do(action):
        seen = stores.sets.get_source(1).revision
        return post("/sources/1/lamp", {"action": action, "revision": seen})

    return do


@pytest.fixture
def relamped(hang, metered, lamp):
    """Behind a sheet that was read behind the lamp before, and behind the new one, which nobody read bare."""
    hang(EIGHTH)
    metered("5760", ".0055", "1130")
    lamp("out")
    lamp("back")
    return metered("5410", ".0061", "1100")


def _light(page, said):
    found = re.search(rf"{said} ([\d\s]+ K, Duv [+−][\d.]+)", page.text)
    assert found, page.text
    return " ".join(found[1].split())


def test_of_the_first_reading_of_a_lamp_nothing_was_predicted(relamped):
    assert "Metered: 5 410 K, Duv +0.0061." in " ".join(relamped.text.split())
    for word in ("Predicted:", "as predicted", "As expected", "from the prediction"):
        assert word not in relamped.text


def test_what_was_promised_of_it_stands_after_it_was_read(relamped, hang, metered):
    told = _light(hang(QUARTER), "After:")
    read = metered("5420", ".0047", "1010")
    assert _light(read, "Predicted:") == told
    assert "+0.0047" not in told


def test_what_was_promised_of_the_lamp_before_is_not_told_of_the_new_one(relamped, hang, lamp, metered):
    hang(QUARTER)
    lamp("out")
    lamp("back")
    read = metered("5980", ".0020", "900")
    assert "Predicted:" not in read.text


def test_a_light_that_changed_before_its_target_did_is_not_said_to_change_now(
    court, hang, metered, post, get, stores
):
    hang(EIGHTH)
    metered("6190", ".0052", "1130")
    post("/sources/1/gel", {"of": EIGHTH, "instead": EIGHTH, "hung": EIGHTH})
    assert "Confirmed" in metered("5640", ".0049", "1130").text
    stores.sets.update_set(court, target=Target(cct=4300))
    page = get("/sources/1").text
    assert "The light changed:" not in page
    assert "Confirmed, then its target changed. Now it is obvious" in page
