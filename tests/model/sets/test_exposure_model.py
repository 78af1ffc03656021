"""How the camera is set: what is taken, what is refused, and with which words."""

import pytest
from pydantic import ValidationError

from advisor.model import Exposure, problems_in


def problem(**data):
    with pytest.raises(ValidationError) as no:
        Exposure(**data)
    [found] = problems_in(no.value)
    return found


def test_it_starts_as_a_camera_often_stands():
    start = Exposure()
    assert (start.iso, start.frame_rate, start.constant) == (800, 24, 340)
    assert (start.shutter_angle, start.shutter_time) == (None, None)


def test_an_angle_and_a_time_are_one_too_many():
    found = problem(shutter_angle=180, shutter_time=0.02)
    assert found.says == "the shutter is given twice, as an angle and as a time"
    assert found.allowed == "one of the two"


def test_the_shutter_is_open_no_longer_than_a_frame():
    assert Exposure(frame_rate=25, shutter_time=0.04).shutter_time == 0.04
    found = problem(frame_rate=25, shutter_time=0.05)
    assert found.says == "0.05 s is longer than a frame at 25 fps"
    assert found.allowed == "up to 0.04 s, or a lower frame rate"


@pytest.mark.parametrize(
    ("field", "value", "allowed"),
    [
        ("iso", "0", "1 to 1 000 000"),
        ("iso", "fast", "1 to 1 000 000"),
        ("frame_rate", "0", "0.01 to 10 000 fps"),
        ("shutter_angle", "361", "0.1 to 360 °"),
        ("shutter_time", "0", "0.0001 to 3 600 s"),
        # ISO 2720:1974 allows 240 to 540 lx·s; the field takes more, since meters state their own.
        ("constant", "99", "100 to 600 lx·s"),
        ("constant", "601", "100 to 600 lx·s"),
    ],
)
def test_what_is_out_of_range_is_refused_with_the_range(field, value, allowed):
    found = problem(**{field: value})
    assert found.where == field
    assert value in found.says
    assert found.allowed.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("−", "-") == allowed


@pytest.mark.parametrize(
    ("field", "typed", "value"),
    [
        ("iso", "1.600", 1600),
        ("frame_rate", "23,976 fps", 23.976),
        ("shutter_angle", "172.8°", 172.8),
        ("shutter_angle", "180 deg", 180),
        ("constant", "250 lx·s", 250),
    ],
)
def test_numbers_as_people_write_them(field, typed, value):
    assert getattr(Exposure(**{field: typed}), field) == value
