"""A head is asked to be so much brighter than it is now, with the gel that hangs on it.

The scenario is invented: a key behind ¼ CTO that its camera wants half again as bright.
"""

import json
from math import log2

import pytest

from advisor.model import LightSet, Limits, Reading, Role, Source, Target


@pytest.fixture
def studio(stores, post):
    """The key was read dimmed and full, hangs ¼ CTO and was metered behind it; beside it stands a fill."""
    dimmed = Reading(cct=5600, duv=0.001, lux=300, level=50)
    key = Source(
        name="Key",
        kind="led-white",
        role=Role.KEY,
        reading=Reading(cct=5600, duv=0.001, lux=600, level=100),
        readings=[dimmed],
        level=50,
    )
    fill = Source(
        name="Fill", kind="led-white", role=Role.FILL, reading=Reading(cct=5600, duv=0.001, lux=90, level=50)
    )
    kept = LightSet(name="Studio", target=Target(cct=4800), limits=Limits(max_layers=2), sources=[key, fill])
    number = stores.sets.create_set(kept)
    hung = json.dumps({"gels": ["CTO 1/4"], "dial": None})
    post("/sources/1/work", {"revision": stores.sets.get_source(1).revision, "action": "hung", "stack": hung})
    post("/sources/1/reading", {"cct": 4790, "duv": 0.001, "lux": 240, "level": 50, "behind": "hung"})
    return number


def asked(number, **fields):
    return f"/sets/{number}/light/asked?" + "&".join(f"{name}={value}" for name, value in fields.items())


def test_it_keeps_its_gel_and_gives_that_much_more_than_metered(studio, get):
    page = get(asked(studio, than_now_1="0.6"))
    assert page.heading == "Key 0.6 stop brighter"
    assert "0.6 stop brighter is asked: 364 lx here, 240 lx now" in page.text, "240 × 2^0.6 = 363.8"
    assert "Set the dimmer to 75 %" in page.text, (
        "50 % gives 300 lx bare, 100 % twice that: 50 × 2^0.6 = 75.8"
    )
    assert "Fill" not in page.text.split("Brighter than now")[0], "nothing is asked of it"


def test_times_as_bright_is_the_same_as_its_stops(studio, get):
    by_stops = get(asked(studio, than_now_1=round(log2(1.5), 3))).text
    assert "0.6 stop brighter is asked: 360 lx here, 240 lx now" in by_stops, "1.5 × 240"
    for typed in ("1.5x", "×1.5", "1,5 x"):
        assert "360 lx here, 240 lx now" in get(asked(studio, than_now_1=typed)).text


def test_darker_than_now_and_planned(studio, get, post, stores):
    page = get(asked(studio, than_now_1="-1"))
    assert "1 stop darker is asked: 120 lx here" in page.text
    page = post(f"/sets/{studio}/light/asked", {**page.fields, "than_now_1": "-1"})
    assert "Planned. Each head’s page says what to do." in page.text
    stand = stores.sets.get_source(1).source.stand
    assert stand.times == pytest.approx(2**0.5, abs=0.05), "half the light, by the inverse square"


@pytest.mark.parametrize("typed", ["a lot", "9", "0x"])
def test_what_is_no_amount_is_refused_in_its_field(studio, get, typed):
    page = get(asked(studio, than_now_1=typed))
    assert "aria-invalid" in page.html and typed in page.html


def test_one_light_is_not_asked_for_in_two_ways(studio, get):
    page = get(asked(studio, than_now_1="0.6", f_number="2.8"))
    assert "the light of Key is asked for by the f-number too" in page.text
    page = get(asked(studio, than_now_2="0.6", key_to_fill="4"))
    assert "the light of Fill is asked for by key to fill too" in page.text


def test_a_head_without_lux_says_so(studio, get, stores):
    stores.sets.add_source(studio, Source(name="Rim", kind="tungsten", reading=Reading(cct=3200, duv=0)))
    assert "Rim has no lux. Meter it with its lux." in get(asked(studio, than_now_3="1")).text
