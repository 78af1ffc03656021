"""One place turns what is wrong with an input into words for a person."""

import pytest
from pydantic import ValidationError

from advisor.model import AdviceRequest, Gel, Problem, Reading, Refused, Source, Target, problems_in, refuse
from advisor.model.basis.problems import join, short, within, wrong

TARGET = {"cct": 5600}
SOURCE = {"name": "Invented", "reading": {"cct": 5600, "duv": 0}}


def problems(model, value):
    with pytest.raises(ValidationError) as error:
        model.model_validate(value)
    return problems_in(error.value)


@pytest.mark.parametrize(
    ("places", "written"),
    [
        (("sources", 0, "reading", "cct"), "sources[0].reading.cct"),
        (("sources[2]", "reading"), "sources[2].reading"),
        (("gels", 3), "gels[3]"),
        (("", "cct"), "cct"),
        (("cct", ""), "cct"),
        ((0, "name"), "[0].name"),
        (("sources", "[2].name"), "sources[2].name"),
        ((), ""),
    ],
)
def test_places(places, written):
    assert join(*places) == written


@pytest.mark.parametrize(
    ("model", "value", "where", "says", "allowed"),
    [
        (Source, {"reading": {"cct": 5600, "duv": 0}}, "name", "name is missing", "give name"),
        (Source, {**SOURCE, "colour": 1}, "colour", "colour is not a field here", "spelling"),
        (Source, {**SOURCE, "kind": "plasma"}, "kind", "kind 'plasma' is not known", "tungsten, daylight"),
        (Source, {**SOURCE, "name": " "}, "name", "Name is empty", "1 to 80 characters"),
        (Source, {**SOURCE, "name": 5}, "name", "name is not text", "quotes"),
        (Source, {**SOURCE, "keep": "ND 0.3"}, "keep", "keep is not a list", "[ ]"),
        (Source, {**SOURCE, "keep": list("abcde")}, "keep", "keep holds 5 entries", "at most 4"),
        (Source, {**SOURCE, "reading": 5}, "reading", "reading is not an object", "{ }"),
        (Source, {**SOURCE, "reading": {"cct": 9, "duv": 0}}, "reading.cct", "CCT 9 is out of range", "25"),
        (
            Source,
            {**SOURCE, "reading": {}},
            "reading",
            "nothing about colour",
            "cct with duv, or xy, or a spectrum",
        ),
        (Reading, {"cct": 5600}, "", "Duv is missing", "0 if the meter gives none"),
        (Reading, {"xy": 0.3}, "xy", "xy is not a pair", "[ ]"),
        (Reading, {"xy": [0.3, 1.4]}, "xy[1]", "y 1.4 is out of range", "0 to 1"),
        (Target, {"cct": 3200, "locus": "daylight"}, "", "is no daylight", "Planckian"),
        (Gel, {"family": "CTO", "fraction": "1/3x", "mired": 9}, "fraction", "'1/3x'", "1/8"),
        (
            AdviceRequest,
            {"target": TARGET, "sources": []},
            "sources",
            "sources holds 0 entries",
            "at least 1",
        ),
    ],
)
def test_the_words_for_each_fault(model, value, where, says, allowed):
    (problem,) = problems(model, value)
    assert problem.where == where
    assert says in problem.says
    assert allowed in problem.allowed


def test_every_fault_is_told_in_the_order_of_the_fields():
    value = {"target": {"cct": 1}, "sources": [SOURCE, {"name": "", "reading": {"duv": 9}}], "max_layers": 9}
    assert [p.where for p in problems(AdviceRequest, value)] == [
        "max_layers",
        "target.cct",
        "sources[1].name",
        "sources[1].reading.duv",
    ]


def test_a_fault_with_braces_in_its_value_is_told_like_any_other():
    (problem,) = problems(Source, {**SOURCE, "kind": "{says}"})
    assert problem.says == "kind '{says}' is not known"


def test_json_that_is_none():
    with pytest.raises(ValidationError) as error:
        Source.model_validate_json("{")
    assert "this is not JSON" in problems_in(error.value)[0].says


def test_refused_carries_its_problems_and_can_be_seen_from_outside():
    inner = Refused([Problem(where="cct", says="CCT 9 is out of range", allowed="1 to 2"),
                     Problem(where="", says="no", allowed="yes")])  # fmt: skip
    outer = inner.under("sources[0]")
    assert [p.where for p in outer.problems] == ["sources[0].cct", "sources[0]"]
    assert [p.where for p in inner.problems] == ["cct", ""]
    assert (
        str(outer) == "sources[0].cct: CCT 9 is out of range. Allowed: 1 to 2.; sources[0]: no. Allowed: yes."
    )
    assert isinstance(inner, ValueError)


def test_what_is_refused_within_a_place_is_seen_from_outside_it():
    with pytest.raises(Refused) as refused, within("sources", 2):
        raise Refused.one("reading.cct", "CCT 9 is out of range", "1 to 2")
    assert [p.where for p in refused.value.problems] == ["sources[2].reading.cct"]


def test_one_problem_is_refused_by_itself():
    assert Refused.one("text", "no text", "some").problems == [
        Problem(where="text", says="no text", allowed="some")
    ]


def test_a_validation_error_becomes_a_refusal():
    with pytest.raises(ValidationError) as error:
        Source.model_validate({})
    assert [p.where for p in refuse(error.value).problems] == ["name", "reading"]


def test_wrong_says_what_and_what_instead():
    assert wrong("a {brace}", "b").context == {"says": "a {brace}", "allowed": "b"}


@pytest.mark.parametrize(("value", "shown"), [("a", "'a'"), (5, "5"), ("x" * 99, "'" + "x" * 56 + "…")])
def test_values_are_shown_short(value, shown):
    assert short(value) == shown
