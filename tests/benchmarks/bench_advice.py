"""How fast the advice is: twelve sources, the shipped gel table, three layers.

Run by hand: ``python tests/benchmarks/bench_advice.py``. Prints the median time of an answer for all
twelve sources, and how many times faster a stack is than in a plain loop that asks colour-science for
each stack of one source. The loop is timed on a sample of stacks, and the whole estimated from that.
The ratio matters, not the times: they are this machine's.
"""

import random
import statistics
import time
import warnings
from collections.abc import Callable

import numpy as np
from short import pick

from advisor.advice.answer.advise import advise
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE, choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare, stacked
from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import through
from advisor.colour.observer.data import Array, library
from advisor.colour.observer.grid import WAVELENGTHS
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import AdviceRequest, Kind, Reading, Source, Target

SOURCES = 12
LAYERS = 3
SAMPLE = pick(200, 5)
"""Stacks on which the plain loop is timed."""
ROUNDS = pick(15, 1)
GOAL = 300
"""A stack is to be this many times faster than in the plain loop."""


def main() -> None:
    gels = shipped_gels().rows
    sources = [
        Source(
            name=f"Head {i}",
            kind=list(Kind)[i % len(Kind)],
            reading=Reading(cct=2700.0 + 350 * i, duv=-0.006 + 0.001 * i),
        )
        for i in range(SOURCES)
    ]
    request = AdviceRequest(target=Target(cct=5600), sources=sources, max_layers=LAYERS)
    gel_arrays = gel_arrays_of(tuple(gels))
    stacks = stacks_on(gel_arrays, choice_on(gel_arrays, (), LAYERS, gel_arrays.ranked, dimmed=False))
    one = AdviceRequest(target=Target(cct=5600), sources=sources[:1], max_layers=LAYERS)
    advise(request, gels)  # solves the dyes and finds the stacks, once
    ours = median(lambda: advise(request, gels))
    ours_one = median(lambda: advise(one, gels))

    chosen = stacks[sorted(random.Random(1).sample(range(len(stacks)), SAMPLE))]
    bare = prepare(sources[0], gel_arrays, white_of(request.target, sources))
    products = [[gel_arrays.transmittances[i] for i in stack if i != NONE] for stack in chosen]
    started = time.perf_counter()
    plain = plain_loop(bare.ensemble.spectra[0], products)
    per_stack = (time.perf_counter() - started) / SAMPLE
    print(f"{len(stacks)} stacks of up to {LAYERS} layers from {int(gel_arrays.ranked.sum())} gels")
    print(f"advise(), {SOURCES} sources: median {1000 * ours:.1f} ms")
    print(f"advise(), 1 source: median {1000 * ours_one:.2f} ms")
    print(
        f"plain loop, 1 source: {1000 * per_stack:.2f} ms a stack, on a sample of {SAMPLE} stacks; "
        f"all of them: about {per_stack * len(stacks):.1f} s (estimated from the sample)"
    )
    each = ours / (SOURCES * len(stacks))
    print(f"ratio per stack, {SOURCES} sources: {per_stack / each:.0f} x (goal: at least {GOAL} x)")
    print(f"ratio per stack, 1 source: {per_stack / (ours_one / len(stacks)):.0f} x")
    light = through(
        bare.ensemble.spectra[:1], stacked(gel_arrays.transmittances, chosen)
    )  # the loop's own spectrum
    found = cct_duv_of_uv(light.uv[:, 0])[0]
    white = (found >= 2000) & (found <= 10000)
    apart = np.abs(found / plain - 1)[white].max(initial=0.0)
    print(f"largest difference in CCT, {white.sum()} stacks from 2 000 to 10 000 K: {100 * apart:.4f} %")


def median(run: Callable[[], object]) -> float:
    """Return the median time of a few runs. [s]"""
    times = []
    for _ in range(ROUNDS):
        started = time.perf_counter()
        run()
        times.append(time.perf_counter() - started)
    return statistics.median(times)


def plain_loop(spectrum: Array, stacks: list[list[Array]]) -> list[float]:
    """Ask colour-science for the CCT behind each stack, one by one. [K]"""
    colour = library()
    found = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for gels in stacks:
            behind = spectrum * np.prod(gels, axis=0) if gels else spectrum
            power = colour.SpectralDistribution(dict(zip(WAVELENGTHS.tolist(), behind.tolist(), strict=True)))
            uv = colour.UCS_to_uv(colour.XYZ_to_UCS(colour.sd_to_XYZ(power)))
            found.append(float(colour.temperature.uv_to_CCT_Ohno2013(uv)[0]))
    return found


if __name__ == "__main__":
    main()
