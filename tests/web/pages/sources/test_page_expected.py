"""Beside a chance stands which way the stack is likely off: two lamps that are nearly alike are told apart.

The lamps are invented.
"""

import re

import pytest

from advisor.model import LightSet, Reading, Source, Target


@pytest.fixture
def lamps(stores):
    """Keep two bulbs 80 K apart behind the same stack, of which one lands warm of the target and one cool."""
    made = [
        Source(name=f"Bulb {cct}", kind="tungsten", reading=Reading(cct=cct, duv=0.0005))
        for cct in (2900, 2980)
    ]
    return stores.sets.create_set(LightSet(name="Bar", target=Target(cct=4300), sources=made))


def test_each_says_which_way_it_is_likely_off(lamps, get):
    warm, cool = (get(f"/sources/{k}").text for k in (1, 2))
    order = r"Hang (½\sCTB ¼\sCTB ⅛\splus\sgreen)"
    assert re.search(order, warm) and re.search(order, cool), "one stack for both"
    assert "Expect it a touch warm, a touch green." in warm
    assert "Expect it a touch cool, half an ⅛ green." in cool


def test_what_was_read_is_expected_no_more(lamps, get, press, post):
    press("hung", ["CTB 1/2", "CTB 1/4", "Plus green 1/8"])
    assert "Expect it" in get("/sources/1").text
    post("/sources/1/reading", {"cct": 4230, "duv": 0.003, "behind": "hung"})
    assert "Expect it" not in get("/sources/1").text


def test_nothing_is_expected_of_what_stays_bare(stores, get):
    stays = Source(name="Bare", kind="tungsten", reading=Reading(cct=3200, duv=0))
    stores.sets.create_set(LightSet(name="Bar", target=Target(cct=3200), sources=[stays]))
    assert "Expect it" not in get("/sources/1").text
