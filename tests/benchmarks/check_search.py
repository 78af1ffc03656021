"""Hold the search of 500 gels in 3 layers against every one of the 20 million stacks, case after case.

Run by hand, from the project's root: ``python tests/benchmarks/check_search.py [CASES] [FIRST]``. Every
stack is evaluated spectrally in double precision (a few matrix products a gel), its risk worked out where
the loss of its expected miss is not beaten already, and the front taken by its definition, with nothing of
the search in it. A case takes seconds on a free machine where the source has
few spectra: every other one has a measured spectrum, the others are of kinds with one to four. Sources of
many spectra are checked at 150 gels in one case of five, and at 500 in one of twenty-five (a minute each).
"""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
from short import ARGUMENTS, pick

from advisor.advice.cost.judge import Judge
from advisor.advice.ranking.branch_and_bound import pareto_candidates
from advisor.advice.ranking.pareto import rank
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE, choice_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import predict_stacks, prepare
from advisor.model import EXACT, Limits, Target
from tests.advice.exhaustive import Vectorised
from tests.advice.expected import Reference
from tests.advice.large import family_table, measured_source, mixed_table, some_source, some_target

LIMITS = Limits(accuracy=EXACT)
SOME, MANY = pick((150, 500), (12, 20))
"""Gels of a table."""
FEW = 4
"""Spectra of a source that is checked with many gels."""


def check(case: int, count: int, few: bool) -> str:
    """Compare one case; return what was compared, or raise AssertionError."""
    rng = np.random.default_rng([7, case, count])
    rows = (mixed_table if case % 3 else family_table)(rng, count)
    gel_arrays = gel_arrays_of(tuple(rows))
    head = measured_source(rng) if case % 2 == 0 and few else some_source(rng)
    while few and len(prepare(head, gel_arrays, white_of(Target(cct=5600), [])).ensemble.weights) > FEW:
        head = some_source(rng)
    target = white_of(some_target(rng), [head])
    bare = prepare(head, gel_arrays, target)
    choice = choice_on(gel_arrays, (), 3, gel_arrays.ranked, dimmed=False)
    started = time.process_time()
    judge = Judge(bare, gel_arrays, LIMITS)
    found = pareto_candidates(judge, choice)
    ours = time.process_time() - started
    [outcomes] = predict_stacks([bare], gel_arrays, found)
    front = found[rank(judge, found, outcomes)]
    started = time.process_time()
    in_order = sorted(rows, key=lambda row: gel_arrays.names.index(row.name))
    reference = Reference(bare, in_order, gel_arrays.transmittances, gel_arrays.other_dyes, LIMITS)
    expected = Vectorised(reference, gel_arrays.stock * gel_arrays.ranked).front()
    theirs = time.process_time() - started
    stacks = sorted(tuple(int(i) for i in stack if i != NONE) for stack in front)
    assert stacks == expected, f"case {case}: {set(stacks) ^ set(expected)}"
    kind = "measured" if bare.ensemble.measured else head.kind
    return (
        f"{case:3d}: {count} gels, {kind}, {len(bare.ensemble.weights)} spectra, front of {len(front)}: equal"
        f"; processor time {ours:.2f} s against {theirs:.1f} s"
    )


def main() -> None:
    cases, first = (int(a) for a in (*ARGUMENTS, *(pick("50", "2"), "0")[len(ARGUMENTS) :]))
    for case in range(first, first + cases):
        print(check(case, MANY, few=True), flush=True)
        if case % 5 == 0:
            print(check(case, SOME, few=False), flush=True)
        if case % 25 == 0:
            print(check(case, MANY, few=False), flush=True)


if __name__ == "__main__":
    main()
