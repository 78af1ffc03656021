"""How near the advice on dials comes to going through every setting and stack, and how much faster.

Run by hand, from the project's root: ``python tests/benchmarks/bench_dial.py``. The reference predicts each
setting of the head behind each stack exactly, with the same spectra and the same mapping, so the difference
is what the search costs: the regret. Ratios matter, not times, which are this machine's.
"""

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
from short import pick

from advisor.advice.cost.counted import cost
from advisor.advice.dials import ranking as advice
from advisor.advice.dials.at_setting import as_read, stand_at
from advisor.advice.dials.calibration import fit_dial
from advisor.advice.dials.search import dials_of
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import GelArrays, gel_arrays_of
from advisor.advice.stacks.prediction import PreparedSource, prepare
from advisor.colour.spectra import sources
from advisor.colour.spectra.sources import Unbendable
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Limits, Reach, StackAdvice, Target
from tests.advice.heads import ODD, REACH, dial, head

TOLERANCE = 3.0
READ = {1: [dial(5600)], 2: [dial(3200), dial(5600)], 3: [dial(5600), dial(3200), dial(4300, 5)]}
COARSE = Reach(cct_from=2700, cct_to=6500, cct_step=100, green_from=-10, green_to=10, green_step=4)
NARROW = Reach(cct_from=4800, cct_to=6500, cct_step=50, green_from=-2, green_to=2, green_step=1)
TINY = Reach(cct_from=5000, cct_to=6000, cct_step=500, green_from=0, green_to=0, green_step=1)
LAYERS = pick(3, 1)


def exhaustively(bare: PreparedSource, gel_arrays: GelArrays, limits: Limits) -> tuple[float, float]:
    """Return the least cost and the least risk over all settings and stacks."""
    fit = fit_dial(bare.source)
    assert fit is not None
    dials = dials_of(fit.reach)
    stacks = stacks_on(
        gel_arrays, choice_on(gel_arrays, (), limits.max_layers, gel_arrays.ranked, dimmed=False)
    )
    best, surest = np.inf, np.inf
    places = [(i, j) for i in range(dials.ccts) for j in range(dials.greens)]
    for place in [None, *places]:
        try:
            stand = as_read(bare) if place is None else stand_at(bare, fit, dials.setting(*place))
        except Unbendable:
            continue
        judge = stand.judge(gel_arrays, limits)
        outcomes, sure = stand.outcomes(judge, stacks)
        risk = judge.risk(stacks, sure)
        best = min(best, float(judge.cost(stacks, risk, outcomes.passed).min()))
        surest = min(surest, float(risk.min()))
    return best, surest


def risk_of(entry: StackAdvice) -> float:
    """Return what an entry costs beside light, in tenths of a stop, and layers. [step]"""
    return entry.cost - float(cost(np.zeros(()), np.array(entry.stops), np.array(entry.layers)))


def timed(work: Callable[[], object]) -> tuple[float, object]:
    started = time.perf_counter()
    result = work()
    return time.perf_counter() - started, result


def forget() -> None:
    """Start cold: no answers, no spectra of light that was predicted before."""
    advice._dialled.cache_clear()
    sources.forget()


def main() -> None:
    gel_arrays = gel_arrays_of(tuple(shipped_gels().rows))
    limits = Limits(tolerance_steps=TOLERANCE, max_layers=LAYERS)
    regrets, risks, ratios, cold_all, warm_all = [], [], [], [], []
    for kind in pick(("led-mix", "led-white", "discharge"), ("led-white",)):
        for reach in pick((COARSE, NARROW), (TINY,)):
            for readings in pick([*READ.values()], [READ[2]]):
                for cct in pick((3200, 4300, 5600), (4300,)):
                    source = head(readings, reach, ODD, kind)
                    bare = prepare(source, gel_arrays, white_of(Target(cct=cct, locus="planckian"), []))
                    forget()
                    cold, answer = timed(lambda bare=bare: advice.dialled(bare, limits, gel_arrays))
                    advice._dialled.cache_clear()
                    warm, _ = timed(lambda bare=bare: advice.dialled(bare, limits, gel_arrays))
                    forget()
                    theirs, (best, surest) = timed(lambda bare=bare: exhaustively(bare, gel_arrays, limits))
                    regrets.append(answer.stacks[0].cost - best)
                    risks.append(min(map(risk_of, answer.stacks)) - surest)
                    ratios.append(theirs / cold)
                    cold_all.append(1000 * cold)
                    warm_all.append(1000 * warm)
    print(f"{len(regrets)} heads, shipped table, {LAYERS} layers, against every setting and stack [step]:")
    for name, values in (("least cost", regrets), ("least risk", risks)):
        at = np.percentile(values, [50, 90, 100])
        print(f"  {name}: regret {at[0]:.3f} at the median, {at[1]:.3f} at 90 %, {at[2]:.3f} at most")
    print(f"  {statistics.median(ratios):.0f} x faster at the median, {min(ratios):.0f} x at least;", end=" ")
    print(
        f"{statistics.median(cold_all):.0f} ms cold, {statistics.median(warm_all):.0f} ms with known spectra"
    )
    bare = prepare(head(READ[3], REACH), gel_arrays, white_of(Target(cct=4300), []))
    forget()
    first, _ = timed(lambda: advice.dialled(bare, limits, gel_arrays))
    again, _ = timed(lambda: advice.dialled(bare, limits, gel_arrays))
    print(f"  asked again: {first / again:.0f} x faster")


if __name__ == "__main__":
    main()
