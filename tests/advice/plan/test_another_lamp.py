"""What lamp to ask for: each lamp in a window comes in, by colour-science and by plain predictions."""

import itertools
from dataclasses import replace

import colour
import numpy as np
import pytest

from advisor.advice.after_hanging.next_move import Swap
from advisor.advice.answer.one_stack import predict_stack
from advisor.advice.plan.another_lamp import (
    PoorGel,
    nearer_lamp,
    other_lamp,
    other_lamps,
    poorly_gelled,
    without_lamp,
)
from advisor.advice.plan.lamps_behind import duv_sold, nearest_sold, windows_of
from advisor.advice.plan.make import make_plan
from advisor.advice.readings.chromaticity import measure
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import Kind, Limits, Reading, Role, Seen, Setting, Stage, Target, WantedOffset, Work
from advisor.model.sets.source import Reach
from tests.advice.rows import nominal, source

ROWS = nominal()
ARRAYS = gel_arrays_of(tuple(ROWS))
DAYLIGHT = Target(cct=5600)
STEP = 0.0011
"""CIE TN 001:2014, from memory: one step in u′v′."""


def uv_prime(cct, duv):
    """CIE 1976 (u′, v′) by colour-science's own implementation of Ohno (2014)."""
    u, v = colour.temperature.CCT_to_uv_Ohno2013(np.array([cct, duv]))
    return np.array([u, 1.5 * v])


def plan_of(*sources, target=DAYLIGHT, **limits):
    return make_plan(list(sources), target, Limits(**limits), ROWS)


def practical(**fields):
    return source("Practical", "tungsten", 2700.0, 0.0, role=Role.PRACTICAL, **fields)


def test_a_lamp_without_gel_comes_in_wherever_in_the_window_it_reads():
    [window] = windows_of(4300.0, 0.001, 3.0, Kind.LED_WHITE, ARRAYS, behind=False)
    wanted = uv_prime(4300.0, 0.001)
    for cct, duv in itertools.product(np.linspace(*window.cct, 5), np.linspace(*window.duv, 5)):
        assert np.hypot(*(uv_prime(cct, duv) - wanted)) <= 3.02 * STEP
    # And it is no needlessly narrow one: its farthest corner is near the edge.
    corners = itertools.product(window.cct, window.duv)
    assert max(np.hypot(*(uv_prime(*corner) - wanted)) for corner in corners) > 2.7 * STEP


def test_behind_a_weak_sheet_every_corner_of_its_window_comes_in():
    windows = windows_of(4300.0, 0.001, 3.0, Kind.LED_WHITE, ARRAYS)
    assert {w.gel for w in windows} >= {"", "CTO 1/8", "CTO 1/4", "CTB 1/8", "CTB 1/4", "Minus green 1/8"}
    wanted, there = uv_prime(4300.0, 0.001), measure(Reading(cct=4300.0, duv=0.001))
    for window in windows[1:]:
        for cct, duv in itertools.product(window.cct, window.duv):
            bare = prepare(source("Lamp", "led-white", cct, duv), ARRAYS, there)
            after = predict_stack(bare, Limits(), ARRAYS, [window.gel]).after
            assert np.hypot(*(uv_prime(after.cct, after.duv) - wanted)) <= 3.05 * STEP, window


def test_gel_that_warms_asks_for_a_cooler_lamp():
    windows = {w.gel: w for w in windows_of(4300.0, 0.001, 3.0, Kind.LED_WHITE, ARRAYS)}
    assert windows["CTO 1/4"].cct[0] > windows["CTO 1/8"].cct[0] > windows[""].cct[1]
    assert windows["CTB 1/4"].cct[1] < windows["CTB 1/8"].cct[1] < windows[""].cct[0]
    assert windows["Minus green 1/8"].duv[0] > windows[""].duv[1]


def test_a_lamp_on_sale_is_named_where_it_comes_in_as_it_is_meant_to_read():
    """ANSI C78.377-2017, from memory: 4 000 K lamps are meant to have Duv 0.001, 6 500 K ones 0.003."""
    assert duv_sold(2700.0) == 0.0
    assert duv_sold(4000.0) == pytest.approx(0.001, abs=5e-5)
    assert duv_sold(6500.0) == pytest.approx(0.003, abs=1e-4)
    [window] = windows_of(4000.0, 0.001, 3.0, Kind.LED_WHITE, ARRAYS, behind=False)
    assert window.sold == (4000,)
    [green] = windows_of(4000.0, 0.008, 3.0, Kind.LED_WHITE, ARRAYS, behind=False)
    assert green.sold == ()


def test_a_practical_that_loses_two_stops_had_better_be_another_bulb():
    found = other_lamp(plan_of(practical()), 0)
    assert found.why in (PoorGel.OFF, PoorGel.LIGHT)
    assert found.windows[0].gel == ""
    assert found.windows[0].cct[0] < 5600.0 < found.windows[0].cct[1]


def test_three_layers_are_dear_and_what_stays_off_is_poor():
    plan = plan_of(source("Tube", "fluorescent", 4100.0, 0.014))
    added = plan.heads[0].best
    assert len(added.gels) >= 3 or added.miss.steps > 3.0
    assert other_lamp(plan, 0).tube
    off = plan_of(source("Street", "sodium", 2050.0, 0.002))
    assert other_lamp(off, 0).why is PoorGel.OFF


@pytest.mark.parametrize(
    "fine",
    [
        source("Near", "led-white", 5200.0, 0.003),
        source("Window", "daylight", 15000.0, 0.002),
        practical(aim=WantedOffset(leave=True)),
        source("Dialled", "led-mix", 2700.0, 0.0).model_copy(
            update={
                "reach": Reach(cct_from=2700, cct_to=6500),
                "reading": Reading(cct=2700, duv=0.0, dial=Setting(cct=2700)),
            }
        ),
    ],
    ids=lambda one: one.name,
)
def test_nobody_is_asked_to_change_what_gel_or_dials_do_or_nobody_can(fine):
    assert other_lamp(plan_of(fine), 0) is None


def test_beside_a_likely_stack_of_few_layers_no_lamp_is_asked_for():
    """A sheet that is likely close is in the list: gel does bring it in, whatever is first."""
    plan = plan_of(source("Street", "sodium", 2050.0, 0.002))
    [head] = plan.heads
    one = head.advice.stacks[0]
    near = one.model_copy(
        update={
            "gels": ["Minus green 1/8"],
            "layers": 1,
            "stops": 0.2,
            "within": 0.8,
            "miss": one.miss.model_copy(update={"seen": Seen.CLOSE}),
        }
    )
    assert other_lamp(plan, 0) is not None
    listed = head.advice.model_copy(update={"stacks": [*head.advice.stacks, near]})
    assert other_lamp(replace(plan, heads=(replace(head, advice=listed),)), 0) is None
    dear = near.model_copy(update={"layers": 3})
    listed = head.advice.model_copy(update={"stacks": [dear]})
    asked = other_lamp(replace(plan, heads=(replace(head, advice=listed, beyond=None),)), 0)
    assert (asked.why, asked.layers) == (PoorGel.LAYERS, 3), "three layers are dear as before"


@pytest.mark.parametrize(
    ("role", "within", "why"),
    [
        (Role.PRACTICAL, 0.2, PoorGel.DOUBT),
        (Role.PRACTICAL, 0.4, None),
        (Role.KEY, 0.2, None),
    ],
)
def test_a_practical_that_gel_seldom_brings_close_had_better_be_another_bulb(role, within, why):
    """One light sheet lands on the target as predicted, but nobody knows the lamp well enough."""
    plan = plan_of(practical().model_copy(update={"role": role}))
    [head] = plan.heads
    miss = head.best.miss.model_copy(update={"seen": Seen.SHOWS, "steps": 2.0})
    one = head.best.model_copy(
        update={"gels": ["CTB 1/2"], "layers": 1, "stops": 0.5, "within": within, "miss": miss}
    )
    listed = head.advice.model_copy(update={"stacks": [one]})
    asked = other_lamp(replace(plan, heads=(replace(head, advice=listed, beyond=None),)), 0)
    assert (asked.why if asked else None) is why


def test_where_a_layer_comes_off_the_three_that_hang_are_no_reason_for_a_lamp():
    layers = ["CTB full", "CTB 1/4", "Minus green 1/8"]
    hung = Work(stage=Stage.HUNG, gels=layers, read_bare=Reading(cct=2900, duv=0.0))
    plan = plan_of(practical(work=hung))
    [head] = plan.heads
    three = head.best.model_copy(update={"gels": layers, "layers": 3, "stops": 1.2})
    two = three.model_copy(
        update={
            "gels": layers[:2],
            "layers": 2,
            "within": 0.8,
            "miss": three.miss.model_copy(update={"seen": Seen.CLOSE}),
        }
    )
    alone = head.advice.model_copy(update={"stacks": [three]})
    stays = replace(head, chosen=three, advice=alone, beyond=None, change=None, check=None)
    assert poorly_gelled(replace(plan, heads=(stays,))) == [0]
    takes_off = replace(stays, change=Swap(("Minus green 1/8",), (), two))
    assert poorly_gelled(replace(plan, heads=(takes_off,))) == []


def test_what_somebody_confirmed_is_left_alone():
    done = Work(stage=Stage.CONFIRMED, gels=["CTB full", "CTB 1/4"], read_bare=Reading(cct=2700, duv=0.0))
    assert other_lamp(plan_of(practical(work=done)), 0) is None


def test_practicals_come_first():
    plan = plan_of(source("Street", "sodium", 2050.0, 0.002), practical())
    assert poorly_gelled(plan) == [1, 0]
    assert [one.index for one in other_lamps(plan)] == [1, 0]


@pytest.mark.parametrize(
    ("cct", "kind", "sold"),
    [
        (2800.0, "tungsten", {2800}),
        (2800.0, "led-white", set()),
        (4300.0, "discharge", {4300}),
        (4300.0, "tungsten", set()),
        (4300.0, "led-white", set()),
        (3500.0, "led-white", set()),
        (3500.0, "fluorescent", {3500}),
        (4000.0, "fluorescent", {4000}),
        (4000.0, "discharge", set()),
        (3770.0, "led-white", set()),
    ],
)
def test_lamps_are_named_that_are_to_be_had_in_the_place_of_the_kind_that_is_there(cct, kind, sold):
    """Common practice, no source: which CCTs bulbs, tubes and heads come in."""
    duv = duv_sold(cct)
    [window] = windows_of(cct, duv, 2.0, Kind(kind), ARRAYS, behind=False)
    assert set(window.sold) == sold


def test_nobody_is_asked_for_a_lamp_that_nobody_has():
    """At 3 770 K no lamp is sold that needs no gel; behind an eighth of CTO one of 4 000 K does."""
    between, weird = Target(cct=3770, locus="planckian", duv_offset=0.001), Target(cct=3770, duv_offset=0.012)
    off = source("Street", "sodium", 2050.0, 0.002)
    found = other_lamp(plan_of(off, target=between), 0)
    assert [(window.gel, window.sold) for window in found.windows] == [("CTO 1/8", (4000,))]
    plan = plan_of(off, target=weird)
    assert (other_lamp(plan, 0), poorly_gelled(plan), without_lamp(plan)) == (None, [], [0])


def test_a_lamp_that_is_close_bare_is_named_though_it_is_not_in_the_middle_of_the_window():
    """6 500 K, Duv +0.003 is 2.3 steps from 6 330 K, +0.0037, and lies beside the widest box around that."""
    assert np.hypot(*(uv_prime(6500.0, 0.003) - uv_prime(6330.0, 0.0037))) < 2.5 * STEP
    [window] = windows_of(6330.0, 0.0037, 3.0, Kind.TUNGSTEN, ARRAYS, behind=False)
    assert window.sold == (6500,)
    wanted = uv_prime(6330.0, 0.0037)
    for cct, duv in itertools.product(window.cct, window.duv):
        assert np.hypot(*(uv_prime(cct, duv) - wanted)) <= 3.02 * STEP


def test_a_lamp_that_comes_nearer_is_known_where_none_comes_in():
    """Nobody sells a lamp of 3 770 K so green; one of 4 000 K still is much nearer than a street lamp."""
    [street] = [source("Street", "sodium", 2050.0, 0.002)]
    plan = plan_of(street, target=Target(cct=3770, duv_offset=0.006))
    wanted = plan.prepared[0].wanted
    named, away = nearest_sold(wanted, Kind.SODIUM)
    assert away == pytest.approx(
        np.hypot(*(uv_prime(named, duv_sold(named)) - uv_prime(wanted.cct, wanted.duv))) / STEP, rel=0.02
    )
    miss = plan.heads[0].best.miss
    assert nearer_lamp(plan, 0) == (named if np.hypot(away, 3.0) < miss.expected_steps - 1.0 else None)
    assert nearer_lamp(plan_of(source("Window", "daylight", 15000.0, 0.002)), 0) is None


def test_a_lamp_on_sale_that_is_no_nearer_than_what_hangs_is_not_named():
    fine = plan_of(source("Near", "led-white", 5500.0, 0.003))
    assert nearer_lamp(fine, 0) is None
