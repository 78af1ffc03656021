"""The whole way: ranked stacks for sources, and single stacks predicted."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import references

from advisor.advice.answer.advise import advise
from advisor.model import EXACT, Gel, Kind, Limits, Reading, Target
from tests.advice.answers import TABLE, refused, stacks
from tests.advice.rows import FULL_CTO, asking, nominal, source
from tests.thorough import cases

ROUNDING = 1e-3
"""Steps are answered to three places."""
quick = settings(deadline=None, max_examples=cases(30, 3))


@st.composite
def some_sources(draw):
    return source(
        "Head",
        kind=draw(st.sampled_from(Kind)),
        cct=draw(st.floats(2000, 10000)),
        # At 2 000 K a light much greener than this would be beyond the spectral locus, or no lamp's.
        duv=draw(st.floats(-0.02, 0.007)),
    )


def test_the_limits_of_a_request_are_those_alone():
    """What is kept of a head's answer goes by them, whatever else was asked."""
    limits = asking(source(), source("Other"), max_layers=2, max_stops=1.0).limits
    assert type(limits) is Limits
    assert limits == asking(source(), target=Target(cct=4300), max_layers=2, max_stops=1.0).limits
    assert (limits.max_layers, limits.max_stops, limits.accuracy) == (2, 1.0, EXACT)


def some_gels(least=0):
    return st.lists(st.sampled_from(nominal()), min_size=least, max_size=8, unique_by=lambda g: g.name)


def some_targets():
    return st.builds(Target, cct=st.floats(4000, 7000)) | st.builds(
        Target, cct=st.floats(2500, 7000), locus=st.just("planckian")
    )


def fixed(stack):
    """What light, in tenths of a stop, and layers cost."""
    return 0.2 * math.floor(10 * stack.stops + 0.5) + 0.5 * stack.layers


def least_risk(request, table):
    return min(s.cost - fixed(s) for s in stacks(request, table))


# The design's example -------------------------------------------------------------------------------


def test_a_window_gets_a_quarter_cto():
    [answer] = advise(asking(source(lux=900)), TABLE).sources
    assert answer.name == "Window"
    assert answer.needed.mired == pytest.approx(31.5, abs=0.05)
    assert answer.needed.duv == pytest.approx(-0.0007, abs=5e-5)
    assert answer.needed.cc == pytest.approx(1000 * answer.needed.duv, abs=0.01)
    assert answer.needed.words == "about a quarter CTO too cool"
    best = answer.stacks[0]
    assert best.gels == ["CTO 1/4"] and best.layers == 1
    assert best.stops == pytest.approx(0.28, abs=0.02)
    assert best.after.lux == pytest.approx(900 * 2**-best.stops, abs=0.1)
    assert best.miss.steps < 1 and best.miss.words == "matches"
    assert best.miss.steps == pytest.approx(best.miss.du_v / 0.0011, abs=0.002)
    assert best.nominal.cct == pytest.approx(1e6 / (1e6 / 6800 + FULL_CTO / 4), abs=0.01)
    assert best.nominal.duv == 0.004
    assert 0 < best.uncertainty_steps < 2


@pytest.mark.parametrize("entry", references("mired-"), ids=lambda e: e["id"])
def test_the_needed_shift_is_the_handbooks(entry):
    shift = entry["value"]
    white = source(kind="tungsten", cct=float(shift["from"]), duv=0.0)
    request = asking(white, target=Target(cct=shift["to"], locus="planckian"), max_layers=0)
    assert advise(request, TABLE).sources[0].needed.mired == pytest.approx(
        shift["shift"], abs=entry["tolerance"]
    )


def test_a_full_cto_makes_tungsten_of_daylight_on_the_planckian_locus():
    request = asking(
        source(kind="tungsten", cct=5600.0, duv=0.0), target=Target(cct=3200, locus="planckian"), max_layers=1
    )
    best = stacks(request)[0]
    assert best.gels == ["CTO full"]
    assert best.after.cct == pytest.approx(3200, abs=0.5) and best.miss.words == "matches"


# Bare, and limits -----------------------------------------------------------------------------------


@given(some_sources(), some_gels(), some_targets(), st.integers(0, 2))
@quick
def test_bare_is_always_there_and_changes_nothing(bare, gels, target, layers):
    found = stacks(asking(bare, target=target, max_layers=layers), gels)
    [entry] = [s for s in found if s.gels == []]
    assert entry.stops == 0 and entry.layers == 0
    assert entry.after.cct == pytest.approx(bare.reading.cct, abs=0.05)
    assert entry.after.duv == pytest.approx(bare.reading.duv, abs=1e-5)
    assert entry.nominal.cct == pytest.approx(bare.reading.cct, abs=0.01)


def test_a_source_on_the_target_is_best_left_bare():
    for kind in Kind:
        on_target = source(kind=kind, cct=5600.0, duv=0.00331)
        assert stacks(asking(on_target))[0].gels == []


@given(some_sources(), some_gels(2), some_targets(), st.floats(0, 2), st.floats(0, 2))
@quick
def test_less_light_to_lose_never_gives_a_better_match(bare, gels, target, a, b):
    tight, loose = (asking(bare, target=target, max_layers=2, max_stops=stops) for stops in sorted((a, b)))
    free = asking(bare, target=target, max_layers=2)
    assert least_risk(tight, gels) >= least_risk(loose, gels) - ROUNDING
    assert least_risk(loose, gels) >= least_risk(free, gels) - ROUNDING
    for stack in stacks(tight, gels):
        assert stack.stops <= min(a, b) + 1e-4 or stack.gels == []


@given(some_sources(), some_gels(2), some_targets())
@quick
def test_fewer_layers_never_give_a_better_match(bare, gels, target):
    found = [least_risk(asking(bare, target=target, max_layers=n), gels) for n in range(4)]
    assert all(fewer >= more - ROUNDING for fewer, more in itertools.pairwise(found))
    for n in range(3):
        assert all(s.layers <= n for s in stacks(asking(bare, target=target, max_layers=n), gels))


@given(some_sources(), some_gels(1), some_targets())
@quick
def test_a_gel_more_never_gives_a_worse_match(bare, gels, target):
    """Unless it does as much as two of its family, which from then on count half a step farther off."""
    request = asking(bare, target=target, max_layers=2)
    assert least_risk(request, gels) <= least_risk(request, gels[:-1]) + 4 * 0.5 + ROUNDING
    more = [*gels[:-1], gels[-1].model_copy(update={"family": "No other"})]
    assert least_risk(request, more) <= least_risk(request, gels[:-1]) + ROUNDING


@given(some_sources(), some_targets(), some_gels(2), st.randoms())
@quick
def test_the_order_of_gels_does_not_matter(bare, target, one, random):
    other = random.sample(one, len(one))
    request = asking(bare, target=target, max_layers=2)
    assert advise(request, one) == advise(request, other)


def tenths(stops):
    """The tenths of a stop that the search may have counted: 1.15 is answered for 1.14996 too."""
    return [math.floor(10 * (stops + slip) + 0.5) for slip in (-1e-4, 1e-4)]


@given(some_sources(), some_targets())
@quick
def test_stacks_are_a_front_in_rising_order_of_the_cost(bare, target):
    found = stacks(asking(bare, target=target, max_layers=2, tolerance_steps=3))
    price = [stack.cost for stack in found]
    assert price == sorted(price)
    figures = [(s.cost - fixed(s), tenths(s.stops), s.layers) for s in found]
    for a, b in itertools.permutations(figures, 2):
        beaten = a[0] > b[0] + ROUNDING and a[1][0] >= b[1][1] and a[2] >= b[2]
        assert not beaten, "a stack that another beats is not shown"


@pytest.mark.parametrize(("cct", "duv"), [(5000.0, 0.008), (5200.0, 0.002), (6400.0, 0.006)])
def test_a_wider_tolerance_never_asks_for_more_light_or_layers(cct, duv):
    bare = source(kind="led-white", cct=cct, duv=duv)
    best = [stacks(asking(bare, tolerance_steps=t))[0] for t in (0.1, 1, 3, 8, 50)]
    price = [fixed(s) for s in best]
    assert price == sorted(price, reverse=True)
    miss = [s.miss.expected_steps for s in best]
    assert miss == sorted(miss)


def test_what_is_near_enough_for_a_loose_tolerance_needs_no_gel():
    best = [stacks(asking(source(cct=5890.0, duv=0.0033), tolerance_steps=t))[0] for t in (1, 50)]
    assert best[0].gels and not best[1].gels


# What hangs already, and what is switched off --------------------------------------------------------


def test_what_is_kept_is_in_every_stack_and_costs_its_light():
    kept = source(keep=["nd 0.3", "Diffusion 1/2"])
    found = stacks(asking(kept))
    assert all({"ND 0.3", "Diffusion 1/2"} <= set(s.gels) for s in found)
    bare = next(s for s in found if s.layers == 2)
    assert bare.stops == pytest.approx(1.7, abs=1e-3)
    assert stacks(asking(source(), max_layers=1))[0].gels == ["CTO 1/4"]
    assert set(found[0].gels) == {"ND 0.3", "Diffusion 1/2", "CTO 1/4"}


def test_what_is_kept_stays_whatever_the_limits_say():
    kept = source(keep=["ND 0.3"])
    found = stacks(asking(kept, max_layers=0, max_stops=0.5))
    assert [s.gels for s in found] == [["ND 0.3"]]


def test_neutral_gels_take_no_part_unasked():
    assert not any("ND" in g or "Diffusion" in g for s in stacks(asking(source())) for g in s.gels)


def test_gels_of_the_request_stand_in_for_the_table():
    own = [Gel(family="Straw", fraction="1/2", mired=31.0)]
    request = asking(source(), gels=own)
    assert {g for s in stacks(request) for g in s.gels} == {"Straw 1/2"}
    assert [s.gels for s in stacks(asking(source(), gels=[]))] == [[]]


# Several sources -------------------------------------------------------------------------------------


def test_sources_are_answered_in_their_order_as_if_alone():
    several = [
        source("Window", lux=900),
        source("Office", kind="fluorescent", cct=4100.0, duv=0.006, keep=["ND 0.3"]),
        source("Head", kind="tungsten", cct=3200.0, duv=0.0),
        source("Panel", kind="led-white", cct=5700.0, duv=-0.002, keep=["ND 0.3"]),
    ]
    together = advise(asking(*several), TABLE)
    assert [a.name for a in together.sources] == [s.name for s in several]
    for one, answer in zip(several, together.sources, strict=True):
        assert advise(asking(one), TABLE).sources == [answer]


def test_a_target_matches_a_source():
    key, practical = source("Key", cct=5500.0, duv=0.002), source("Practical", "tungsten", 2800.0, 0.0)
    answer = advise(asking(key, practical, target=Target(source="key")), TABLE)
    at_key, at_practical = answer.sources
    assert at_key.needed.mired == 0 and at_key.stacks[0].gels == []
    assert at_key.needed.words == "on the target"
    assert at_practical.needed.mired == pytest.approx(1e6 / 5500 - 1e6 / 2800, abs=0.01)
    assert any(g.startswith("CTB") for g in at_practical.stacks[0].gels)


# What is wrong is named by its place ------------------------------------------------------------------


def test_a_target_that_is_no_source():
    [problem] = refused(advise, asking(source("Key"), target=Target(source="Fill")), TABLE)
    assert problem.where == "target.source" and "'Fill'" in problem.says and "Key" in problem.allowed


def test_a_reading_of_no_light():
    wrong = source("Bad").model_copy(update={"reading": Reading(xy=(0.5, 0.51))})
    [problem] = refused(advise, asking(source(), wrong), TABLE)
    assert problem.where == "sources[1].reading.xy"


def test_a_reading_of_no_light_that_is_also_the_target():
    wrong = source("Bad").model_copy(update={"reading": Reading(xy=(0.5, 0.51))})
    [problem] = refused(advise, asking(source(), wrong, target=Target(source="Bad")), TABLE)
    assert problem.where == "target.source" and "Bad" in problem.says and "no light" in problem.says


def test_a_reading_that_no_source_of_its_kind_has():
    """Beside the spectral locus, where only a single line would do."""
    [problem] = refused(advise, asking(source(), source(kind="tungsten", cct=3500.0, duv=0.0423)), TABLE)
    assert problem.where == "sources[1].kind"
    assert "tungsten source reads 3\N{NARROW NO-BREAK SPACE}500 K, Duv +0.0423" in problem.says


def test_a_kept_gel_that_is_not_in_the_table():
    [problem] = refused(advise, asking(source(), source("Other", keep=["ND 0.3", "Straw 1/2"])), TABLE)
    assert problem.where == "sources[1].keep[1]" and "'Straw 1/2'" in problem.says


def test_a_gel_that_cannot_be():
    own = [*nominal()[:2], Gel(family="CTO", fraction="full", mired=FULL_CTO, stops=0.1)]
    [problem] = refused(advise, asking(source(), gels=own), TABLE)
    assert problem.where == "gels[2]" and "CTO full" in problem.says and "0.1 stops" in problem.says
