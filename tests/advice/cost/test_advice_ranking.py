"""The Pareto front by its definition, and the one cost."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.cost.counted import affordable, cost, counted_loss, merge_ties, pareto, tenths

# Few different values, so that many are equal in one, two or all three.
COARSE = st.tuples(st.integers(0, 6), st.integers(0, 6), st.integers(0, 3))
FINE = st.tuples(st.floats(0, 50), st.floats(0, 5), st.integers(0, 4))
STACKS = st.lists(COARSE, max_size=40) | st.lists(FINE, max_size=40)


def columns(stacks):
    steps, stops, layers = zip(*stacks, strict=True) if stacks else ((), (), ())
    # Equal, or farther apart than what is taken for equal.
    return np.array(steps, float).round(8), np.array(stops, float).round(8), np.array(layers, np.intp)


def in_tenths(stops):
    """Stops in tenths, a half of one rounded up."""
    return [math.floor(10 * s + 0.5 + 1e-9) for s in stops]


def by_definition(steps, stops, layers):
    """Those that no other beats: no worse in all three, better in one."""
    rows = list(zip(steps, in_tenths(stops), layers, strict=True))

    def beats(a, b):
        return all(x <= y for x, y in zip(a, b, strict=True)) and a != b

    return [i for i, b in enumerate(rows) if not any(beats(a, b) for a in rows)]


@given(STACKS)
def test_the_front_is_the_definitions(stacks):
    assert pareto(*columns(stacks)).tolist() == by_definition(*columns(stacks))


@given(STACKS.filter(bool))
def test_the_cheapest_is_on_the_front(stacks):
    figures = columns(stacks)
    front = pareto(*figures)
    assert cost(*(part[front] for part in figures)).min() == pytest.approx(cost(*figures).min())


@given(STACKS.filter(bool), st.randoms())
def test_the_front_does_not_depend_on_the_order(stacks, random):
    shuffled = random.sample(stacks, len(stacks))
    assert sorted(stacks[i] for i in pareto(*columns(stacks))) == (
        sorted(shuffled[i] for i in pareto(*columns(shuffled)))
    )


def test_what_differs_by_rounding_only_is_the_same():
    steps, stops = np.array([1.0, 1.0 + 1e-12]), np.array([0.5 + 1e-12, 0.5])
    assert pareto(steps, stops, np.array([1, 1])).tolist() == [0, 1]


def test_so_it_is_on_both_sides_of_a_half_of_the_last_decimal():
    """A sheet of ND moves no colour: the same miss, for less light and a layer more, is beaten."""
    steps = np.array([4.0230563855 - 3e-14, 4.0230563855 + 3e-14])
    assert steps[0].round(9) != steps[1].round(9)
    assert pareto(steps, np.array([1.2, 0.7]), np.array([3, 2])).tolist() == [1]
    assert len(set(merge_ties(steps))) == 1


def test_numbers_made_one_keep_their_order_and_the_infinite_are_one():
    found = merge_ties(np.array([np.inf, 3.0, 1.0, np.inf, 1.0 + 5e-10, 2.0]))
    assert found.tolist() == [np.inf, 3.0, 1.0, np.inf, 1.0, 2.0]
    assert merge_ties(np.zeros(0)).tolist() == []
    assert merge_ties(np.array([np.nan, 2.0, 1.0, np.nan]))[1:3].tolist() == [2.0, 1.0]
    assert np.isnan(merge_ties(np.array([np.nan, 2.0, 1.0, np.nan]))[[0, 3]]).all()


def test_the_order_of_sums_costs_no_light():
    assert affordable(np.array([0.0, 3e-16, -0.2, 0.001]), 0.0).tolist() == [True, True, True, False]
    assert affordable(np.array([0.0, 9.0]), None).all()


@given(st.floats(0, 50), st.floats(0, 10), st.integers(0, 8), st.floats(1e-6, 10), st.integers(1, 4))
def test_the_cost_grows_with_each_of_the_three(risk, stops, layers, more, added):
    """With light from a tenth of a stop up, or not at all."""

    def of(a, b, c):
        return float(cost(np.array(a), np.array(b), np.array(c)))

    here = of(risk, stops, layers)
    assert of(risk + more, stops, layers) > here
    assert of(risk, stops + more, layers) >= here
    assert of(risk, stops + 0.1 + more, layers) > here
    assert of(risk, stops, layers + added) > here


def test_what_each_weighs():
    def of(risk, stops, layers):
        return float(cost(np.array(risk), np.array(stops), np.array(layers)))

    assert of(0.0, 0.0, 0) == 0.0
    assert of(3.5, 0.0, 0) == 3.5
    assert of(0.0, 1.0, 0) == 2.0
    assert of(0.0, 0.0, 1) == 0.5


@pytest.mark.parametrize(
    ("stops", "counts"),
    [(0.0, 0.0), (0.049, 0.0), (0.05, 0.1), (0.149, 0.1), (0.15, 0.2), (1.95, 2.0), (-0.06, -0.1)],
)
def test_light_counts_in_whole_tenths_of_a_stop(stops, counts):
    assert tenths(np.array(stops)) == pytest.approx(counts, abs=1e-12)
    assert tenths(np.array(stops - 1e-12)) == tenths(np.array(stops)), "the order of sums makes no tenth"


def test_a_tenth_of_light_weighs_less_than_a_layer():
    """So that layers decide between two stacks that are that near in light."""
    assert cost(np.array(1.0), np.array(0.24), np.array(1)) < cost(np.array(1.0), np.array(0.16), np.array(2))


def test_light_that_has_to_be_lost_costs_nothing_and_a_stop_too_few_ten_times_a_stop():
    assert counted_loss(np.array([2.0, 2.5, 1.5, 0.0]), 2.0).tolist() == [0.0, 0.5, 5.0, 20.0]
    assert counted_loss(np.array([2.0, 0.5, 0.0]), 0.0).tolist() == [2.0, 0.5, 0.0]


@pytest.mark.parametrize(
    ("stops", "in_steps"), [(1.0, 2.0), (0.96, 2.0), (0.94, 1.8), (0.04, 0.0), (0.05, 0.2)]
)
def test_light_is_counted_in_tenths_of_a_stop(stops, in_steps):
    assert float(cost(np.array(0.0), np.array(stops), np.array(0))) == pytest.approx(in_steps)
