"""How a row of the gel table says how it is known, and how far it may be off."""

import pytest
from pydantic import ValidationError

from advisor.model import Accuracy, Gel, Known, RequestAccuracy, Transmittance, problems_in

CURVE = Transmittance(start=380, step=10, values=[0.5] * 41)


def gel(**row):
    return Gel(**{"family": "CTO", "fraction": "1/4", "mired": 40, **row})


@pytest.mark.parametrize(
    ("row", "percent"),
    [
        ({"known": "generic"}, 25),
        ({"family": "cto", "known": "generic"}, 25),
        ({"family": "CTB", "known": "generic"}, 12),
        ({"family": "Minus green", "known": "generic"}, 12),
        ({"family": "Straw", "known": "generic"}, 12),
        ({"family": "ND", "fraction": "0.3", "mired": 0, "stops": 1, "known": "generic"}, 3),
        ({"known": "swatch"}, 5),
        ({"known": "taught"}, 5),
        ({"known": "measured"}, 2),
        ({"transmittance": CURVE}, 2),
        ({}, None),
        ({"percent": 8}, 8),
        ({"percent": 0}, 0),
        ({"known": "generic", "percent": "10 %"}, 10),
        ({"known": "swatch", "transmittance": CURVE}, 5),
    ],
)
def test_how_it_is_known_says_how_far_off_and_percent_wins(row, percent):
    """The per cents are from memory."""
    assert gel(**row).off_percent == percent


def test_each_way_of_knowing_has_words():
    assert [way.words for way in Known] == [
        "generic",
        "from the swatch book",
        "fitted to your meter",
        "measured curve",
    ]


@pytest.mark.parametrize(
    ("row", "where", "says", "allowed"),
    [
        ({"known": "guessed"}, "known", "'guessed' is not known", "generic, swatch, taught, measured"),
        ({"percent": 101}, "percent", "101 is out of range", "0 to 100 %"),
        ({"percent": "-1"}, "percent", "-1 is out of range", "0 to 100 %"),
        ({"percent": "5 K"}, "percent", "has the unit 'K'", "0 to 100 %"),
        ({"reference": 999}, "reference", "999 is out of range", "1 000 to 25 000 K"),
        ({"reference": "5.6"}, "reference", "(5 600 K?)", "1 000 to 25 000 K"),
        ({"reference": "warm"}, "reference", "'warm' is not a number", "1 000 to 25 000 K"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(row, where, says, allowed):
    with pytest.raises(ValidationError) as no:
        gel(**row)
    [problem] = problems_in(no.value)
    assert problem.where == where
    assert says in problem.says.replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert allowed in problem.allowed.replace("\N{NARROW NO-BREAK SPACE}", " ")


def test_of_rows_that_do_not_say_a_request_says_it_and_a_set_takes_a_swatch_books():
    assert Accuracy().unsaid_percent == 5
    assert RequestAccuracy().unsaid_percent == 0
    assert RequestAccuracy(gel_percent=8).unsaid_percent == 8


def test_a_sets_one_figure_of_0_1_0_is_passed_over():
    old = {"meter_cct_percent": 3, "meter_duv": 0.002, "gel_percent": 5}
    assert Accuracy.model_validate(old) == Accuracy(meter_cct_percent=3, meter_duv=0.002)
    with pytest.raises(ValidationError):
        Accuracy.model_validate({**old, "gels": 5})
