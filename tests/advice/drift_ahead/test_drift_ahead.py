"""A drift taken on: its rate against SciPy's fit, and when it shows against colour-science by the minute."""

from datetime import UTC, datetime, timedelta

import colour
import numpy as np
import pytest
from scipy import stats

from advisor.advice.drift_ahead import leaving
from advisor.advice.drift_ahead.rate import rate_of, student
from advisor.advice.drift_ahead.series import TimedReading, series_of
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand
from advisor.model import ON_SET, Kind, Limits, Reading, Setting, Target, WantedOffset
from tests.advice.decided import all_hung
from tests.advice.rows import nominal, source

SIX = datetime(2026, 3, 14, 6, tzinfo=UTC)
ROWS = nominal()
STEP = 0.0011
"""CIE TN 001:2014, from memory: one step in u′v′."""


def at(minutes, cct, duv=0.003, **fields):
    return TimedReading(Reading(cct=cct, duv=duv, **fields), SIX + timedelta(minutes=minutes))


def line(rate=-8.0, duv_rate=0.0, times=(0, 30, 60), start=140.0):
    """Readings of a light that goes from `start` mired in a straight line."""
    return [at(t, 1e6 / (start + rate * t / 60), 0.003 + duv_rate * t / 60) for t in times]


def rate(readings):
    return rate_of(series_of(readings), ON_SET)


def drift_ahead(plan, target, i, readings):
    return leaving.drift_ahead(plan, target, i, series_of(readings))


def matched(readings, count=2, tolerance=3.0, aim=None):
    """A plan of lamps that hang as they were matched to a window by its newest reading, and its target."""
    window = source("Window", "daylight").model_copy(update={"reading": readings[-1].reading})
    lamps = [source(f"Lamp {k}", "tungsten", 3000.0 + 15 * k, 0.0) for k in range(count)]
    lamps = [one.model_copy(update={"aim": aim or WantedOffset()}) for one in lamps]
    return hung([window, *lamps], Target(source="Window"), Limits(tolerance_steps=tolerance))


def hung(sources, target, limits):
    return make_plan(all_hung(sources, target, limits, ROWS), target, limits, ROWS), target


def uv_prime(mired, duv):
    """CIE 1976 (u′, v′) by colour-science's own implementation of Ohno (2014)."""
    u, v = colour.temperature.CCT_to_uv_Ohno2013(np.array([1e6 / mired, duv]))
    return np.array([u, 1.5 * v])


class TestRate:
    def test_minutes_tell_no_rate(self):
        """In 13 minutes a cloud makes a rate of 58 to 148 mired an hour, and no drift."""
        short, long = ([at(0, 6250), at(minutes / 2, 6230), at(minutes, 7220)] for minutes in (13, 16))
        assert series_of(short) is None
        assert series_of(long) is not None

    def test_a_jump_is_no_drift(self):
        """64 mired in a quarter of an hour are another lamp, gel or white, not 256 mired an hour."""
        assert series_of([at(0, 5600), at(15, 1e6 / (1e6 / 5600 + 64))]) is None

    def test_what_was_read_since_a_jump_tells_the_rate(self):
        before = [at(-30, 3200), at(-20, 3210)]
        assert rate(before + line(-8.0)).mired == pytest.approx(-8.0, abs=0.01)

    def test_what_a_meter_repeats_is_no_jump(self):
        """Nine mired within a minute are the meter, or where it was held."""
        held = [at(0, 1e6 / 200), at(29, 1e6 / 200), at(30, 1e6 / 209)]
        assert len(series_of(held).hours) == 3

    def test_a_straight_line_is_read_off_it(self):
        found = rate(line(-8.0, 0.001))
        assert found.mired == pytest.approx(-8.0, abs=0.01)
        assert found.duv == pytest.approx(0.001, abs=1e-6)
        assert found.sure

    def test_the_slope_is_that_of_scipys_fit(self):
        readings = [at(0, 7143), at(25, 7230), at(40, 7260), at(90, 7480)]
        fit = stats.linregress([0, 25 / 60, 40 / 60, 1.5], [1e6 / r.reading.cct for r in readings])
        assert rate(readings).mired == pytest.approx(fit.slope, rel=1e-9)

    @pytest.mark.parametrize("free", [4, 5, 8, 20])
    def test_students_t_holds_nine_in_ten(self, free):
        assert student(free) == pytest.approx(stats.t.ppf(0.95, free), abs=0.02)

    def test_the_doubt_holds_in_about_nine_of_ten_windows(self):
        """A meter whose readings of one light scatter by 0.5 % and 0.0003 Duv, nine in ten (from memory)."""
        random, held = np.random.default_rng(7), 0
        for _ in range(300):
            times = (0, 20, 45, 60)
            noise = random.normal(0.0, 140.0 * 0.005 / 1.645, 4)
            readings = [at(t, 1e6 / (140.0 - 3.0 * t / 60 + n)) for t, n in zip(times, noise, strict=True)]
            found = rate(readings)
            held += abs(found.mired + 3.0) <= found.mired_doubt
        assert 0.85 <= held / 300 <= 0.97

    def test_what_a_meter_scatters_by_is_no_drift(self):
        assert not rate([at(0, 7143), at(30, 7150), at(60, 7140)]).sure

    def test_what_turns_back_within_the_meters_error_is_no_drift(self):
        """Tubes that read 4 090, 4 130, 4 110 K: the last step is warmer, and none is beyond ±0.5 %."""
        read = zip((0, 45, 46), (4090, 4130, 4110), (0.0085, 0.0081, 0.0079), strict=True)
        found = rate([at(*one) for one in read])
        assert found.speed > found.speed_doubt
        assert not found.sure
        further = zip((0, 45, 46), (4090, 4300, 4240), (0.0085, 0.0085, 0.0085), strict=True)
        assert not rate([at(*one) for one in further]).sure

    def test_a_steady_light_is_seldom_said_to_drift(self):
        rng = np.random.default_rng(20261130)
        times = [np.sort([0.0, 20.0, *rng.uniform(0, 100, rng.integers(0, 4))]) for _ in range(600)]
        mired = [243.3 * (1 + 0.005 / 1.645 * rng.normal(size=len(t))) for t in times]
        duv = [0.0085 + 0.0003 / 1.645 * rng.normal(size=len(t)) for t in times]
        each = zip(times, mired, duv, strict=True)
        said = [rate([at(t, 1e6 / m, d) for t, m, d in zip(*one, strict=True)]).sure for one in each]
        assert np.mean(said) < 0.1

    def test_readings_off_their_line_are_less_sure(self):
        straight, crooked = line(), [at(0, 7143), at(30, 7900), at(60, 7600)]
        assert rate(crooked).mired_doubt > 3 * rate(straight).mired_doubt


class TestSeries:
    def test_one_reading_or_two_at_once_tell_no_rate(self):
        assert series_of([]) is None
        assert series_of([at(0, 7143)]) is None
        assert series_of([at(0, 7143), at(14, 7200)]) is None
        assert series_of([at(0, 7143), at(15, 7200)]) is not None

    def test_only_what_was_set_up_as_in_the_newest_counts(self):
        others = [
            at(10, 4000, gels=["CTO 1/2"]),
            at(20, 4100, level=40.0),
            at(25, 4100, modifier="dish"),
            at(27, 4100, dial=Setting(cct=4100)),
        ]
        assert rate([*others, *line()]) == rate(line())

    def test_what_is_older_than_three_hours_tells_nothing_of_now(self):
        assert rate([at(-121, 3000), *line()]) == rate(line())
        assert rate([at(-119, 7300), *line()]) != rate(line())


class TestLeaving:
    @pytest.mark.parametrize(("per_hour", "tolerance"), [(-8.0, 3.0), (-4.0, 3.0), (6.0, 2.0)])
    def test_it_is_the_minute_at_which_a_lamp_shows_beside_the_window(self, per_hour, tolerance):
        readings = line(per_hour)
        plan, target = matched(readings, 1, tolerance)
        found = drift_ahead(plan, target, 0, readings).leaving
        after = plan.heads[1].best.after
        lamp = uv_prime(1e6 / after.cct, after.duv)
        mired = 140.0 + per_hour
        minutes = next(
            m
            for m in range(0, 300)
            if np.hypot(*(uv_prime(mired + per_hour * m / 60, 0.003) - lamp)) > tolerance * STEP
        )
        assert found.at == pytest.approx(SIX + timedelta(minutes=60 + minutes), abs=timedelta(minutes=2.1))
        assert found.names == ("Lamp 0",)
        assert found.early < found.at
        assert found.late is None or found.at < found.late

    def test_a_lamp_that_is_wanted_warmer_is_held_against_that(self):
        readings, warm = line(), WantedOffset(mired=30.0)
        plan, target = matched(readings, 1, aim=warm)
        plain = drift_ahead(*matched(readings, 1), 0, readings).leaving
        found = drift_ahead(plan, target, 0, readings).leaving
        assert found is not None
        assert abs(found.at - plain.at) < timedelta(minutes=45)

    def test_a_window_that_is_corrected_itself_leaves_its_own_tolerance(self):
        readings = line(-8.0)
        window = source("Window", "daylight").model_copy(update={"reading": readings[-1].reading})
        plan, target = hung([window], Target(cct=5600), Limits())
        found = drift_ahead(plan, target, 0, readings).leaving
        assert found.names == ("Window",)
        then = (found.at - readings[-1].at).total_seconds() / 3600
        later = Reading(cct=1e6 / (132.0 - 8.0 * then), duv=0.003)
        stays = plan.heads[0].source.model_copy(update={"reading": later, "work": None})
        # The stack that hangs, predicted afresh from the reading that the window will have then.
        again = make_plan([stays], target, Limits(), ROWS)
        named = plan.heads[0].best.gels
        uv = by_hand(again, 0, named).after
        wanted = again.target
        away = np.hypot(*(uv_prime(1e6 / uv.cct, uv.duv) - uv_prime(wanted.mired, wanted.duv))) / STEP
        assert away == pytest.approx(3.0, abs=0.4)

    def test_behind_gels_its_readings_are_of_the_light_that_counts(self):
        readings = line(-8.0)
        window = source("Window", "daylight").model_copy(update={"reading": readings[-1].reading})
        plan, target = hung([window], Target(cct=5600), Limits())
        gels = plan.heads[0].best.gels
        wanted = plan.target
        behind = [
            TimedReading(
                Reading(cct=1e6 / (wanted.mired - 3.0 * t / 60), duv=wanted.duv, gels=gels),
                SIX + timedelta(minutes=t),
            )
            for t in (0, 30, 60)
        ]
        found = drift_ahead(plan, target, 0, behind).leaving
        minutes = (found.at - behind[-1].at).total_seconds() / 60
        away = uv_prime(wanted.mired - 3.0 * (1 + minutes / 60), wanted.duv) - uv_prime(
            wanted.mired, wanted.duv
        )
        assert np.hypot(*away) / STEP == pytest.approx(3.0, abs=0.1)

    def test_a_drift_that_is_not_sure_leaves_nothing(self):
        readings = [at(0, 7143), at(30, 7150), at(60, 7140)]
        plan, target = matched(readings)
        assert drift_ahead(plan, target, 0, readings).leaving is None

    def test_it_is_not_taken_on_for_longer_than_four_times_what_was_watched(self):
        readings = line(-20.0, times=(0, 15))
        slow = line(-1.6, times=(0, 15, 30, 45, 60))
        plan, target = matched(slow, 1, 10.0)
        assert drift_ahead(plan, target, 0, slow).leaving is None
        assert drift_ahead(*matched(readings, 1), 0, readings).leaving is not None

    def test_lamps_that_do_not_hang_yet_have_nothing_to_leave(self):
        readings = line()
        window = source("Window", "daylight").model_copy(update={"reading": readings[-1].reading})
        plan = make_plan(
            [window, source("Lamp", "tungsten", 3000.0, 0.0)], Target(source="Window"), Limits(), ROWS
        )
        assert drift_ahead(plan, Target(source="Window"), 0, readings).leaving is None


@pytest.mark.parametrize(("kind", "drifts"), [(Kind.TUNGSTEN, False), (Kind.DAYLIGHT, True)])
def test_a_bulb_that_reads_otherwise_is_another_one_and_no_drift(kind, drifts):
    assert (series_of([at(0, 3120, 0.0), at(40, 3270, 0.0004)], kind) is not None) is drifts
