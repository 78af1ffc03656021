"""What must hold of any ranking, whatever the gels."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.cost.judge import Judge
from advisor.advice.ranking.branch_and_bound import pareto_candidates
from advisor.advice.ranking.pareto import rank
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import allowed_by, choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import predict_stacks, prepare
from advisor.model import EXACT, Limits
from tests.advice.large import mixed_table, some_source, some_target
from tests.advice.searching import searched
from tests.thorough import cases

# What must hold of any ranking --------------------------------------------------------------------------


quick = settings(deadline=None, max_examples=cases(25, 3))
TABLE = mixed_table(np.random.default_rng(3), 60)
ROWS = st.lists(st.sampled_from(TABLE), min_size=2, max_size=24, unique_by=lambda row: row.name)


@st.composite
def heads(draw):
    return some_source(np.random.default_rng(draw(st.integers(0, 10_000))))


@st.composite
def whites(draw):
    return some_target(np.random.default_rng(draw(st.integers(0, 10_000))))


def both_ways(head, rows, aim, **limits):
    """The least risk on the front, by the search and by going through all."""
    limits = Limits(**limits, accuracy=EXACT)
    gel_arrays = gel_arrays_of(tuple(rows))
    target = white_of(aim, [head])
    bare = prepare(head, gel_arrays, target)
    choice = choice_on(gel_arrays, (), limits.max_layers, allowed_by(gel_arrays, limits), dimmed=False)
    judge, best = Judge(bare, gel_arrays, limits), []
    for stacks in (pareto_candidates(judge, choice), stacks_on(gel_arrays, choice)):
        [outcomes] = predict_stacks([bare], gel_arrays, stacks)
        front = stacks[rank(judge, stacks, outcomes)]
        best.append(judge.risk(front, judge.certainty(front)).min())
    assert best[0] == pytest.approx(best[1], abs=1e-9)
    return best[0]


IN_PARTS = 4 * 0.5
"""What it costs at most that two sheets count half a step farther off where one does as much. [step]"""


@given(heads(), ROWS, whites())
@quick
def test_a_gel_more_never_worsens_the_best(head, rows, aim):
    """Only that two sheets of its family do as much as it is held against them from then on."""
    assert both_ways(head, rows, aim) <= both_ways(head, rows[:-1], aim) + IN_PARTS + 1e-9
    more = [*rows[:-1], rows[-1].model_copy(update={"family": "No other"})]
    assert both_ways(head, more, aim) <= both_ways(head, rows[:-1], aim) + 1e-9


@given(heads(), ROWS, whites(), st.randoms())
@quick
def test_the_order_of_rows_never_matters(head, rows, aim, random):
    other = random.sample(rows, len(rows))
    limits = Limits()
    results = []
    for table in (rows, other):
        gel_arrays = gel_arrays_of(tuple(table))
        target = white_of(aim, [head])
        bare = prepare(head, gel_arrays, target)
        results.append(
            searched(bare, gel_arrays, choice_on(gel_arrays, (), 3, gel_arrays.ranked, dimmed=False), limits)
        )
    assert results[0] == results[1]


@given(heads(), ROWS, whites(), st.floats(0, 3), st.floats(0, 3), st.integers(0, 3), st.integers(0, 3))
@quick
def test_a_tighter_limit_never_improves_the_best(head, rows, aim, a, b, few, many):
    tight = both_ways(head, rows, aim, max_stops=min(a, b), max_layers=min(few, many))
    loose = both_ways(head, rows, aim, max_stops=max(a, b), max_layers=max(few, many))
    assert loose <= tight + 1e-9
    cut = [row.name for row in rows[1:]]
    assert both_ways(head, rows, aim) <= both_ways(head, rows, aim, only_gels=cut) + IN_PARTS + 1e-9


@given(heads(), ROWS, whites())
@quick
def test_doubling_every_stock_never_worsens_the_best(head, rows, aim):
    more = [row.model_copy(update={"stock": None if row.stock is None else 2 * row.stock}) for row in rows]
    assert both_ways(head, more, aim) <= both_ways(head, rows, aim) + 1e-9
