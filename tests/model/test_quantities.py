"""Quantities: what is taken, what is refused, and in which words."""

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError
from pydantic_core import PydanticCustomError

from advisor.model import problems_in, quantities
from advisor.model.quantities import CCT, Duv, GelMired, Lux, MaxLayers, Stock, tidy

ALL = {
    name: annotated
    for name, annotated in vars(quantities).items()
    if any(isinstance(a, quantities.Quantity) for a in get_args(annotated))
}


def quantity(annotated):
    return get_args(annotated)[1]


@pytest.mark.parametrize(
    ("annotated", "given", "value"),
    [
        (CCT, 5600, 5600),
        (CCT, "5600 K", 5600),
        (CCT, "5,600", 5600),
        (CCT, "5.600 kelvin", 5600),
        (CCT, "5600 ° K", 5600),
        (CCT, 1000, 1000),
        (CCT, 25000.0, 25000),
        (Duv, "−0,003", -0.003),
        (Duv, "3.2×10⁻³", 0.0032),
        (Lux, "1 200 lx", 1200),
        (Lux, "900 LUX", 900),
        (GelMired, "-133.93 MK⁻¹", -133.93),
        (GelMired, "134 mireds", 134),
        (Stock, "3 sheets", 3),
        (MaxLayers, 4.0, 4),
    ],
)
def test_taken(annotated, given, value):
    assert quantity(annotated).check(given) == value


@pytest.mark.parametrize(
    ("annotated", "given", "says"),
    [
        (CCT, "", "CCT is empty"),
        (CCT, "warm", "CCT 'warm' is not a number"),
        (CCT, "5600 lx", "CCT '5600 lx' has the unit 'lx'"),
        (CCT, "900", "CCT 900 is out of range (900 mired would be 1\u202f111 K)"),
        (CCT, 5.6, "CCT 5.6 is out of range (in thousands? then 5\u202f600)"),
        (CCT, 30000, "CCT 30\u202f000 is out of range"),
        (CCT, float("nan"), "CCT nan is not a number"),
        (CCT, float("inf"), "CCT inf is not a number"),
        (Duv, "3.2", "Duv 3.2 is out of range (given × 1000? then 0.0032)"),
        (Duv, -60, "Duv −60 is out of range"),
        (Lux, 0, "Illuminance 0 is out of range"),
        (Stock, 2.5, "Stock 2.5 is not a whole number"),
        (Stock, "2,5", "Stock 2,5 is not a whole number"),
    ],
)
def test_refused_with_the_value_and_the_range(annotated, given, says):
    of = quantity(annotated)
    with pytest.raises(PydanticCustomError) as error:
        of.check(given)
    assert error.value.context == {"says": says, "allowed": of.allowed}


@pytest.mark.parametrize("given", [True, None, [5600]])
def test_what_is_neither_a_number_nor_text_hears_that_either_is_taken(given):
    with pytest.raises(PydanticCustomError) as error:
        quantity(CCT).check(given)
    assert error.value.context["says"] == f"CCT {given} is not a number"
    assert error.value.context["allowed"] == f"{quantity(CCT).allowed}; a number, or one as text"


def test_the_range_in_words():
    assert quantity(CCT).allowed == "1\u202f000 to 25\u202f000 K"
    assert quantity(Duv).allowed == "−0.05 to 0.05"
    assert quantity(Stock).allowed == "0 to 9\u202f999 sheets, whole numbers"


@pytest.mark.parametrize("name", ALL)
def test_every_quantity_takes_its_ends_and_nothing_beyond(name):
    of = quantity(ALL[name])
    assert of.check(of.low) == of.low
    assert of.check(of.high) == of.high
    for outside in (of.low - 1e-6, of.high * (1 + 1e-9) + 1e-6):
        with pytest.raises(PydanticCustomError):
            of.check(outside)


@pytest.mark.parametrize("name", ALL)
def test_every_quantity_tells_its_range_in_the_schema(name):
    of = quantity(ALL[name])
    schema = TypeAdapter(ALL[name]).json_schema()
    assert (schema["minimum"], schema["maximum"]) == (of.low, of.high)
    assert schema["type"] == ("integer" if of.whole else "number")
    assert of.name in schema["description"]


def test_a_model_shows_the_same_words():
    with pytest.raises(ValidationError) as error:
        TypeAdapter(CCT).validate_python("900 lx")
    (problem,) = problems_in(error.value)
    assert str(problem) == "CCT '900 lx' has the unit 'lx'. Allowed: 1\u202f000 to 25\u202f000 K."


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (5600, None, "5\u202f600"),
        (-0.003, None, "−0.003"),
        (0.1 + 0.2, None, "0.3"),
        (-0.0, None, "0"),
        (-0.0004, 2, "0.00"),
        (1234567.891, 1, "1\u202f234\u202f567.9"),
        (2e-5, None, "2e−05"),
    ],
)
def test_numbers_are_written_for_a_person(value, decimals, text):
    assert tidy(value, decimals) == text


@given(
    st.none()
    | st.booleans()
    | st.floats()
    | st.integers(-(10**30), 10**30)
    | st.text()
    | st.lists(st.integers())
)
@settings(deadline=None)
def test_anything_is_taken_within_the_range_or_refused_in_words(value):
    for annotated in ALL.values():
        of = quantity(annotated)
        try:
            number = of.check(value)
        except PydanticCustomError as error:
            assert error.context is not None
            assert error.context["says"].startswith(of.name)
        else:
            assert of.low <= number <= of.high
