"""The first line is never farther off with more layers than another stack, for no more light."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.ranking.first_line import beats, first_line, likelier
from advisor.colour.observer.loci import daylight
from advisor.model import Accuracy, Limits, Reading, Source, Stage, Target, Work
from advisor.web.wording.runners_up import runners_up
from tests.advice.lamps import looked, plan, planckian, read
from tests.thorough import cases

WARM = Target(cct=3200, locus="planckian")


def better(stack, other):
    """Whether a stack is better in layers, distance, chance as told, and light, and no more work."""

    def work(one):
        return len(one.moves.take_off) + len(one.moves.hang) if one.moves else 0

    fewer = stack.layers < other.layers and work(stack) <= work(other)
    nearer = stack.miss.steps < other.miss.steps and round(10 * stack.within) >= round(10 * other.within)
    return fewer and nearer and stack.stops <= other.stops and (stack.read or not other.read)


def test_a_full_sheet_goes_before_a_half_and_a_quarter_that_lead_less_near():
    """By its cost, which counts the doubt of each sheet, the list has them the other way round."""
    window = Source(name="Window", kind="daylight", reading=Reading(cct=5359.5, duv=0.0016, lux=500))
    head = plan(window, target=WARM).alone
    assert head.advice.stacks[0].gels == ["CTO 1/2", "CTO 1/4"]
    assert head.best.gels == head.first.gels == ["CTO full"]
    below = next(one for one in runners_up(head, Limits()) if one.stack == head.advice.stacks[0])
    assert below.why == "More layers, and farther off."


def test_who_set_the_tolerance_hangs_a_sheet_that_is_likely_to_come_within_it():
    """Bare it costs a little less, and is within the tolerance in four of ten cases only."""
    panel = Source(name="Panel", kind="led-white", reading=Reading(cct=5460, duv=0.0048))
    head = plan(panel, target=Target(cct=5600, locus="daylight")).alone
    bare = head.advice.stacks[0]
    assert (bare.gels, bare.within < 0.5) == ([], True)
    assert head.best.gels == head.first.gels == ["Minus green 1/8"]
    assert head.first.within > 0.75
    below = next(one for one in runners_up(head, Limits()) if one.stack == bare)
    assert below.why == "Less likely to be close."


def test_what_is_likely_enough_or_takes_two_sheets_more_stays_as_it_is():
    panel = Source(name="Panel", kind="led-white", reading=Reading(cct=5460, duv=0.0048))
    bare, *others = plan(panel, target=Target(cct=5600, locus="daylight")).alone.advice.stacks
    sheet = next(stack for stack in others if stack.gels == ["Minus green 1/8"])

    def of(**changed):
        return sheet.model_copy(update=changed)

    assert likelier(sheet, bare)
    assert not likelier(of(layers=2), bare)
    assert not likelier(of(within=bare.within + 0.2), bare)
    assert not likelier(of(stops=bare.stops + 0.6), bare)
    assert not likelier(sheet, bare.model_copy(update={"within": 0.52}))


@settings(deadline=None, max_examples=cases(40))
@given(
    mired=st.floats(110, 390),
    duv=st.floats(-0.008, 0.008),
    kind=st.sampled_from(["tungsten", "led-white", "led-mix", "fluorescent", "discharge", "unknown"]),
    wanted=st.sampled_from([3200, 4300, 5600]),
    layers=st.integers(1, 4),
    tolerance=st.sampled_from([1.0, 3.0, 7.0]),
)
def test_no_stack_of_the_list_is_better_in_all_that_is_told(mired, duv, kind, wanted, layers, tolerance):
    source = Source(name="Head", kind=kind, reading=Reading(cct=1e6 / mired, duv=duv, lux=500))
    limits = Limits(tolerance_steps=tolerance, max_layers=layers)
    head = plan(source, limits=limits, target=Target(cct=wanted, locus="planckian")).alone
    if head.advice is None:  # no lamp of that kind reads so
        return
    assert not [stack.gels for stack in head.advice.stacks if better(stack, head.first)]


@settings(deadline=None, max_examples=cases(15, 2))
@given(
    mired=st.floats(190, 380),
    slope=st.floats(-0.3, 0.3),
    wanted=st.sampled_from([3200, 4300, 5600]),
    hung=st.sampled_from([["CTO 1/8"], ["CTO 1/4"], ["CTB 1/4"], ["CTB 1/2", "Plus green 1/8"]]),
    sun=st.booleans(),
)
def test_nor_is_one_better_than_the_move_that_is_told(mired, slope, wanted, hung, sun):
    lamp = daylight(max(1e6 / mired, 4300.0)) if sun else planckian(1e6 / mired, slope)
    bare, behind = read(lamp, lux=1000.0), looked(read(lamp, hung, lux=1000.0))
    work = Work(stage=Stage.HUNG, gels=hung, read_bare=bare, read_behind=behind)
    kind = "daylight" if sun else "tungsten"
    source = Source(name="Head", kind=kind, reading=bare, readings=[behind], work=work)
    limits = Limits(accuracy=Accuracy(meter_cct_percent=0.5, meter_duv=0.0003, gel_percent=7.0))
    head = plan(source, limits=limits, target=Target(cct=wanted, locus="planckian")).alone
    if head.advice is None or head.due is None:
        return
    assert not [stack.gels for stack in head.advice.stacks if better(stack, head.due.result)]


@pytest.mark.parametrize("least", [0.0, 2.0])
def test_light_that_has_to_be_lost_is_lost(least):
    head = plan(Source(name="Head", kind="tungsten", reading=Reading(cct=3000, duv=0.0, lux=500))).alone
    first, *_ = stacks = head.advice.stacks
    thin = first.model_copy(
        update={"layers": first.layers - 1, "stops": first.stops - 0.5, "miss": first.miss.model_copy()}
    )
    thin.miss.__dict__["steps"] = first.miss.steps - 0.1
    assert first_line([first, thin], least) is (thin if least < thin.stops else first)
    assert beats(thin, first) and not beats(first, thin) and np.isfinite(stacks[0].cost)
