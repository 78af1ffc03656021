"""Adjustable heads with more gels than can be gone through."""

from dataclasses import replace

import pytest

from advisor.advice.dials.ranking import dialled
from advisor.advice.stacks.enumerate import choice_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import EXACT, Gel, Limits, Reach
from tests.advice.heads import REGRET, costs, dial, everything, head, white


def test_of_a_large_table_the_best_is_found():
    """More gels than can be gone through: the best is no worse than with one of them."""
    rows = [Gel(family="CTO", fraction=f"{k / 1000:.3f}", mired=round(k * 0.9, 2)) for k in range(1, 151)] + [
        Gel(family="Minus green", fraction=f"{k / 1000:.3f}", cc=-round(k * 0.3, 2)) for k in range(1, 101)
    ]
    gel_arrays = gel_arrays_of(tuple(rows))
    assert choice_on(gel_arrays, (), 2, gel_arrays.ranked, dimmed=False).count > 12_000
    source = head([dial(4500), dial(5600)], Reach(cct_from=4500, cct_to=5600, cct_step=100))
    found = dialled(
        prepare(source, gel_arrays, white(3600, -0.008)), Limits(max_layers=2, accuracy=EXACT), gel_arrays
    ).stacks
    singles = everything(
        prepare(source, gel_arrays, white(3600, -0.008)), gel_arrays, Limits(max_layers=1, accuracy=EXACT)
    )
    assert min(costs(found)) <= min(costs(list(singles))) + REGRET
    assert {gel.split()[0] for gel in found[0].gels} == {"CTO", "Minus"}


def test_of_a_large_table_nd_hangs_with_the_colour_where_light_has_to_be_lost():
    """The stacks that take part are ranked with the light that has to go, as all stacks are."""
    rows = [Gel(family="CTO", fraction=f"{k / 1000:.3f}", mired=round(k * 0.9, 2)) for k in range(1, 151)] + [
        *(Gel(family="ND", fraction=f"{k / 100:.2f}", stops=k / 30) for k in range(3, 121, 3)),
    ]
    gel_arrays = gel_arrays_of(tuple(rows))
    source = head([dial(4500), dial(5600)], Reach(cct_from=4500, cct_to=5600, cct_step=100))
    bare = replace(prepare(source, gel_arrays, white(3600)), over=2.0)
    assert choice_on(gel_arrays, (), 2, gel_arrays.ranked | gel_arrays.dimming, dimmed=True).count > 12_000
    best = dialled(bare, Limits(max_layers=2, accuracy=EXACT), gel_arrays).stacks[0]
    assert {gel.split()[0] for gel in best.gels} == {"CTO", "ND"}
    assert best.stops == pytest.approx(2.0, abs=0.1)
