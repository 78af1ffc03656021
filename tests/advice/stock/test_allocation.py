"""Sharing out scarce sheets: exactly the optimum that integer programming finds."""

import itertools

import numpy as np
import pytest

from advisor.advice.stock import allocation
from advisor.advice.stock.in_turn import in_turn
from tests.advice.scarce import Listed, a_scramble, optimum
from tests.thorough import cases


def allocate(wishes, stock, looks=10**9):
    """Share out, by default however long the best takes to find."""
    return allocation.allocate([wish.shelf() for wish in wishes], stock, looks)


def worst_and_total(options):
    return max(o.miss for o in options), sum(o.cost for o in options)


@pytest.mark.parametrize("ten", range(cases(10, 5)))
def test_scrambles_end_as_the_integer_programme_says(ten):
    for seed in range(10 * ten, 10 * ten + 10):
        rng = np.random.default_rng([9, seed])
        wishes, stock = a_scramble(rng, sources=int(rng.integers(2, 13)), stacks=120)
        options, *_ = allocate(wishes, stock)
        for gel, n in stock.items():
            assert sum(o.uses.get(gel, 0) for o in options) <= n
        assert worst_and_total(options) == pytest.approx(optimum(wishes, stock), abs=1e-6), seed


@pytest.mark.parametrize("seed", range(20))
def test_a_few_sources_end_as_trying_everything_says(seed):
    rng = np.random.default_rng([10, seed])
    wishes, stock = a_scramble(rng, sources=3, gels=4, stacks=12)
    found = []
    for at in itertools.product(range(12), repeat=3):
        pairs = list(zip(wishes, at, strict=True))
        if (sum(w.uses[k] for w, k in pairs) <= list(stock.values())).all():
            found.append((max(w.misses[k] for w, k in pairs), sum(w.costs[k] for w, k in pairs)))
    best = min(found)
    assert worst_and_total(allocate(wishes, stock).options) == pytest.approx(best, abs=1e-9)


def two(miss_without):
    """Sources that like a sheet of gel 0, and what each misses by without."""
    return [Listed(np.array([m, 1.0]), np.array([m, 2.0]), np.array([[0], [1]])) for m in miss_without]


def test_the_last_sheet_goes_where_it_is_needed_most():
    options, scarce, _ = allocate(two([4.0, 9.0, 6.0]), {0: 1})
    assert [o.number for o in options] == [0, 1, 0] and scarce == (0,)


def test_where_there_is_enough_nothing_is_scarce():
    options, scarce, _ = allocate(two([4.0, 9.0]), {0: 2})
    assert [o.number for o in options] == [1, 1] and scarce == ()


def test_the_worst_miss_comes_before_the_total():
    """One source could save far more cost with the sheet; the other would miss by more."""
    one = Listed(np.array([5.0, 1.0]), np.array([50.0, 1.0]), np.array([[0], [1]]))
    other = Listed(np.array([6.0, 5.5]), np.array([6.0, 5.9]), np.array([[0], [1]]))
    assert [o.number for o in allocate([one, other], {0: 1}).options] == [0, 1]


def test_no_sources_get_nothing():
    assert allocate([], {0: 1}).options == []


def test_what_takes_too_long_is_shared_out_in_turn_and_said_to_be():
    wishes, stock = a_scramble(np.random.default_rng([9, 1]), sources=12, stacks=120)
    shelves = [wish.shelf() for wish in wishes]
    assert allocation.allocate(shelves, stock).best
    again = [allocation.allocate(shelves, stock, looks=50) for _ in range(2)]
    assert not again[0].best and again[0] == again[1]


@pytest.mark.parametrize("seed", range(12))
def test_in_turn_keeps_within_the_stock_and_nobody_could_do_better_with_what_is_left(seed):
    wishes, stock = a_scramble(np.random.default_rng([12, seed]), sources=8, stacks=120)
    shelves = [wish.shelf() for wish in wishes]
    options = in_turn(shelves, stock)
    left = {gel: n - sum(o.uses.get(gel, 0) for o in options) for gel, n in stock.items()}
    assert min(left.values()) >= 0
    worst, total = worst_and_total(options)
    for shelf, option in zip(shelves, options, strict=True):
        reach = {gel: n + option.uses.get(gel, 0) for gel, n in left.items()}
        assert shelf.cheapest(reach, worst).cost >= option.cost - 1e-6
    bare_worst, bare_total = worst_and_total([shelf.nearest(dict.fromkeys(stock, 0)) for shelf in shelves])
    assert worst <= bare_worst and total < bare_total


def test_in_turn_the_neediest_gets_the_last_sheet():
    assert [o.number for o in in_turn([w.shelf() for w in two([4.0, 9.0, 6.0])], {0: 1})] == [0, 1, 0]
    assert [o.number for o in in_turn([w.shelf() for w in two([4.0, 9.0])], {0: 2})] == [1, 1]
    assert in_turn([], {0: 1}) == []


def test_many_sources_that_want_the_same_end_soon():
    """Counted, not timed: sixty sources and four sheets of each gel were not done after minutes."""
    rng = np.random.default_rng(13)
    wishes, _ = a_scramble(rng, sources=60, stacks=120)
    stock = dict.fromkeys(range(10), 4)
    options, _, best = allocate(wishes, stock, allocation.MOST_LOOKS)
    assert not best
    for gel, n in stock.items():
        assert sum(o.uses.get(gel, 0) for o in options) <= n
