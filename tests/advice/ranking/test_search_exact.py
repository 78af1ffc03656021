"""The search and the plain way give the same front as trying every stack, in the same order.

What is checked, and against what:

- the shipped table, up to 4 layers, 200 random cases: against every stack tried one by one (`exhaustive`),
  both for the way that predicts all and for the search; readings and labels taken at their word, or with a
  meter and gels that may be off;
- 500 gels in 3 layers, about 20 million stacks: against every stack, evaluated in double precision, for a
  source with a measured spectrum; and 120 gels for ensembles. Fifty cases of the first and larger ones of
  the second are in ``tests/benchmarks/check_search.py``, which takes minutes;
- all of that also where light has to be lost, with ND in the table, with and without a limit to the loss;
- bounds: never above what any stack of a cluster really does, and never above what it risks;
- what must hold of any ranking (hypothesis).
"""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.cost.judge import Judge
from advisor.advice.learned.informed import judge_of
from advisor.advice.ranking import branch_and_bound
from advisor.advice.ranking.bounds import bounds_of, grouped
from advisor.advice.ranking.branch_and_bound import pareto_candidates
from advisor.advice.ranking.candidates import choice_for, is_plain
from advisor.advice.ranking.clusters import tree_of
from advisor.advice.ranking.pareto import pareto_fronts, rank
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE, choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import predict_stacks, prepare
from advisor.colour.observer.chromaticity import stops
from advisor.colour.observer.grid import WAVELENGTHS
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import EXACT, AdviceRequest, Gel, Known, Limits, Refused, Target, Transmittance
from advisor.model.sets.lightset import RequestAccuracy
from tests.advice.exhaustive import LENSED, Vectorised, every_stack, places_of, ranked
from tests.advice.expected import loss
from tests.advice.large import measured_source, mixed_table, some_source, some_target
from tests.advice.rows import nominal, source
from tests.advice.searching import in_order_of, names_of, reference_of, searched
from tests.thorough import THOROUGH, cases

SHIPPED = shipped_gels().rows
# The shipped table ------------------------------------------------------------------------------------


def a_case(seed):
    """A random source, target, table and limits."""
    rng = np.random.default_rng([5, seed])
    rows = [
        row.model_copy(
            update={
                "stock": [None, None, None, 0, 1, 2, 3][rng.integers(7)] if seed % 2 else None,
                "on": bool(seed % 5 or rng.random() < 0.8),
            }
        )
        for row in SHIPPED
    ]
    keep = (
        [SHIPPED[i].name for i in rng.integers(len(SHIPPED), size=rng.integers(3))] if seed % 4 == 0 else []
    )
    limits = Limits(
        tolerance_steps=float(rng.uniform(0.1, 8)),
        max_layers=int(rng.choice([0, 1, 2, 2, 3, 3, 3, 4])),
        max_stops=None if rng.random() < 0.6 else float(rng.uniform(0, 3)),
        exclude_families=[] if seed % 3 else ["CTB"],
        accuracy=EXACT,
    )
    head, aim = some_source(rng).model_copy(update={"keep": keep}), some_target(rng)
    if seed % 2:
        limits = limits.model_copy(update={"accuracy": some_accuracy(rng)})
    if seed % 3 == 1:
        rows = [known_somehow(rng, row) for row in rows]
    return rows, head, aim, limits


def some_accuracy(rng):
    """A meter and gels that may be off, or not."""
    return RequestAccuracy(
        meter_cct_percent=float(rng.choice([0.0, rng.uniform(0, 5)])),
        meter_duv=float(rng.choice([0.0, rng.uniform(0, 0.003)])),
        gel_percent=float(rng.choice([0.0, rng.uniform(0, 25)])),
    )


def known_somehow(rng, row):
    """A row that says how it is known, or how far it may be off, or neither."""
    known = [None, None, Known.GENERIC, Known.SWATCH, Known.TAUGHT][rng.integers(5)]
    percent = [None, None, float(rng.uniform(0, 20))][rng.integers(3)]
    return row.model_copy(update={"known": known, "percent": percent})


def both_front_and_search_give_the_front_of_all(rows, head, aim, limits, least=0.0, *, case):
    gel_arrays, target = gel_arrays_of(tuple(rows)), white_of(aim, [head])
    bare = replace(prepare(head, gel_arrays, target), over=least)
    in_order = in_order_of(gel_arrays, rows)
    stacks = every_stack(
        in_order, head.keep, limits.max_layers, limits.exclude_families, least > 0, head.kind in LENSED
    )
    at = places_of(stacks, in_order)
    risk, lost = reference_of(bare, gel_arrays, rows, limits).risk(at)
    layers = np.array([len(stack) for stack in stacks])
    best = ranked(risk, lost, layers, limits.max_stops, least)
    expected = [tuple(row.name for row in stacks[i]) for i in best]
    [front] = pareto_fronts([judge_of(bare, gel_arrays, limits)])
    assert names_of(gel_arrays, front.stacks) == expected, case
    choice = choice_for(Judge(bare, gel_arrays, limits))
    assert searched(bare, gel_arrays, choice, limits) == expected, case
    judge = Judge(bare, gel_arrays, limits)
    theirs = judge.risk(at[best], judge.certainty(at[best]))
    np.testing.assert_allclose(theirs, risk[best], rtol=2e-4, err_msg=str(case))
    left = pareto_candidates(judge, choice).tolist()
    of_all = iter(stacks_on(gel_arrays, choice).tolist())
    assert all(stack in of_all for stack in left), "not in the order of all stacks"
    return expected


@pytest.mark.parametrize("part", range(cases(8)))
def test_the_shipped_table_gives_the_front_of_all_stacks(part):
    for seed in range(25 * part, 25 * (part + 1)):
        both_front_and_search_give_the_front_of_all(*a_case(seed), case=seed)


@pytest.mark.parametrize("block", range(cases(8, 8)))
def test_the_shipped_table_gives_the_front_where_light_has_to_be_lost(block):
    """ND takes part; the light that has to be lost costs nothing, a stop too few as much as ten."""
    with_nd = 0
    for seed in range(1000 + 20 * block, 1000 + 20 * (block + 1)):
        least = float(np.random.default_rng([9, seed]).uniform(0.1, 5.0))
        front = both_front_and_search_give_the_front_of_all(*a_case(seed), least, case=seed)
        with_nd += any(name.startswith("ND") for stack in front for name in stack)
    assert with_nd > 10, "most of these fronts need ND"


def a_mixed_case(seed):
    """Fourteen gels of all sorts, with twins and measured ones, and ND; light to lose or not."""
    rng = np.random.default_rng([77, seed])
    nd = [Gel(family="ND", fraction=f"{d:.2f}", stops=round(d / 0.301, 3)) for d in (0.15, 0.3, 0.6)]
    rows = mixed_table(rng, 14) + nd
    head = measured_source(rng) if seed % 2 else some_source(rng)
    accuracy = RequestAccuracy(gel_percent=float(rng.choice([0, 5, 20]))) if seed % 3 else some_accuracy(rng)
    limits = Limits(tolerance_steps=float(rng.uniform(0.1, 8)), max_layers=3, accuracy=accuracy)
    least = float(rng.choice([0, rng.uniform(0.1, 4)]))
    return rows, head, some_target(rng), limits, least


@pytest.mark.parametrize("seed", [*range(cases(40)), 5716, 5832, 5841, 5931, 6199, 6491, 6534, 6591])
def test_twins_stand_in_the_order_of_the_table_and_not_of_sums(seed):
    """Gels of one label do the same to the last digit or the last but one: that digit orders nothing.

    Of 3 000 such cases the last eight and eleven others differed when light was compared to the last digit.
    """
    both_front_and_search_give_the_front_of_all(*a_mixed_case(seed), case=seed)


# Five hundred gels ------------------------------------------------------------------------------------


def the_search_gives_the_front_of_all(rows, head, aim, limits, least=0.0):
    gel_arrays, target = gel_arrays_of(tuple(rows)), white_of(aim, [head])
    bare = replace(prepare(head, gel_arrays, target), over=least)
    hangable = gel_arrays.ranked | gel_arrays.dimming if least else gel_arrays.ranked
    choice = choice_on(gel_arrays, (), 3, hangable, dimmed=least > 0)
    assert not is_plain(choice)
    most = np.inf if limits.max_stops is None else limits.max_stops
    plain = Vectorised(reference_of(bare, gel_arrays, rows, limits), gel_arrays.stock * hangable, least, most)
    expected = plain.front()
    judge = Judge(bare, gel_arrays, limits)
    found = pareto_candidates(judge, choice)
    [outcomes] = predict_stacks([bare], gel_arrays, found)
    front = found[rank(judge, found, outcomes)]
    assert sorted(tuple(int(i) for i in stack if i != NONE) for stack in front) == expected
    return gel_arrays, expected


@pytest.mark.parametrize(("seed", "count"), [(0, 500), (2, 120), (3, 120), (1, 500)][: 3 + THOROUGH])
def test_very_many_gels_give_the_front_of_all_stacks(seed, count):
    """Readings and labels taken at their word in every other case."""
    rng = np.random.default_rng([6, seed])
    rows = mixed_table(rng, count)
    head = measured_source(rng) if count == 500 else some_source(rng)
    accuracy = some_accuracy(rng) if seed % 2 else EXACT
    the_search_gives_the_front_of_all(rows, head, some_target(rng), Limits(accuracy=accuracy))


@pytest.mark.parametrize(
    ("seed", "count", "least", "most"),
    [(11, 120, 1.3, None), (12, 120, 3.0, 0.6), (13, 120, 0.9, 0.0), (10, 500, 2.0, None)][: 3 + THOROUGH],
)
def test_very_many_gels_give_the_front_where_light_has_to_be_lost(seed, count, least, most):
    rng = np.random.default_rng([6, seed])
    nd = [Gel(family="ND", fraction=f"{d:.2f}", stops=round(d / 0.301, 3)) for d in np.arange(0.1, 1.3, 0.1)]
    rows = [*mixed_table(rng, count - len(nd)), *nd]
    head = measured_source(rng) if count == 500 else some_source(rng)
    limits = Limits(max_stops=most, accuracy=some_accuracy(rng) if seed % 2 else EXACT)
    gel_arrays, expected = the_search_gives_the_front_of_all(rows, head, some_target(rng), limits, least)
    assert any(gel_arrays.dimming[list(stack)].any() for stack in expected if stack)


# The bounds -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(cases(12)))
def test_no_stack_of_a_cluster_is_better_than_the_clusters_bound(seed):
    """On every level, for stacks of two and three gels drawn from clusters drawn at random."""
    rng = np.random.default_rng([8, seed])
    rows = mixed_table(rng, 90)
    gel_arrays = gel_arrays_of(tuple(rows))
    head = some_source(rng)
    target = white_of(some_target(rng), [head])
    limits = Limits(tolerance_steps=float(rng.uniform(0.1, 8)), accuracy=some_accuracy(rng))
    bare = replace(prepare(head, gel_arrays, target), keep=(0,))
    plain = reference_of(bare, gel_arrays, rows, limits)
    tree = tree_of(gel_arrays, tuple(np.flatnonzero(gel_arrays.ranked).tolist()))
    spectra, shares = bare.ensemble.spectra, bare.ensemble.weights
    groups = grouped(rng.normal(size=(len(spectra), 2)), shares, 4)
    judge = Judge(bare, gel_arrays, limits)
    bounds = bounds_of(spectra, shares, gel_arrays.transmittances[0], target.uv, groups, *judge.floor)
    for number in range(tree.depth + 1):
        level = tree.levels[number]
        clusters = rng.choice(np.flatnonzero(level.filled), size=(100, 2 + seed % 2))
        scale = level.scale[clusters].prod(axis=1)
        least, passed = bounds.of_bands(level.low[clusters].prod(axis=1), level.high[clusters].prod(axis=1))
        first, last = level.starts[clusters], level.starts[clusters + 1]
        for _ in range(3):
            gels = tree.order[rng.integers(first, last)]
            stacks = np.concatenate([np.zeros((len(gels), 1), int), gels], axis=1)
            risk, lost = plain.risk(stacks)
            lit = np.isfinite(risk)
            assert lit.any() and (least[lit] <= risk[lit] + 1e-9).all()
            assert (stops(passed * scale)[lit] <= lost[lit] + 1e-9).all()
    single, _ = bounds.of_stacks(level.high[clusters].prod(axis=1))
    assert (single[lit] <= risk[lit] + 1e-9).all() and (single[lit] >= least[lit] - 1e-9).all()


@pytest.mark.parametrize("seed", range(12))
def test_no_stack_risks_less_than_its_bounds_say(seed):
    """Those by which the judge leaves stacks out: of the expected miss, and of the mean place."""
    rng = np.random.default_rng([18, seed])
    rows = mixed_table(rng, 60)
    gel_arrays, head = gel_arrays_of(tuple(rows)), some_source(rng)
    bare = prepare(head, gel_arrays, white_of(some_target(rng), [head]))
    limits = Limits(tolerance_steps=float(rng.uniform(0.1, 8)), accuracy=some_accuracy(rng))
    judge = Judge(bare, gel_arrays, limits)
    stacks = np.sort(rng.integers(len(gel_arrays.names), size=(400, 3)), axis=1)
    stacks[:100, 2] = stacks[:40, 1] = NONE
    risk, _ = reference_of(bare, gel_arrays, rows, limits).risk(stacks)
    stacks, risk = stacks[np.isfinite(risk)], risk[np.isfinite(risk)]
    [outcomes] = predict_stacks([bare], gel_arrays, stacks)
    np.testing.assert_allclose(judge.risk(stacks, judge.certainty(stacks)), risk, rtol=2e-4)
    exact = judge.risk(stacks, judge.certainty(stacks))
    assert (judge.at_least(outcomes, stacks) <= exact + 1e-9).all()
    assert (judge.closer(stacks, outcomes) <= exact + 1e-9).all()
    assert (judge.floor[1] <= exact + 1e-9).all()


def test_a_bound_of_one_spectrum_and_one_gel_is_the_loss_of_the_miss_itself():
    gel_arrays = gel_arrays_of(tuple(nominal()))
    head = source(kind="daylight")
    target = white_of(Target(cct=5600), [head])
    bare = prepare(head, gel_arrays, target)
    assert len(bare.ensemble.weights) == 1
    bounds = bounds_of(bare.ensemble.spectra, np.ones(1), np.ones(81), target.uv, np.zeros(1, np.intp), 3.0)
    least, passed = bounds.of_stacks(gel_arrays.transmittances)
    [outcomes] = predict_stacks([bare], gel_arrays, np.arange(20)[:, None])
    assert least == pytest.approx(loss(outcomes.steps, 3.0), rel=1e-9)
    assert passed == pytest.approx(outcomes.passed, rel=1e-12)


@pytest.mark.parametrize("count", [1, 2, 3, 7, 20, 33])
def test_every_level_of_the_tree_holds_every_gel_once(count):
    gel_arrays = gel_arrays_of(tuple(mixed_table(np.random.default_rng(count), 40)))
    tree = tree_of(gel_arrays, tuple(range(count)))
    assert sorted(tree.order) == list(range(count))
    for level, finer in itertools.pairwise(tree.levels):
        assert (finer.starts[::2] == level.starts).all()
    assert (np.diff(tree.levels[-1].starts) <= 1).all() and tree.levels[-1].filled.sum() == count
    assert (tree.levels[-1].low == tree.levels[-1].high).all()


def test_too_many_nodes_are_refused(monkeypatch):
    monkeypatch.setattr(branch_and_bound, "MOST_NODES", 100)
    rows = mixed_table(np.random.default_rng(1), 120)
    head = source(kind="led-mix")
    with pytest.raises(Refused) as no:
        advise(AdviceRequest(target=Target(cct=3200, locus="planckian"), sources=[head]), rows)
    [problem] = no.value.problems
    assert (
        problem.where == "gels" and "in up to 3 layers" in problem.says and "fewer layers" in problem.allowed
    )


def test_gels_that_pass_nothing_together_are_no_stack():
    """Two filters that share no wavelength: the stack is dark, has no colour, and is not on the front."""
    half = np.where(WAVELENGTHS < 560, 0.9, 0.0)
    rows = [
        Gel(family="Short", fraction="full", mired=-50, transmittance=curve(half)),
        Gel(family="Long", fraction="full", cc=5, transmittance=curve(half[::-1])),
        *nominal(),
    ]
    gel_arrays, head = gel_arrays_of(tuple(rows)), source()
    target = white_of(Target(cct=5600), [head])
    bare = prepare(head, gel_arrays, target)
    choice = choice_on(gel_arrays, (), 2, gel_arrays.ranked, dimmed=False)
    found = names_of(gel_arrays, pareto_candidates(Judge(bare, gel_arrays, Limits()), choice))
    assert ("CTO 1/4",) in found and not any({"Short full", "Long full"} <= set(stack) for stack in found)


def curve(values):
    return Transmittance(start=380, step=5, values=np.asarray(values).tolist())
