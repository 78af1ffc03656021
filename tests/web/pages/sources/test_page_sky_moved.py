"""A window behind a gel that was confirmed, and a sky that moves after that: the light is doubted first.

The window and its readings are an invented scenario.
"""

from math import log2

import pytest

from advisor.colour.observer.loci import daylight
from advisor.model import Kind, LightSet, Reading, Source, Stage, Target
from tests.advice.lamps import read as metered_behind
from tests.web.working import buttons

ON = {"behind": "hung", "hung": "CTO 1/8"}


@pytest.fixture
def window(sample, stores):
    """Keep a set with one window that was read the day before, and return the number of the window."""
    set_id = stores.sets.create_set(
        LightSet(
            name="Loft",
            target=Target(cct=5600),
            sources=[Source(name="Skylight", kind=Kind.DAYLIGHT, reading=Reading(cct=5620, duv=0.003))],
        )
    )
    return stores.sets.get_set(set_id).sources[0].id


def first_screen(page):
    return page.text.split("New reading")[0]


def test_the_newest_reading_of_a_sky_that_moved_counts_each_time(window, act, read, get, stores):
    """Until now it asked for the meter again and again, and left each reading out."""
    read("6290", "0.0030", number=window)
    act("hung", ["CTO 1/8"], number=window)
    read("5610", "0.0030", number=window, **ON)
    assert stores.sets.get_source(window).source.work.stage is Stage.CONFIRMED
    for cct, said in (("5140", "5 140 K"), ("5130", "5 130 K")):
        told = first_screen(read(cct, "0.0030", number=window, **ON))
        assert f"The light changed: {said}" in told
        assert "left out" not in told and "meter it again" not in told.lower()
        assert "Take off" in told and "warm" in told


def test_a_confirmed_gel_is_not_blamed_for_a_sky_that_moved(window, act, read):
    read("6290", "0.0030", number=window)
    act("hung", ["CTO 1/8"], number=window)
    read("5450", "0.0030", number=window, **ON)
    page = read("4970", "0.0030", number=window, **ON)
    told = first_screen(page)
    assert "Check the gel" not in told and "It was ¼ CTO" not in told
    assert "The light changed: 4 970 K" in told
    assert "Another gel hung" in told  # the gel comes second


class TestHalfAnEighthCooler:
    """Behind ½ CTO it was confirmed at 4 210 K; now it reads 4 500 K, and no stack is plainly nearer."""

    @pytest.fixture
    def moved(self, sample, act, read, stores):
        one = Source(name="Skylight", kind=Kind.DAYLIGHT, reading=Reading(cct=6240, duv=0.003))
        target = Target(cct=4200, locus="planckian")
        set_id = stores.sets.create_set(LightSet(name="Loft", target=target, sources=[one]))
        number = stores.sets.get_set(set_id).sources[0].id
        act("hung", ["CTO 1/2"], number=number)
        on = {"behind": "hung", "hung": "CTO 1/2", "number": number}
        assert "Teach ½ CTO from these readings" in buttons(read("4210", "0.0010", **on))
        return number, read("4500", "0.0014", **on)

    def test_it_is_metered_bare_before_gel_is_given_up(self, moved, get, stores):
        number, page = moved
        told = first_screen(page)
        assert "Meter it bare" in told and "Daylight moves: meter it bare first." in told
        assert "Closest there is" not in told and "another lamp" not in told
        board = get(f"/sets/{stores.sets.get_source(number).set_id}").text
        assert "½ CTO hung, meter it bare" in board and "losest there is" not in board

    def test_a_pair_of_two_lights_teaches_no_gel(self, moved):
        _, page = moved
        assert not any(words.startswith("Teach") for words in buttons(page))

    def test_then_what_it_read_bare_before_is_said_at_the_top(self, moved, read):
        number, _ = moved
        page = read("7200", "0.0030", number=number, behind="bare", hung="CTO 1/2")
        told = first_screen(page)
        assert "The daylight changed: bare, it read 6 240 K before." in told
        assert "meter it bare" not in told.lower() and "another lamp" not in told


def metered(cct, gels, lux):
    """Return what a meter reads of a sky behind gels, in figures as they are typed."""
    found = metered_behind(daylight(cct), gels, lux=lux)
    return f"{found.cct:.0f}", f"{found.duv:.4f}", f"{found.lux:.1f}"


def test_light_behind_the_gel_planned_after_a_drift_is_compared_with_that_plan(window, act, read, stores):
    """The bare reading is of the morning: that it differs is no news of what was hung since."""
    read(*metered(6200.0, [], 800.0), number=window)
    act("hung", ["CTO 1/8"], number=window)
    for cct in (6200.0, 8200.0):
        read(*metered(cct, ["CTO 1/8"], 800.0), number=window, gels_checked="yes", **ON)
    act("hung", ["CTO 1/4"], number=window)
    hung = stores.sets.get_source(window).source.work
    dark = metered(8200.0, ["CTO 1/4"], 800.0 / 2.5)
    page = read(*dark, number=window, behind="hung", hung="CTO 1/4")
    assert stores.sets.get_source(window).source.work.predicted == hung.predicted
    stops = log2(float(dark[2]) / hung.predicted.lux)
    assert -1.5 < stops < -1.1
    assert f"{-stops:.1f} stops darker than predicted" in page.text
