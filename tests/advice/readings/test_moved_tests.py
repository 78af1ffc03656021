"""A tested head on a set: its test moved by what is read there, and how far it may be off."""

from math import log

import pytest

from advisor.advice.readings.chromaticity import measure
from advisor.advice.readings.dim_levels import in_use
from advisor.advice.readings.tested import moved_test
from advisor.colour.observer.chromaticity import STEP_DELTA_UV
from advisor.model import AsTested, Reading, Refused, Setting, Source, Spectrum

MAY = "2026-05-12T09:00:00.000000Z"
JUNE = "2026-06-12T09:00:00.000000Z"


def as_tested(level, cct, duv, lux=None, at=MAY, **more):
    return Reading(cct=cct, duv=duv, lux=lux, level=level, tested_at=at, **more)


FULL = as_tested(100, 5600, 0.0010, 2000)
HALF = as_tested(50, 5500, 0.0015, 1000)
TENTH = as_tested(10, 5000, 0.0040, 200)
DISH = as_tested(100, 5400, 0.0020, 4000, modifier="dish")
HEAD = AsTested(head="Panel 3", doubt_steps=2.0)


def head(*today, level=None, modifier=None, test=(TENTH, HALF, DISH, FULL), **more):
    every = [*test, *today]
    return Source(
        name="Panel 3", reading=every[-1], readings=every[:-1], level=level, modifier=modifier,
        test=HEAD, **more,
    )  # fmt: skip


def steps(source):
    return in_use(source).doubt / STEP_DELTA_UV


def test_before_any_reading_today_the_test_is_advised_on_with_its_doubt():
    for level, cct in ((100, 5600), (50, 5500), (10, 5000)):
        use = in_use(head(level=level))
        assert use.reading.cct == cct
        assert use.doubt == pytest.approx(2.0 * STEP_DELTA_UV)
    assert steps(head()) == pytest.approx(2.0)
    assert in_use(head(level=100, modifier="dish")).reading.cct == 5400


def test_the_first_reading_moves_every_level_and_modifier_by_the_same():
    today = Reading(cct=5500, duv=0.0014, lux=1000, level=100)
    warmer = 1e6 / 5500 - 1e6 / 5600
    for level, modifier, was in ((50, "", HALF), (10, "", TENTH), (100, "dish", DISH)):
        now = in_use(head(today, level=level, modifier=modifier)).reading
        assert 1e6 / now.cct - 1e6 / was.cct == pytest.approx(warmer)
        assert now.duv - was.duv == pytest.approx(0.0004)
        assert now.lux == pytest.approx(was.lux / 2.0)
    assert in_use(head(today, level=100)).reading == today
    assert in_use(head(today, level=100)).doubt == 0.0


def test_after_a_reading_the_doubt_is_less_and_least_near_it():
    today = Reading(cct=5500, duv=0.0014, level=100)
    near, far = steps(head(today, level=50)), steps(head(today, level=10))
    assert 0.5 < near < far < 2.0
    both = steps(head(today, Reading(cct=4900, duv=0.0044, level=10), level=50))
    assert both < near


def test_two_readings_are_fitted_and_what_they_share_moves_the_rest():
    full = Reading(cct=5500, duv=0.0010, level=100)
    tenth = Reading(cct=4800, duv=0.0040, level=10)
    shifts = 1e6 / 5500 - 1e6 / 5600, 1e6 / 4800 - 1e6 / 5000
    moved = 1e6 / in_use(head(full, tenth, level=50)).reading.cct - 1e6 / 5500
    assert shifts[0] < moved < sum(shifts) / 2.0  # nearer to full, which is nearer


def test_a_reading_between_the_tested_levels_moves_by_what_it_is_off_the_line():
    share = log(30 / 10) / log(50 / 10)
    line = 1e6 / 5000 + share * (1e6 / 5500 - 1e6 / 5000)
    today = Reading(cct=1e6 / (line + 5.0), duv=0.0, level=30)
    assert 1e6 / in_use(head(today, level=100, modifier="")).reading.cct == pytest.approx(1e6 / 5600 + 5.0)


@pytest.mark.parametrize(
    "today",
    [
        Reading(cct=5500, duv=0.0, level=4),  # below half of the lowest level
        Reading(cct=5500, duv=0.0, level=100, modifier="grid"),
        Reading(cct=5500, duv=0.0, level=100, gels=["CTO 1/4"]),
        Reading(xy=(0.30, 0.60), level=100),
    ],
)
def test_what_says_nothing_of_the_test_moves_nothing(today):
    source = Source(name="Panel 3", reading=FULL, readings=[TENTH, HALF, today], test=HEAD)
    assert moved_test(source).shifts == {}
    assert in_use(source.model_copy(update={"level": 50.0, "modifier": ""})).reading == HALF


def test_a_reading_without_a_level_is_taken_at_the_one_in_use_else_at_the_highest_tested():
    today = Reading(cct=5400, duv=0.0015)
    assert next(iter(moved_test(head(today)).shifts))[1] == 100
    assert next(iter(moved_test(head(today, level=50)).shifts))[1] == 50


@pytest.mark.parametrize("count", [1, 2, 3])
def test_moving_what_was_moved_moves_nothing(count):
    today = [
        Reading(cct=cct, duv=0.0014, lux=900, level=k) for cct, k in ((5500, 100), (5300, 50), (4900, 10))
    ]
    once = moved_test(head(*today[:count])).source
    again = moved_test(once).source
    assert [measure(r).mired for r in again.readings] == [measure(r).mired for r in once.readings]
    kept = as_tested(100, 5450, 0.0014, 1000, at=JUNE), as_tested(50, 5300, 0.0014, 500, at=JUNE)
    once = moved_test(head(*kept)).source
    again = moved_test(once).source
    assert [measure(r).mired for r in again.readings] == [measure(r).mired for r in once.readings]


def test_a_later_test_moves_an_earlier_one():
    kept = as_tested(100, 5500, 0.0014, 1000, at=JUNE)
    use = in_use(head(kept, level=50))
    assert 1e6 / use.reading.cct - 1e6 / 5500 == pytest.approx(1e6 / 5500 - 1e6 / 5600)
    assert use.doubt == pytest.approx(2.0 * STEP_DELTA_UV)  # nobody metered it on this set


def test_a_reading_at_other_dials_moves_nothing_of_a_test_that_has_them():
    test = [FULL.model_copy(update={"dial": Setting(cct=k)}) for k in (3200, 5600)]
    today = Reading(cct=4400, duv=0.0, level=100, dial=Setting(cct=4300))
    assert moved_test(head(today, test=test)).shifts == {}
    same = Reading(cct=5500, duv=0.001, level=100, dial=Setting(cct=5600))
    assert list(moved_test(head(same, test=test)).shifts) == [("", 100.0, Setting(cct=5600))]


def test_a_measured_spectrum_is_bent_to_where_its_test_has_moved():
    bump = [1.0 + (k % 7) / 7.0 for k in range(81)]
    read = Reading(spectrum=Spectrum(start=380, step=5, values=bump), level=100, tested_at=MAY)
    half = Reading(spectrum=Spectrum(start=380, step=5, values=bump), level=50, tested_at=MAY)
    was = measure(read)
    today = Reading(cct=1e6 / (was.mired + 8.0), duv=was.duv + 0.001, level=100)
    now = in_use(head(today, test=(half, read), level=50)).reading
    assert now.spectrum is not None
    assert measure(now).mired - was.mired == pytest.approx(8.0, abs=0.02)
    assert measure(now).duv - was.duv == pytest.approx(0.001, abs=2e-5)


@pytest.mark.parametrize("level", [4, 1])
def test_far_below_the_lowest_tested_level_nothing_is_guessed(level):
    with pytest.raises(Refused, match="the lowest level read is 10 %"):
        in_use(head(level=level, modifier=""))
    assert in_use(head(level=5, modifier="")).reading.cct < 5000


def test_between_tested_levels_the_light_stays_in_the_range_and_says_that_it_is_worked_out():
    use = in_use(head(level=30, modifier=""))
    assert 5000 < use.reading.cct < 5500
    assert 0.0015 < use.reading.duv < 0.0040
    assert use.reading.lux == pytest.approx(600)  # linear in the level, as it was read
    assert "Worked out between" in use.notes[0]
    assert use.doubt > 2.0 * STEP_DELTA_UV
