"""How far a head may be off its test: the usual figure, and its own history."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from advisor.advice.known_heads.ageing import PastTest, doubt_now, one_a_day
from advisor.advice.known_heads.on_set import KeptTest, source_of
from advisor.model import Refused
from tests.heads import PANEL, TEST, read

DAY = datetime(2026, 5, 12, tzinfo=UTC)


def test_the_doubt_grows_with_age_and_is_less_for_a_head_that_was_warm():
    def after(days, minutes):
        return doubt_now([PastTest(DAY, [read(100)], minutes)], DAY + timedelta(days=days))

    assert after(0, 20) == pytest.approx(1.5)
    assert after(0, 5) == after(0, None) == pytest.approx(2.5)
    assert after(365.25, 20) == pytest.approx(2.5)  # 1.5 and 2.0, as squares
    ages = [after(days, 20) for days in (0, 30, 300, 3000, 30000)]
    assert all(a <= b for a, b in pairwise(ages))
    assert ages[-1] == 20


def test_a_head_that_held_from_test_to_test_is_surer_and_one_that_wandered_less_so():
    def twice(cct):
        tests = [PastTest(DAY + timedelta(days=k), [read(100, cct=c)], 20) for k, c in ((0, 5600), (90, cct))]
        return doubt_now(tests, DAY + timedelta(days=90))

    assert twice(5605) < 1.5 < twice(5000)


def test_tests_that_share_no_level_say_nothing_of_how_it_held():
    tests = [PastTest(DAY, [read(100)], 20), PastTest(DAY, [read(50, cct=4000)], 20)]
    assert doubt_now(tests, DAY) == pytest.approx(1.5)


def test_two_tests_of_one_day_are_one_and_say_nothing_of_how_it_held():
    at_noon, at_one = (PastTest(DAY + timedelta(hours=h), [read(k)], 20) for h, k in ((12, 100), (13, 50)))
    again = PastTest(DAY + timedelta(hours=14), [read(100, cct=5700)], 20)
    [one] = one_a_day([at_noon, at_one, again])
    assert {r.level: r.cct for r in one.readings} == {50: 5813, 100: 5700}
    source = source_of(PANEL, [KeptTest(TEST, test) for test in (at_noon, at_one, again)], DAY)
    assert (source.test.tests, source.test.doubt_steps) == (1, 1.5)


def test_a_head_on_a_set_is_its_newest_test_and_what_was_kept_since():
    old = KeptTest(TEST, PastTest(DAY, [read(100, cct=5000)], 20))
    new = KeptTest(TEST, PastTest(DAY + timedelta(days=30), [read(50), read(100, watts=120)], 20))
    kept = TEST.model_copy(update={"on_set": "Diner"})
    since = KeptTest(kept, PastTest(DAY + timedelta(days=60), [read(100, cct=5700)], None))
    source = source_of(PANEL, [old, new, since], DAY + timedelta(days=61))
    assert (source.reading.level, source.reading.tested_at) == (100, "2026-06-11T00:00:00.000000Z")
    assert [r.cct for r in source.bare_readings] == [5700, 5813, 5813]
    assert (source.watts, source.test.head, source.test.tests) == (120, "Panel 3", 3)
    assert source.test.distance == 3


def test_tests_of_one_day_add_up_and_a_newer_reading_goes_before_an_older_one():
    morning = PastTest(DAY, [read(25, cct=5400), read(50, cct=5500), read(100, cct=5600)], 20)
    noon = PastTest(DAY + timedelta(hours=4), [read(50, cct=5520)], 20)

    def ccts(*past, distance=None):
        first = TEST if distance is None else TEST.model_copy(update={"distance": distance})
        tests = [KeptTest(first, past[0]), *(KeptTest(TEST, one) for one in past[1:])]
        return [r.cct for r in source_of(PANEL, tests, DAY + timedelta(days=2)).bare_readings]

    assert ccts(morning, noon) == [5400, 5600, 5520]
    assert ccts(morning, noon, distance=2.0) == [5520]  # its light tells nothing of this one
    assert ccts(morning, PastTest(DAY + timedelta(days=30), noon.readings, 20)) == [5520]


def test_a_head_that_was_never_read_is_no_source():
    with pytest.raises(Refused, match="Panel 3 was not tested"):
        source_of(PANEL, [KeptTest(TEST, PastTest(DAY, [], 20))], DAY)
