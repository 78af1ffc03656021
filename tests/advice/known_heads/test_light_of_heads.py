"""Light against the dimmer's number, and at other distances."""

import pytest

from advisor.advice.known_heads.light import DimmerLaw, at_distance, dimmer_law, stops_below
from advisor.model import Refused


@pytest.mark.parametrize(
    ("lux", "law"),
    [
        ({100: 2000, 50: 1000, 10: 200}, DimmerLaw.LINEAR),
        ({100: 2000, 50: 1050, 10: 210}, DimmerLaw.LINEAR),
        ({100: 2000, 50: 500, 10: 20}, DimmerLaw.SQUARE),
        ({100: 2000, 50: 700, 10: 20}, DimmerLaw.OWN),
        ({100: 2000}, None),
        ({}, None),
    ],
)
def test_the_law_is_named_from_the_readings(lux, law):
    assert dimmer_law(lux) == law


def test_half_the_light_is_a_stop():
    assert stops_below(1000, 2000) == pytest.approx(1.0)
    assert stops_below(4000, 2000) == pytest.approx(-1.0)


def test_twice_the_distance_is_a_quarter_of_the_light():
    assert at_distance(2000, 3, 6) == pytest.approx(500)


def test_a_distance_beyond_a_test_is_refused():
    with pytest.raises(Refused) as no:
        at_distance(2000, 3, 0.01)
    assert no.value.problems[0].says == "Distance 0.01 m is out of range"
