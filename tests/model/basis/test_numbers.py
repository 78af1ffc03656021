"""Numbers as people and meters write them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.model.basis.numbers import NotANumber, parse, same_as_written
from tests.thorough import cases


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("5600", 5600),
        ("  5600\t", 5600),
        ("+5", 5),
        ("-0.003", -0.003),
        ("−0,003", -0.003),
        ("–.5", -0.5),
        ("- 3", -3),
        ("0,3127", 0.3127),
        (".45", 0.45),
        (",45", 0.45),
        ("5.", 5),
        ("5 600", 5600),
        ("5\u202f600", 5600),
        ("5\u00a0600,5", 5600.5),
        ("5'600", 5600),
        ("5’600.25", 5600.25),
        ("5_600", 5600),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,234,567", 1234567),
        ("1.234.567,8", 1234567.8),
        ("0,600", 0.6),
        ("05.600", 5.6),
        ("1234,567", 1234.567),
        ("3.2e-3", 0.0032),
        ("4.1E-3", 0.0041),
        ("3.2×10⁻³", 0.0032),
        ("3,2 × 10⁻³", 0.0032),
        ("3.2 x 10^-3", 0.0032),
        ("3.2*10**-3", 0.0032),
        ("3.2·10^−3", 0.0032),
        ("2 x10³", 2000),
        ("1.234e-05", 1.234e-5),
        ("1,234e3", 1234),
        ("5e-324", 5e-324),
    ],
)
def test_one_value(text, value):
    parsed = parse(text)
    assert parsed.values == (value,)
    assert parsed.unit == ""


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("5600 K", 5600, "K"),
        ("5600K", 5600, "K"),
        ("5600 °K", 5600, "°K"),
        ("900 lx", 900, "lx"),
        ("-133.93 MK⁻¹", -133.93, "MK⁻¹"),
        ("12,5 fc", 12.5, "fc"),
        ("2 foot-candles", 2, "foot-candles"),
        ("3e2 lux", 300, "lux"),
        ("10³", 10, "³"),  # a power of nothing: the caller sees a unit that it does not know, not 103
        ("5 E", 5, "E"),
    ],
)
def test_a_unit_stands_behind_the_number(text, value, unit):
    parsed = parse(text)
    assert (parsed.values, parsed.unit) == ((value,), unit)


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("5,600", (5600, 5.6)),
        ("5.600 K", (5600, 5.6)),
        ("-1.234", (-1234, -1.234)),
        ("999,999", (999999, 999.999)),
    ],
)
def test_one_separator_can_mean_two_things(text, values):
    assert parse(text).values == values


def test_the_range_tells_which_of_two_things_is_meant():
    parsed = parse("5,600")
    assert parsed.within(1000, 25000) == 5600
    assert parsed.within(0, 10) == 5.6
    assert parsed.within(0, 1e6) == 5600  # both: thousands are likelier
    assert parsed.within(50, 60) == 5600  # neither: the same, and the caller says that it is out of range


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "is empty"),
        (" \t ", "is empty"),
        ("warm", "'warm' is not a number"),
        ("-", "is not a number"),
        (".", "is not a number"),
        ("5600 0.003", "more than one number"),
        ("5 60", "more than one number"),
        ("0 600", "more than one number"),
        ("3-5", "is not a number"),
        ("1,2,3", "'1,2,3' is not a number"),
        ("1,234,56", "is not a number"),
        ("1.23,456.7", "mixes points and commas"),
        ("12,34.5", "mixes points and commas"),
        ("1,234.5.6", "mixes points and commas"),
        ("56O0", "a letter O where a zero should be?"),
        ("5600o", "a letter O where a zero should be?"),
        ("l800", "a letter where a 1 should be?"),
        ("3l00", "a letter where a 1 should be?"),
        ("nan", "is not a number"),
        ("inf", "is not a number"),
        ("0x10", "is not a number"),
        ("1e400", "is too large"),
        ("9" * 61, "is too long for one number"),
        ("9" * 50 + "e300", "is too large"),
        ("1e1000", "is not a number"),
        ("5600 K or 5700 K", "is not a number"),
    ],
)
def test_what_is_no_number_says_why(text, reason):
    with pytest.raises(NotANumber) as no:
        parse(text)
    assert reason in no.value.reason


@given(st.floats(allow_nan=False, allow_infinity=False))
@settings(deadline=None)
def test_every_number_that_python_writes_is_read_as_itself(value):
    assert value in parse(repr(value)).values


@given(st.integers(-(10**9), 10**9), st.sampled_from(",. '_\u202f\u00a0"))
@settings(deadline=None)
def test_thousands_separators_change_nothing(value, mark):
    assert parse(f"{value:,}".replace(",", mark)).values[0] == value


@given(st.text("0123456789.,-+eE ×x*^10⁻³kK'lO", max_size=70) | st.text())
@settings(deadline=None, max_examples=cases(500))
def test_any_text_is_a_number_or_says_why_not(text):
    try:
        parsed = parse(text)
    except NotANumber as no:
        assert no.reason
    else:
        assert len(parsed.values) in (1, 2)
        assert all(abs(v) < float("inf") for v in parsed.values)


@pytest.mark.parametrize(
    ("text", "value", "same"),
    [
        ("43", 43.27, True),
        ("+43", 43.27, True),
        ("43,3", 43.27, True),
        ("43.2", 43.27, False),
        ("43.27 mired", 43.27, True),
        ("−18", -18.4, True),
        ("18", -18.4, False),
        ("44", 43.27, False),
        ("", None, True),
        ("", 0.0, False),
        ("0", None, False),
        ("about 43", 43.0, False),
    ],
)
def test_a_text_says_a_value_as_far_as_it_is_written_out(text, value, same):
    assert same_as_written(text, value) is same
