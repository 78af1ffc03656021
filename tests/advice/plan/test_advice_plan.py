"""A plan for the screen: one impossible reading leaves the others their advice."""

import re

import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand
from advisor.model import ON_SET, Limits, Reading, Refused, RequestAccuracy, Source, Target
from advisor.web.pictures.light_path import light_path_of
from tests.advice.rows import asking, neutral, nominal, source

TABLE = nominal() + neutral()
WINDOW = source(lux=900)
HEAD = source("Head", kind="tungsten", cct=3200.0, duv=0.0, keep=["ND 0.3"])
UNREAL = Source(name="Unreal", reading=Reading(xy=(0.5, 0.51)))
UNKEPT = source("Unkept", keep=["Straw 1/2"])


def plan(*sources, target=None, **limits):
    return make_plan(sources, target or Target(cct=5600), Limits(**limits), TABLE)


OF_THE_API = {"reached", "beyond", "held_back", "first"}
"""What an answer of the API says besides, of the list as a whole."""


def test_a_plan_says_what_the_api_says():
    made = plan(WINDOW, HEAD)
    assert made.problems == ()
    asked = asking(
        WINDOW, HEAD, accuracy=RequestAccuracy(**ON_SET.model_dump(), gel_percent=5)
    )  # a set's readings are not taken at their word
    said = [one.model_dump(exclude=OF_THE_API) for one in advise(asked, TABLE).sources]
    assert [h.advice.model_dump(exclude=OF_THE_API) for h in made.heads] == said
    assert made.heads[0].best.gels == ["CTO 1/4"]


def test_heads_are_described_against_both_loci_where_both_reach():
    window, warm = plan(WINDOW, source(kind="tungsten", cct=2800.0, duv=0.0)).heads
    assert window.loci == (
        "a little over an eighth green against the Planckian locus",
        "on the daylight locus",
    )
    assert warm.loci == ("on the Planckian locus",)


def test_two_plans_can_be_held_beside_each_other():
    """What holds arrays is the same only as itself: to compare arrays is no truth."""
    one, other = plan(WINDOW), plan(WINDOW)
    assert one == one and one != other
    assert one.alone != other.alone
    warm = plan(source(kind="tungsten", cct=2800.0, duv=0.0))
    assert one.alone.white != warm.alone.white and len({one.alone.white, warm.alone.white}) == 2


def test_what_is_wrong_with_one_source_stays_with_it():
    made = plan(UNREAL, WINDOW, UNKEPT)
    unreal, window, unkept = made.heads
    assert made.problems == () and window.best is not None
    assert [p.where for p in unreal.problems] == ["reading.xy"]
    assert unreal.white is None and unreal.best is None and unreal.loci == ()
    assert [p.where for p in unkept.problems] == ["keep[0]"]
    assert unkept.white.cct == 6800 and unkept.best is None


def test_where_none_can_be_advised_on_there_is_still_a_plan():
    assert plan(UNREAL).alone.problems and plan().heads == ()


def test_a_target_that_is_no_white_leaves_the_sources_described():
    made = plan(WINDOW, target=Target(source="Nobody"))
    assert [p.where for p in made.problems] == ["target.source"]
    assert made.alone.white.cct == 6800 and made.alone.loci and made.alone.best is None
    assert by_hand(made, 0, []) is None


def test_a_family_that_is_not_there_is_a_problem_of_the_plan():
    made = make_plan([WINDOW], Target(cct=5600), Limits(exclude_families=["Straw"]), nominal())
    assert [p.where for p in made.problems] == ["exclude_families[0]"] and made.alone.best is None


def test_a_stack_by_hand_is_the_entry_of_that_stack():
    made = plan(UNREAL, WINDOW)
    for entry in made.heads[1].advice.stacks:
        assert by_hand(made, 1, entry.gels) == entry
    assert by_hand(made, 0, []) is None
    with pytest.raises(Refused) as no:
        by_hand(made, 1, ["Straw 1/2"])
    assert no.value.problems[0].where == "stack[0]"


def channels(colour):
    assert re.fullmatch("#[0-9a-f]{6}", colour)
    return [int(colour[i : i + 2], 16) for i in (1, 3, 5)]


def test_the_light_path_goes_from_the_lamp_through_the_sheets_to_the_target():
    made = plan(WINDOW)
    path = light_path_of(made, 0, by_hand(made, 0, ["CTO full", "Minus green 1/2"]))
    lamp, after, target = (channels(c) for c in (path.lamp, path.after, path.target))
    assert max(target) - min(target) <= 1
    assert lamp[2] > lamp[0], "cooler than the target"
    assert after[0] > after[2], "warmer than the target"
    warm, magenta = (channels(layer.tint) for layer in path.layers)
    assert [layer.name for layer in path.layers] == ["CTO full", "Minus green 1/2"]
    assert warm[0] > warm[1] > warm[2]
    assert magenta[1] < min(magenta[0], magenta[2])


def test_the_light_path_of_a_bare_source_ends_as_it_begins():
    made = plan(WINDOW)
    path = light_path_of(made, 0, by_hand(made, 0, []))
    assert path.layers == () and path.lamp == path.after
    assert light_path_of(plan(UNREAL), 0, made.heads[0].best) is None


def test_the_light_path_tells_where_nobody_sees_an_edge():
    """5 600 K of daylight is Duv +0.0033 (CIE 15:2018); a step is 0.0011 Δu′v′ (CIE TN 001:2014)."""
    made = plan(source(cct=5600.0, duv=0.0033), source("Off", cct=5600.0, duv=0.0055))
    met, off = (light_path_of(made, i, by_hand(made, i, [])) for i in (0, 1))
    assert (met.meets, off.meets) == (True, False)
