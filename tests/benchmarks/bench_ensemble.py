"""What ensembles cost: twelve sources, the shipped gel table, three layers, against one archetype a source.

Run by hand: ``python tests/benchmarks/bench_ensemble.py``. The same advice is asked for twice, once as it
is and once with every ensemble reduced to its heaviest member; the two take turns, so that a busy machine
slows both. Prints the median times, their ratio, and the most memory that the process has held.
The ratio matters, not the times: they are this machine's.
"""

import resource
import statistics
import sys
import time
from dataclasses import replace

import numpy as np
from short import pick

from advisor.advice.answer.advise import advise_on
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import PreparedSource, prepare
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Kind, Limits, Reading, Source, Target

SOURCES = pick(12, 2)
LAYERS = 3
ROUNDS = pick(15, 1)
MOST_MEMORY = 300.0
"""The server's goal. [MB]"""


def main() -> None:
    gel_arrays = gel_arrays_of(tuple(shipped_gels().rows))
    target = white_of(Target(cct=5600), [])
    sources = [
        Source(
            name=f"Head {i}",
            kind=list(Kind)[i % len(Kind)],
            reading=Reading(cct=2700.0 + 350 * i, duv=-0.006 + 0.001 * i),
        )
        for i in range(SOURCES)
    ]
    started = time.perf_counter()
    ensembles = [prepare(source, gel_arrays, target) for source in sources]
    first = time.perf_counter() - started
    alone = [heaviest(bare) for bare in ensembles]
    limits = Limits(max_layers=LAYERS)
    times: dict[str, list[float]] = {"ensembles": [], "one archetype": []}
    for bares in (ensembles, alone):
        advise_on(bares, limits, gel_arrays)  # finds the stacks and the other dyes, once
    for _ in range(ROUNDS):
        for name, bares in (("ensembles", ensembles), ("one archetype", alone)):
            started = time.perf_counter()
            advise_on(bares, limits, gel_arrays)
            times[name].append(time.perf_counter() - started)
    medians = {name: statistics.median(taken) for name, taken in times.items()}
    members = [len(bare.ensemble.weights) for bare in ensembles]
    stacks = stacks_on(gel_arrays, choice_on(gel_arrays, (), LAYERS, gel_arrays.ranked, dimmed=False))
    print(f"{len(stacks)} stacks of up to {LAYERS} layers, {SOURCES} sources")
    print(f"members of the ensembles: {members}, {sum(members)} in all")
    print(f"ensembles made for the first time: {1000 * first:.0f} ms (kept after that)")
    for name, median in medians.items():
        print(f"advise_on(), {name}: median {1000 * median:.0f} ms")
    print(f"ratio: {medians['ensembles'] / medians['one archetype']:.1f} x")
    print(f"most memory held: {memory():.0f} MB (goal for the server: under {MOST_MEMORY:.0f} MB)")


def heaviest(bare: PreparedSource) -> PreparedSource:
    """Reduce an ensemble to its heaviest member."""
    one = int(np.argmax(bare.ensemble.weights))
    ensemble = bare.ensemble._replace(
        spectra=bare.ensemble.spectra[one : one + 1],
        weights=np.ones(1),
        names=bare.ensemble.names[one : one + 1],
    )
    return replace(bare, ensemble=ensemble)


def memory() -> float:
    """Return the peak of the process' resident memory. [MB]"""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 2**20 if sys.platform == "darwin" else peak / 2**10  # macOS counts bytes


if __name__ == "__main__":
    main()
