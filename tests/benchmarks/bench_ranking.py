"""How fast the ranking is, and how much faster than going through everything.

Run by hand, from the project's root: ``python tests/benchmarks/bench_ranking.py``. Prints a line for each
goal. The ratios matter, not the times: they are this machine's, and while it does other work they are long.
The exhaustive references are the tests' own (`tests/advice/exhaustive.py`), vectorised; with 500 gels one is
timed on a slice of the stacks, as far as the expected miss, and the whole estimated from that. What is
compared is the way to the front of each source, without the words and figures of the answer; the whole answer
is timed beside it.
"""

import statistics
import sys
import time
import tracemalloc
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
from short import pick

from advisor.advice.answer.advise import advise, advise_on
from advisor.advice.learned.informed import judge_of
from advisor.advice.ranking.clusters import tree_of
from advisor.advice.ranking.pareto import pareto_fronts
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE, choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import GelArrays, gel_arrays_of
from advisor.advice.stacks.prediction import PreparedSource, prepare
from advisor.advice.stock.allocation import allocate
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import EXACT, AdviceRequest, Gel, Kind, Limits, Reading, Source, Target
from tests.advice.exhaustive import Vectorised, ranked
from tests.advice.expected import Reference
from tests.advice.large import family_table, mixed_table
from tests.advice.scarce import a_scramble, optimum

ROUNDS = pick(5, 1)
FEW, MANY = pick((50, 500), (15, 40))
"""Gels of a small table and of a large one."""
SLICE = pick(12, 2)
"""Of the large table, the first gels of the stacks on which the exhaustive reference is timed."""
LAYERS = 3
HEADS = [
    Source(
        name=f"Head {i}",
        kind=list(Kind)[i % len(Kind)],
        reading=Reading(cct=2700.0 + 350 * i, duv=-0.006 + 0.001 * i),
    )
    for i in range(pick(12, 2))
]
TARGET = Target(cct=5600)
LIMITS = Limits(max_layers=LAYERS, accuracy=EXACT)


def least(run: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the least time of a few runs, on which other work weighs least. [s]"""
    times = []
    for _ in range(rounds):
        started = time.perf_counter()
        run()
        times.append(time.perf_counter() - started)
    return min(times)


def reference_of(bare: PreparedSource, rows: Sequence[Gel], gel_arrays: GelArrays) -> Reference:
    """Return the plain reference for a source."""
    in_order = sorted(rows, key=lambda row: gel_arrays.names.index(row.name))
    return Reference(bare, in_order, gel_arrays.transmittances, gel_arrays.other_dyes, LIMITS)


def ms(times: Sequence[float]) -> str:
    """Write the median of times."""
    return f"{1000 * statistics.median(times):.0f} ms"


def shipped() -> None:
    """The shipped table, all twelve sources."""
    rows = shipped_gels().rows
    gel_arrays, target, limits = gel_arrays_of(tuple(rows)), white_of(TARGET, HEADS), LIMITS
    bares = [prepare(head, gel_arrays, target) for head in HEADS]
    stacks = stacks_on(gel_arrays, choice_on(gel_arrays, (), LAYERS, gel_arrays.ranked, dimmed=False))
    spectra = sum(len(b.ensemble.weights) for b in bares)
    layers = (stacks != NONE).sum(axis=1)

    def reference() -> None:
        for bare in bares:
            ranked(*reference_of(bare, rows, gel_arrays).risk(stacks), layers)

    request = AdviceRequest(target=TARGET, sources=HEADS, max_layers=LAYERS)
    advise(request, rows)
    ours, theirs = (
        least(lambda: pareto_fronts([judge_of(bare, gel_arrays, limits) for bare in bares])),
        least(reference, 3),
    )
    whole = least(lambda: advise(request, rows))
    print(
        f"shipped table, {len(stacks)} stacks, {len(bares)} sources of {spectra} spectra:"
        f" {1000 * ours:.0f} ms",
        end="",
    )
    print(
        f" (goal 150); reference {1000 * theirs:.0f} ms, {theirs / ours:.1f} x; answer {1000 * whole:.0f} ms"
    )


def alone(bares: Sequence[PreparedSource], limits: Limits, gel_arrays: GelArrays) -> list[float]:
    """Return the time to the front of each source by itself. [s]"""
    return [least(partial(front_of, bare, gel_arrays, limits)) for bare in bares]


def front_of(bare: PreparedSource, gel_arrays: GelArrays, limits: Limits) -> None:
    """Go the way to the front of one source, from what judges its stacks on."""
    pareto_fronts([judge_of(bare, gel_arrays, limits)])


def large() -> None:
    """Five hundred gels, each source alone; and the growth from fifty."""
    target, limits = white_of(TARGET, HEADS), LIMITS
    for name, make in (("four families", family_table), ("mixed table", mixed_table)):
        fewer, rows = (make(np.random.default_rng(1), count) for count in (FEW, MANY))
        few, gel_arrays = gel_arrays_of(tuple(fewer)), gel_arrays_of(tuple(rows))
        choice = choice_on(gel_arrays, (), LAYERS, gel_arrays.ranked, dimmed=False)
        started = time.perf_counter()
        tree_of(gel_arrays, choice.gels)
        built = time.perf_counter() - started
        before = alone([prepare(head, few, target) for head in HEADS], limits, few)
        bares = [prepare(head, gel_arrays, target) for head in HEADS]
        times = alone(bares, limits, gel_arrays)
        print(
            f"{name}, {MANY} gels, 3 layers, one source: median {ms(times)} (goal 300),"
            f" slowest of {len(bares)}",
            end=" ",
        )
        print(f"{1000 * max(times):.0f} ms; once {1000 * built:.0f} ms for the tree")
        plains = [
            Vectorised(reference_of(bare, rows, gel_arrays), gel_arrays.stock * gel_arrays.ranked)
            for bare in bares
        ]
        ratios = [exhaustively(plain) / t for plain, t in zip(plains, times, strict=True)]
        print(f"  exhaustive (estimated from {SLICE} first gels and one spectrum): ", end="")
        print(f"{statistics.median(ratios):.0f} x at the median, {min(ratios):.0f} x at least (goal 50)")
        growth = [b / a for a, b in zip(before, times, strict=True)]
        print(
            f"  growth from {FEW} to {MANY} gels: {statistics.median(growth):.1f} x at the median, ", end=""
        )
        print(f"{max(growth):.1f} x at most (goal 20)")
        answers = [least(partial(advise_on, [bare], limits, gel_arrays), 3) for bare in bares]
        print(f"  whole answer: median {ms(answers)}, slowest {1000 * max(answers):.0f} ms")
        tracemalloc.start()
        for bare in bares:
            front_of(bare, gel_arrays, limits)
        print(f"  peak memory of the search: {tracemalloc.get_traced_memory()[1] / 1e6:.0f} MB (goal 400)")
        tracemalloc.stop()


def exhaustively(plain: Vectorised) -> float:
    """Estimate the time to the expected miss of every stack of a source, from a slice of them. [s]"""
    count = len(plain.sheets)
    firsts = np.linspace(0, count - 1, SLICE).astype(int)

    def some() -> None:
        for i in firsts:
            plain.block((int(i),), int(i), members=1)

    each = least(some, 2) / sum((count - firsts) ** 2)
    return each * sum(k**2 for k in range(1, count + 1)) * len(plain.reference.shares)


def scarce() -> None:
    """Scarce sheets over twelve sources, against integer programming."""
    for stacks in pick((300, 1000), (40,)):
        ours, theirs, equal = [], [], 0
        for seed in range(pick(100 if stacks == 300 else 20, 1)):
            wishes, stock = a_scramble(np.random.default_rng([12, seed]), stacks=stacks)
            shelves = [wish.shelf() for wish in wishes]
            started = time.perf_counter()
            options, *_ = allocate(shelves, stock)
            ours.append(time.perf_counter() - started)
            started = time.perf_counter()
            best = optimum(wishes, stock)
            theirs.append(time.perf_counter() - started)
            found = max(o.miss for o in options), sum(o.cost for o in options)
            equal += bool(np.allclose(found, best, rtol=0, atol=1e-6))
        print(
            f"scarce stock, 12 sources of {stacks} stacks: {equal} of {len(ours)} equal milp's optimum;",
            end="",
        )
        ratio = statistics.median(theirs) / statistics.median(ours)
        print(f" median {ms(ours)} against {ms(theirs)}, {ratio:.1f} x; slowest {1000 * max(ours):.0f} ms")


def main() -> None:
    shipped()
    large()
    scarce()


if __name__ == "__main__":
    main()
