"""Heads matched to each other: against every choice for two, and against a search at random for more."""

import itertools

import numpy as np
import pytest

from advisor.advice.answer.one_stack import predict_stack
from advisor.advice.next_plans.jointly import match_jointly
from advisor.advice.plan.make import make_plan
from advisor.model import Limits, Refused, Target, WantedOffset
from tests.advice.exhaustive import every_stack
from tests.advice.rows import nominal, source

ROWS = [
    row for row in nominal() if row.family in ("CTO", "CTB") and row.fraction in ("1/8", "1/4", "1/2", "full")
]
LIMITS = Limits(max_layers=2, tolerance_steps=6.0)
TARGET = Target(cct=4300)
PAIR = [source("Pendant", "tungsten", 2800.0, 0.001), source("Neon", "led-white", 5200.0, 0.005)]
STEP = 0.0011
"""CIE TN 001:2014, from memory: one step in u′v′."""


def uv_prime(after):
    """CIE 1976 (u′, v′) of x and y (CIE 15:2018, 8.2.1)."""
    below = -2 * after.x + 12 * after.y + 3
    return np.array([4 * after.x / below, 9 * after.y / below])


def every_result(plan, i):
    """Each stack that may hang within the tolerance: moves, and where it lands, by plain predictions."""
    for rows in every_stack(ROWS, [], LIMITS.max_layers):
        names = [row.name for row in rows]
        entry = predict_stack(plan.prepared[i], LIMITS, plan.gel_arrays, names)
        if entry.miss.steps <= LIMITS.tolerance_steps:
            yield names, uv_prime(entry.after)


def test_for_two_heads_no_other_choice_differs_less_or_moves_fewer_sheets():
    plan = make_plan(PAIR, TARGET, LIMITS, ROWS)
    found = match_jointly(plan, [0, 1])
    options = [list(every_result(plan, i)) for i in (0, 1)]
    assert all(len(one) > 1 for one in options)
    counted = [
        (max(float(np.hypot(*(a - b))) / STEP, 1.0), len(one) + len(other))
        for (one, a), (other, b) in itertools.product(*options)
    ]
    least = min(worst for worst, _ in counted)
    assert max(found.after, 1.0) == pytest.approx(least, abs=0.01)
    assert found.moves == min(moves for worst, moves in counted if worst <= least + 0.005)


def test_it_is_no_worse_than_each_by_itself():
    plan = make_plan(PAIR, TARGET, LIMITS, ROWS)
    found = match_jointly(plan, [1, 0])
    assert max(found.after, 1.0) <= max(found.before, 1.0)
    assert [turn.name for turn in found.turns] == ["Neon", "Pendant"]
    assert all(turn.off == () and turn.on == turn.gels for turn in found.turns)


def test_for_more_heads_no_choice_at_random_is_better():
    heads = [*PAIR, source("Shelf", "tungsten", 3100.0, -0.001), source("Strip", "led-mix", 3700.0, 0.002)]
    plan = make_plan(heads, TARGET, LIMITS, ROWS)
    found = match_jointly(plan, range(4))
    options = [[uv for _, uv in every_result(plan, i)] for i in range(4)]
    random = np.random.default_rng(11)
    for _ in range(400):
        some = [one[random.integers(len(one))] for one in options]
        worst = max(float(np.hypot(*(a - b))) / STEP for a, b in itertools.combinations(some, 2))
        assert max(found.after, 1.0) <= max(worst, 1.0) + 0.3


def test_what_is_no_pair_is_refused():
    plan = make_plan(
        [*PAIR, source("Kept", "tungsten", 3000.0, 0.0, aim=WantedOffset(leave=True))], TARGET, LIMITS, ROWS
    )
    with pytest.raises(Refused, match="nothing to match"):
        match_jointly(plan, [0, 0])
    with pytest.raises(Refused, match="Kept has no answer"):
        match_jointly(plan, [0, 2])
