"""The first line by the trade's habits: fewer sheets, whole fractions, the surer stack for a little light.

The lamps are invented. The habits are common practice, no source: two halves and no half with two quarters, a
full sheet and no halves where it is at hand, a third of a stop that nobody misses, no climb for half a step.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.answer.fewest_moves import cost_with_moves, least
from advisor.advice.ranking.first_line import first_line
from advisor.model import Limits, Moves, ReadBehind, Reading, Source, Target
from advisor.web.wording.runners_up import runners_up
from tests.advice.lamps import SHIPPED, plan
from tests.thorough import cases

MIDDLE, COOL = Target(cct=4300, locus="planckian"), Target(cct=6500, locus="daylight")


def head(kind, cct, duv, target, rows=SHIPPED, layers=3):
    source = Source(name="Head", kind=kind, reading=Reading(cct=cct, duv=duv, lux=500))
    return plan(source, target=target, limits=Limits(max_layers=layers), rows=rows).alone


def why_not_first(found):
    [cheapest] = [one for one in runners_up(found, Limits()) if one.stack == found.advice.stacks[0]]
    return cheapest.why


class TestFewerSheets:
    @pytest.mark.parametrize(("cct", "duv"), [(2663, 0.0003), (2691, -0.0004)])
    def test_two_halves_go_before_a_half_and_two_quarters(self, cct, duv):
        """Thin sheets are off by less together, so the cost has them the other way round."""
        found = head("tungsten", cct, duv, MIDDLE)
        assert found.advice.stacks[0].gels == ["CTB 1/2", "CTB 1/4", "CTB 1/4"]
        assert found.first.gels == ["CTB 1/2", "CTB 1/2"]
        assert why_not_first(found) == "More layers, and hardly likelier to be close."

    def test_a_full_sheet_goes_before_parts_for_a_fifth_of_a_stop(self):
        found = head("fluorescent-triband", 3574, 0.007, Target(cct=5600, locus="daylight"), layers=2)
        assert found.advice.stacks[0].gels == ["CTB 1/2", "CTB 1/4"]
        assert found.first.gels == ["CTB full"]

    def test_two_halves_with_an_eighth_are_for_who_has_no_full_sheet(self):
        """A full sheet does what both halves do, with a sheet less: who has it sees no halves listed."""
        parts = ["CTB 1/2", "CTB 1/2", "CTB 1/8"]
        day = Target(cct=5600, locus="daylight")
        out = [gel.model_copy(update={"stock": 0}) if gel.name == "CTB full" else gel for gel in SHIPPED]
        with_full, without = (head("discharge", 3087, -0.0002, COOL, rows) for rows in (SHIPPED, out))
        assert parts not in [stack.gels for stack in with_full.advice.stacks]
        assert without.first.gels == parts
        assert "CTB full" in head("tungsten", 2986, -0.001, day).first.gels


def test_the_surer_stack_goes_first_for_a_tenth_of_a_stop():
    found = head("fluorescent", 3505, -0.0009, Target(cct=3200, locus="planckian"), layers=2)
    cheapest = found.advice.stacks[0]
    assert (cheapest.gels, found.first.gels) == (["CTO 1/8"], ["CTO 1/4"])
    assert (round(10 * cheapest.within), round(10 * found.first.within)) == (3, 5)
    assert found.first.stops - cheapest.stops == pytest.approx(0.1, abs=0.03)
    assert why_not_first(found) == "Less likely to be close."


class TestOfTwo:
    """Two stacks of equal sheets, the second likelier by two in ten for a quarter of a stop."""

    @pytest.fixture
    def first(self):
        [stack, *_] = head("tungsten", 3200, 0.0, MIDDLE, layers=1).advice.stacks
        return stack.model_copy(update={"within": 0.5, "moves": None})

    def other(self, first, expected=0.0, **changed):
        miss = first.miss.model_copy(
            update={"steps": first.miss.steps, "expected_steps": first.miss.expected_steps + expected}
        )
        usual = {"within": 0.7, "stops": first.stops + 0.25, "miss": miss, "gels": ["CTB 1/4", "CTB 1/8"]}
        return first.model_copy(update=usual | changed)

    def goes_first(self, first, other):
        return first_line([first, other]) is other

    def test_the_likelier_goes_first(self, first):
        assert self.goes_first(first, self.other(first))

    def test_not_for_a_third_of_a_stop(self, first):
        assert not self.goes_first(first, self.other(first, stops=first.stops + 0.31))

    def test_not_where_it_is_hardly_likelier(self, first):
        assert not self.goes_first(first, self.other(first, within=0.53))
        assert not self.goes_first(*(self.other(first, within=chance, stops=1.0) for chance in (0.54, 0.56)))

    def test_not_where_it_is_farther_off(self, first):
        assert not self.goes_first(first, self.other(first, expected=0.2))

    def test_not_with_a_sheet_more(self, first):
        assert not self.goes_first(first, self.other(first, layers=first.layers + 1))

    def test_a_sheet_less_may_be_farther_off_by_less_than_a_step(self, first):
        fewer = {"layers": first.layers - 1, "within": 0.5}
        assert self.goes_first(first, self.other(first, expected=0.9, **fewer))
        assert not self.goes_first(first, self.other(first, expected=1.1, **fewer))
        assert self.goes_first(first, self.other(first, **fewer | {"within": 0.451}))
        assert not self.goes_first(first, self.other(first, **fewer | {"within": 0.44}))

    def test_nor_with_more_moves_from_what_hangs(self, first):
        stays = first.model_copy(update={"moves": Moves(take_off=[], hang=[])})
        climbs = self.other(first, moves=Moves(take_off=["CTB 1/2"], hang=["CTB 1/4", "CTB 1/8"]))
        assert not self.goes_first(stays, climbs)

    def test_nor_before_what_was_read(self, first):
        read = first.model_copy(update={"read": ReadBehind(cct=4300, duv=0.0, lux=None, steps=2.0)})
        assert not self.goes_first(read, self.other(first))

    def test_light_is_given_away_once(self, first):
        """Three stacks, each likelier than the one before for a quarter of a stop: only one is."""
        second = self.other(first)
        third = self.other(first, within=0.9, stops=first.stops + 0.5)
        assert first_line([first, second, third]) is second


@settings(deadline=None, max_examples=cases(30, 4))
@given(
    mired=st.floats(110, 390),
    duv=st.floats(-0.008, 0.008),
    kind=st.sampled_from(["tungsten", "led-white", "fluorescent-triband", "discharge", "unknown"]),
    wanted=st.sampled_from([3200, 4300, 5600]),
    layers=st.integers(1, 3),
)
def test_no_stack_of_as_many_sheets_is_told_surer_for_no_more_light(mired, duv, kind, wanted, layers):
    found = head(kind, 1e6 / mired, duv, Target(cct=wanted, locus="planckian"), layers=layers)
    if found.advice is None:  # no lamp of that kind reads so
        return
    first = found.first
    assert not [
        stack.gels
        for stack in found.advice.stacks
        if stack.layers <= first.layers
        and stack.stops <= first.stops
        and stack.miss.expected_steps <= first.miss.expected_steps
        and round(10 * stack.within) > round(10 * first.within)
        and stack.within >= first.within + 0.05
    ]


@pytest.mark.parametrize(("beyond", "leaves"), [(0.0, True), (0.4, True), (0.5, True), (0.6, False)])
def test_nobody_climbs_to_take_off_a_sheet_for_half_a_step(beyond, leaves):
    """What hangs is so far beyond the tolerance; a sheet less would be within it. Half a step is not seen."""
    cost = cost_with_moves(np.array([beyond, 0.0]), np.array([0, 1]))
    assert (least(cost, np.array([0, 1]), np.zeros(2)) == 0) is leaves
