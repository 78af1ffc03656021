"""A head is never sent in a small circle: metered again for nothing, or asked again what was answered.

The skylight and its readings are an invented scenario.
"""

import re

import pytest

from advisor.model import Kind, LightSet, Reading, Source, Stage, Target

ON = {"behind": "hung", "hung": "CTO 1/8"}
BARE = {"behind": "bare", "hung": "CTO 1/8"}


@pytest.fixture
def head(sample, stores):
    """Return what keeps a set with one head, and returns the number of the head."""

    def keep(kind=Kind.DAYLIGHT, cct=6290.0):
        reading = Reading(cct=cct, duv=0.003)
        one = Source(name="Skylight", kind=kind, reading=reading)
        set_id = stores.sets.create_set(LightSet(name="Loft", target=Target(cct=5600), sources=[one]))
        return stores.sets.get_set(set_id).sources[0].id

    return keep


@pytest.fixture
def stage(stores):
    return lambda number: stores.sets.get_source(number).source.work.stage


def told(page):
    return page.text.split("New reading")[0]


class TestASkyThatGoesBack:
    """It was read bare while it was cooler, and behind the gel once it was as before."""

    def test_one_reading_behind_the_gel_ends_it(self, head, act, read, stage):
        number = head()
        act("hung", ["CTO 1/8"], number=number)
        read("5610", "0.0030", number=number, **ON)
        assert "meter it again" in told(read("8200", "0.0030", number=number, **BARE))
        page = read("5615", "0.0030", number=number, **ON)
        assert "meter it again" not in told(page).lower() and "Confirmed: 5 615 K" in told(page)
        assert stage(number) is Stage.CONFIRMED

    def test_a_sky_half_way_is_gone_by_at_once(self, head, act, read, stage):
        number = head()
        act("hung", ["CTO 1/8"], number=number)
        read("5610", "0.0030", number=number, **ON)
        read("8200", "0.0030", number=number, **BARE)
        page = told(read("6800", "0.0030", number=number, **ON))
        assert "meter it again" not in page.lower() and "6 800 K" in page
        assert re.search(r"(Add|Hang) .*CTO", page) and stage(number) is Stage.HUNG

    def test_without_the_bare_reading_it_is_as_it_was(self, head, act, read, stores, stage):
        number = head()
        act("hung", ["CTO 1/8"], number=number)
        read("5610", "0.0030", number=number, **ON)
        read("8200", "0.0030", number=number, **BARE)
        read("5615", "0.0030", number=number, **ON)
        bare = [kept.id for kept in stores.sets.readings_of(number) if kept.reading.cct == 8200]
        stores.sets.strike(bare[0])
        assert stage(number) is Stage.CONFIRMED


class TestAHeadThatStaysBare:
    def test_what_is_read_of_it_bare_is_held_against_that(self, head, act, read, stage):
        number = head(Kind.LED_WHITE, 5620)
        assert "Meter it once more" in told(act("hung", [], number=number))
        page = told(read("5630", "0.0030", number=number, behind="bare", hung=""))
        assert "Confirmed: 5 630 K" in page and stage(number) is Stage.CONFIRMED
        page = told(read("8200", "0.0030", number=number, behind="bare", hung=""))
        assert "Not as predicted: 8 200 K" in page and re.search(r"Hang .*CTO", page)
        assert stage(number) is Stage.HUNG

    def test_a_form_from_before_that_was_decided_is_taken(self, head, act, read, stage):
        number = head(Kind.LED_WHITE, 5620)
        act("hung", [], number=number)
        assert read("5630", "0.0030", number=number).status == 200
        assert stage(number) is Stage.CONFIRMED


class TestDaylightThatWasNeverReadRight:
    def test_the_sheet_is_believed_before_the_sky(self, head, act, read):
        number = head()
        act("hung", ["CTO 1/8"], number=number)
        page = read("5140", "0.0030", number=number, **ON)
        assert "reads like ¼ CTO, not ⅛ CTO. Or the daylight moved." in told(page)
        assert re.search(r"<button>It is ⅛\sCTO<", page.html)
        assert re.search(r"<button>It was ¼\sCTO<", page.html)

    def test_who_looked_is_not_asked_at_the_next_reading(self, head, act, read, post):
        number = head()
        act("hung", ["CTO 1/8"], number=number)
        read("5140", "0.0030", number=number, **ON)
        post(f"/sources/{number}/gel", {"of": "CTO 1/8", "instead": "CTO 1/8", "hung": "CTO 1/8"})
        page = told(read("5130", "0.0030", number=number, **ON))
        assert "Check the gel" not in page and "left out" not in page.lower()
        assert "Take off" in page
