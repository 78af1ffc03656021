"""The f-number that an illuminance asks for, against the standard's constants and tables."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from references import reference, references

from advisor.advice.overview.f_number import exposure_time, f_stop, said, time_said
from advisor.model import Exposure
from tests.web.page import plain


@pytest.mark.parametrize("row", [e["value"] for e in references("ev-lux-")])
def test_the_table_of_exposure_values(row):
    got = f_stop(row["lux"], Exposure(iso=100, frame_rate=1, shutter_time=row["time"], constant=250))
    assert got.number**2 / row["time"] == pytest.approx(2.0 ** row["ev"], rel=1e-12)
    # times are marked rounded: 1/60 s for 1/64, 1/125 s for 1/128
    assert got.number == pytest.approx(row["number"], rel=0.034)
    assert got.words == row["said"]


def test_incident_and_reflected_light_agree_on_the_reflectance_of_the_standard():
    constant, (low, high) = reference("iso2720-C250")["value"], reference("iso2720-K")["value"]
    k = 12.5
    assert low <= k <= high
    lux, reflectance = 1000.0, 0.15708
    by_luminance = math.sqrt(lux * reflectance / math.pi * 800 / 48 / k)
    assert f_stop(lux, Exposure(constant=constant)).number == pytest.approx(by_luminance, rel=1e-5)


def test_the_ranges_of_the_constant_are_within_what_can_be_typed():
    low, _ = reference("iso2720-Cflat")["value"]
    dome = reference("iso2720-Chemi")["value"]
    assert [Exposure(constant=c).constant for c in (low, dome[1])] == [240, 540]
    assert dome[0] <= Exposure().constant <= dome[1]  # what a set starts with is a dome's


@pytest.mark.parametrize("constant", [250, 340])
def test_what_crews_reckon_with_is_within_a_third_of_a_stop(constant):
    practice = reference("practice-100-foot-candles")
    got = f_stop(100 * 10.7639, Exposure(iso=100, constant=constant)).number
    assert abs(2 * math.log2(got / practice["value"])) < practice["tolerance"]


def test_the_whole_stops_bear_the_marks_of_lenses():
    marks = reference("f-number-marks")["value"]
    assert [said(math.sqrt(2.0) ** (i - 2)) for i in range(len(marks))] == [f"f/{m:g}" for m in marks]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (4.0 * 2 ** (1 / 6), "f/4 ⅓"),
        (4.0 * 2 ** (2 / 6), "f/4 ⅔"),
        (4.0 * 2 ** (0.99 / 12), "f/4"),  # just nearer to the whole stop
        (4.0 * 2 ** (1.01 / 12), "f/4 ⅓"),
        (5.6, "f/5.6"),
        (0.25, "2 stops wider than f/0.5"),
        (256.0, "2 stops beyond f/128"),
    ],
)
def test_thirds_are_said_as_a_crew_says_them(number, words):
    assert plain(said(number)) == words


@pytest.mark.parametrize(
    ("set_so", "seconds", "words"),
    [
        ({}, 1 / 48, "1/48 s"),
        ({"shutter_angle": 172.8}, 1 / 50, "1/50 s"),
        ({"frame_rate": 25.0}, 1 / 50, "1/50 s"),
        ({"frame_rate": 48.0, "shutter_angle": 90.0}, 1 / 192, "1/192 s"),
        ({"frame_rate": 23.976}, 1 / 47.952, "1/48 s"),
        ({"shutter_time": 0.01}, 0.01, "1/100 s"),
        ({"frame_rate": 1.0, "shutter_angle": 360.0}, 1.0, "1 s"),
        ({"frame_rate": 2.0, "shutter_angle": 200.0}, 0.2778, "1/3.6 s"),
    ],
)
def test_the_exposure_time(set_so, seconds, words):
    time = exposure_time(Exposure(**set_so))
    assert time == pytest.approx(seconds, rel=1e-4)
    assert time_said(time) == words


@given(st.floats(0.01, 1e6), st.floats(1, 1e5), st.floats(100, 600))
def test_twice_the_light_or_the_speed_is_a_stop(lux, iso, constant):
    at = f_stop(lux, Exposure(iso=iso, constant=constant)).number
    assert f_stop(2 * lux, Exposure(iso=iso, constant=constant)).number == pytest.approx(at * math.sqrt(2))
    assert f_stop(lux, Exposure(iso=2 * iso, constant=constant)).number == pytest.approx(at * math.sqrt(2))
    assert f_stop(lux, Exposure(iso=iso, constant=constant / 2 + 50)).number >= at * (1 - 1e-12)


@pytest.mark.parametrize("lux", [0.0, -1.0, math.nan, math.inf])
def test_what_is_no_light_has_no_f_number(lux):
    with pytest.raises(ValueError, match="above 0 lx"):
        f_stop(lux, Exposure())
