"""The first bare reading on a set that contradicts the test of its head, and what it may be instead."""

import pytest

from advisor.advice.readings.dim_levels import in_use
from advisor.advice.readings.off_test import contradicts, read_twice
from advisor.advice.readings.tested import moved_test
from advisor.colour.observer.chromaticity import STEP_DELTA_UV
from advisor.model import Accuracy, AsTested, Reading, Source

MAY = "2026-05-12T09:00:00.000000Z"


def as_tested(level, cct, duv, **more):
    return Reading(cct=cct, duv=duv, level=level, tested_at=MAY, **more)


TEST = (as_tested(10, 5000, 0.0040), as_tested(50, 5450, 0.0015), as_tested(100, 5600, 0.0010))
"""An invented head that turns warm and green as it is dimmed."""


def head(*today, level=None, doubt=1.5, test=TEST):
    every = [*test, *today]
    tested = AsTested(head="Panel 3", doubt_steps=doubt)
    return Source(name="Panel 3", reading=every[-1], readings=every[:-1], level=level, test=tested)


def found(*today, **more):
    source = head(*today, **more)
    return contradicts(source, moved_test(source), Accuracy())


@pytest.mark.parametrize(
    ("cct", "duv", "said"),
    [
        (5600, 0.0010, False),
        (5450, 0.0010, False),  # 5 mired: heads drift so, and meters differ
        (5200, 0.0010, True),  # 14 mired
        (6000, 0.0010, True),
        (5600, 0.0045, True),
        (5600, 0.0025, False),
    ],
)
def test_what_is_further_off_than_heads_drift_contradicts_the_test(cct, duv, said):
    assert (found(Reading(cct=cct, duv=duv, level=100)) is not None) == said


def test_how_far_it_is_off_is_told_in_steps():
    off = found(Reading(cct=5200, duv=0.0010, level=100)).off
    # 13.7 mired near 5 400 K, of 0.4 step each (Planckian locus, CIE 1976: by hand).
    assert off.steps == pytest.approx(5.5, abs=0.5)
    assert off.kelvins == pytest.approx(-400)


def test_of_a_head_that_drifts_much_less_is_said():
    today = Reading(cct=5200, duv=0.0010, level=100)
    assert found(today, doubt=1.5) is not None
    assert found(today, doubt=8.0) is None


def test_a_test_that_is_off_by_a_constant_is_seen_at_whatever_level_is_read_first():
    shifted = [one.model_copy(update={"cct": 1e6 / (1e6 / one.cct + 12.0)}) for one in TEST]
    for right in TEST:
        today = right.model_copy(update={"tested_at": None})
        assert found(today, test=shifted) is not None


def test_a_level_that_was_tested_twice_under_two_names_is_seen_and_its_own_level_named():
    doubled = (TEST[0], TEST[0].model_copy(update={"level": 50.0}), TEST[2])
    assert found(Reading(cct=5460, duv=0.0016, level=50), test=doubled) is not None
    at_ten = found(Reading(cct=5010, duv=0.0041, level=100))
    assert at_ten.level == 10
    assert found(Reading(cct=5200, duv=0.0060, level=100)).level is None


def test_the_plan_goes_by_the_reading_and_its_other_levels_are_less_sure():
    near, far = Reading(cct=5560, duv=0.0012, level=100), Reading(cct=5000, duv=0.0060, level=100)
    assert in_use(head(far, level=100)).reading == far
    assert in_use(head(far, level=100)).doubt == 0.0
    there = in_use(head(far, level=50))
    assert there.reading.cct < 5000  # as many mireds warmer as at full
    assert there.doubt > 2.0 * in_use(head(near, level=50)).doubt
    assert there.doubt / STEP_DELTA_UV > 2.0


def test_what_was_read_twice_alike_is_no_slip():
    one, same = Reading(cct=5600, duv=-0.0030, level=100), Reading(cct=5590, duv=-0.0029, level=100)
    assert not read_twice(head(one), Accuracy())
    assert read_twice(head(one, same), Accuracy())
    assert not read_twice(head(one, same.model_copy(update={"duv": 0.0030})), Accuracy())
    assert not read_twice(head(one, same.model_copy(update={"level": 50.0})), Accuracy())
