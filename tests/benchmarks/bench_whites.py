"""How fast all whites of the grid are compared, and how much faster than a plain loop over stacks.

Run by hand, from the project's root: ``python tests/benchmarks/bench_whites.py``. It counts processor time,
so that other work weighs little; the ratios matter, not the times: they are this machine's. The plain loop
works out every stack's risk at a white, of one scatter a stack, (vectorised over stacks, one white after
another) and is timed on a part of the grid. Prints also how far the least cost found is from the plain
loop's, over that part.
"""

import statistics
import time
from collections.abc import Callable

import numpy as np
from short import pick

from advisor.advice.common_white.find import common_whites
from advisor.advice.common_white.grid import grid, least_costs
from advisor.advice.cost.counted import cost
from advisor.advice.cost.judge import Judge
from advisor.advice.cost.loss import expected_loss
from advisor.advice.ranking.candidates import choice_of
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE, stacks_on
from advisor.advice.stacks.gel_arrays import GelArrays, gel_arrays_of
from advisor.advice.stacks.prediction import PreparedSource, predict_stacks, prepare
from advisor.colour.observer.chromaticity import PER_STEP, stops
from advisor.colour.observer.data import Array
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Kind, Limits, Reading, Source, Target

ROUNDS = pick(5, 1)
EVERY = pick(40, 800)
"""Of the whites, each so manieth is given to the plain loop."""
LIMITS = Limits()
HEADS = [
    Source(
        name=f"Head {i}",
        kind=list(Kind)[i % len(Kind)],
        reading=Reading(cct=2700.0 + 350 * i, duv=-0.006 + 0.001 * i),
    )
    for i in range(pick(12, 1))
]


def least(run: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the least processor time of a few runs, on which other work weighs least. [s]"""
    times = []
    for _ in range(rounds):
        began = time.process_time()
        run()
        times.append(time.process_time() - began)
    return min(times)


def plainly(bare: PreparedSource, whites: Array, gel_arrays: GelArrays, choice: object) -> Array:
    """Return the least cost (n,) by going through every stack at every white, one scatter a stack."""
    stacks = stacks_on(gel_arrays, choice)  # type: ignore[arg-type]
    [outcomes] = predict_stacks([bare], gel_arrays, stacks)
    sure = Judge(bare, gel_arrays, LIMITS).certainty(stacks)
    shares = bare.ensemble.weights
    mean = np.einsum("mkc,k->mc", sure.offsets, shares)
    apart = sure.offsets - mean[:, None, :]
    scatter = sure.covariance + np.einsum("mki,mkj,k->mij", apart, apart, shares)
    lost, layers = stops(outcomes.passed), (stacks != NONE).sum(axis=1)
    result = []
    for white in whites:
        off = mean + (bare.wanted.uv - white) * PER_STEP
        risk = expected_loss(off[:, None, :], np.ones(1), scatter, LIMITS.tolerance_steps)
        result.append(cost(risk, lost, layers).min())
    return np.array(result)


def main() -> None:
    rows = shipped_gels().rows
    gel_arrays, whites = gel_arrays_of(tuple(rows)), grid()
    target = white_of(Target(cct=5600), [])
    some = np.flatnonzero(whites.real)[::EVERY]
    ours, ratios, regrets, pairs = [], [], [], 0
    for head in HEADS:
        bare = prepare(head, gel_arrays, target)
        choice = choice_of(bare, LIMITS, gel_arrays)
        found = least_costs(bare, whites.uv, choice, LIMITS, gel_arrays)
        plain = plainly(bare, whites.uv[some], gel_arrays, choice)
        regrets.append(float(np.abs(found[some] - plain).max()))
        ours.append(least(lambda b=bare, c=choice: least_costs(b, whites.uv, c, LIMITS, gel_arrays)))
        whole = least(lambda b=bare, c=choice: plainly(b, whites.uv[some], gel_arrays, c), 2)
        ratios.append(whole / len(some) * len(whites.cct) / ours[-1])
        pairs += len(stacks_on(gel_arrays, choice)) * len(whites.cct)
    stacks = pairs / len(HEADS) / len(whites.cct)
    print(f"{len(whites.cct)} whites, {stacks:.0f} stacks, {len(HEADS)} sources: ", end="")
    print(f"{sum(ours):.2f} s, {pairs / sum(ours) / 1e6:.0f} million white × stack pairs a second")
    print(
        f"plain loop: {statistics.median(ratios):.1f} x at the median, {min(ratios):.1f} x at least, ", end=""
    )
    print(f"{max(ratios):.1f} x at most; largest difference of a cost {max(regrets):.1e} steps")
    whole = least(lambda: common_whites(HEADS, Target(cct=5600), LIMITS, rows), pick(3, 1))
    print(f"whole answer with the four plans: {whole:.2f} s of processor (goal: 1.5 s)")


if __name__ == "__main__":
    main()
