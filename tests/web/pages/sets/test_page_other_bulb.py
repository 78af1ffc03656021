"""The next day a lamp has another bulb, and nobody says so: its bare reading does."""

import json

import pytest

from advisor.model import Kind, LightSet, Locus, Reading, Source, Target


@pytest.fixture
def next_day(stores, post):
    """Keep an invented set with a key that was confirmed behind gel, and go on with the next day."""
    key = Source(name="Key", kind=Kind.TUNGSTEN, reading=Reading(cct=3120, duv=-0.0001, lux=1400))
    white = Target(cct=4300, locus=Locus.DAYLIGHT)
    today = stores.sets.create_set(LightSet(name="Parlour", target=white, sources=[key]))
    stack = json.dumps({"gels": ["CTB 1/2", "CTB 1/8", "Plus green 1/8"], "dial": None})
    seen = stores.sets.get_source(1).revision
    post("/sources/1/work", {"revision": seen, "action": "hung", "stack": stack})
    post("/sources/1/reading", {"cct": 4310, "duv": 0.003, "lux": 500, "behind": "hung"})
    return stores.sets.days.duplicate(today)


@pytest.fixture
def meter(next_day, stores, post):
    number = stores.sets.get_set(next_day).sources[0].id

    def send(cct, duv):
        read = {"cct": cct, "duv": duv, "lux": 1460, "behind": "bare"}
        said = post(f"/sources/{number}/reading", read).text.partition("Build a stack by hand")[0]
        return said.replace("\N{NARROW NO-BREAK SPACE}", " ")

    return send


def test_what_was_read_behind_the_old_bulb_counts_no_more(meter):
    said = meter(3270, 0.0004)
    assert "Hang Key Hang ½ CTB ⅛ plus green" in said, "the largest type is of the bulb that was read last"
    assert "Another lamp than the day before, or another level" in said
    assert "metered" not in said and "by the day before" not in said and "Planned earlier" not in said


def test_the_same_bulb_read_again_keeps_what_was_read(meter):
    said = meter(3135, 0.0001)
    assert "Hang Key Hang ½ CTB ⅛ CTB ⅛ plus green" in said
    assert "Another lamp" not in said
