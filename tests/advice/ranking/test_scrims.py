"""Scrims: gels that move no colour, for heads with a lens; they take part where light has to be lost."""

import math

import pytest

from advisor.advice.answer.advise import advise
from advisor.imports.gels.csv_table import shipped_gels
from advisor.imports.vocabulary.gel_names import GelName, understand_name
from advisor.model import Gel, Kind, Role
from tests.advice.rows import asking, source

SHIPPED = shipped_gels().rows
SCRIMS = ["Single scrim full", "Double scrim full"]


def dimmed_to(stops, rows=SHIPPED, **source_is):
    """Return the first stack of a back light that reads on the target and is so many stops too bright."""
    key = source("Key", cct=3200.0, duv=0.0, lux=1000.0, role=Role.KEY, kind="tungsten")
    lit = {"cct": 3200.0, "duv": 0.0, "lux": 1000.0 * 2.0**stops, "kind": "tungsten"} | source_is
    asked = asking(key, source("Back", over_key=0.0, **lit), target={"cct": 3200})
    return advise(asked, rows).sources[1].stacks[0]


def only(*names):
    return [gel for gel in SHIPPED if gel.name in names]


@pytest.mark.parametrize(
    ("name", "stops"),
    [("Single scrim full", 0.5), ("Double scrim full", 1.0)],  # common practice, no source
)
def test_each_costs_what_the_trade_says_and_moves_no_colour(name, stops):
    stack = dimmed_to(stops, only(name))
    assert stack.gels == [name]
    assert stack.stops == pytest.approx(stops, abs=0.01)
    assert stack.after.lux == pytest.approx(1000.0, rel=0.01)
    assert stack.after.cct == pytest.approx(3200, abs=1)
    assert math.isclose(stack.after.duv, 0.0, abs_tol=1e-4)


def test_a_single_and_a_double_add_up():
    assert sorted(dimmed_to(1.5, only(*SCRIMS)).gels) == sorted(SCRIMS)


@pytest.mark.parametrize("kind", [Kind.DAYLIGHT, Kind.FLUORESCENT, Kind.FLUORESCENT_TRIBAND, Kind.UNKNOWN])
def test_what_has_no_lens_takes_none(kind):
    stack = dimmed_to(1.0, only(*SCRIMS, "ND 0.3"), kind=kind, cct=3300.0)
    assert stack.gels == ["ND 0.3"]


def test_a_practical_takes_none():
    assert dimmed_to(1.0, only(*SCRIMS, "ND 0.3"), role=Role.PRACTICAL).gels == ["ND 0.3"]


def test_nobody_is_told_a_scrim_where_no_light_has_to_be_lost():
    assert not set(dimmed_to(-1.0).gels) & set(SCRIMS)


@pytest.mark.parametrize(
    ("family", "is_one"),
    [("Scrim", True), ("double scrims", True), ("Scrim cloth", False), ("ND", False)],
)
def test_a_family_is_scrims_by_its_name(family, is_one):
    assert Gel(family=family, fraction="full", stops=0.5).scrim is is_one


def test_what_moves_colour_is_no_scrim():
    assert not Gel(family="Single scrim", fraction="full", mired=20).scrim


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("double scrim", GelName("Double scrim", "")),
        ("full single scrim", GelName("Single scrim", "full")),
        ("scrim single", GelName("Single scrim", "")),
    ],
)
def test_they_are_understood_as_crews_call_them(said, meant):
    assert understand_name(said) == meant
