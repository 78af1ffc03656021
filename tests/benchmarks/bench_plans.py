"""How much work the ways on are, for twelve sources after their window drifted: against planning the set.

Run by hand, from the project's root: ``python tests/benchmarks/bench_plans.py``. It counts processor time, so
that other work weighs little; the ratio matters, not the times: they are this machine's.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from short import pick

from advisor.advice.next_plans.find import next_plans
from advisor.advice.next_plans.moved import what_moved
from advisor.advice.next_plans.way import NextPlans
from advisor.advice.plan.make import make_plan
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Kind, Limits, Reading, Source, Target
from tests.advice.decided import all_hung

SOURCES = pick(12, 2)
ROUNDS = pick(5, 1)
TARGET = Target(source="Window")
LIMITS = Limits()
ROWS = shipped_gels().rows
KINDS = [Kind.TUNGSTEN, Kind.LED_WHITE, Kind.FLUORESCENT, Kind.DISCHARGE]


def lamp(number: int) -> Source:
    reading = Reading(cct=3000.0 + 150 * number, duv=-0.003 + 0.001 * (number % 7), lux=300.0)
    return Source(name=f"Lamp {number}", kind=KINDS[number % len(KINDS)], reading=reading)


def worked(run: Callable[[], object]) -> float:
    """Return the least processor time of a few runs. [s]"""
    times = []
    for _ in range(ROUNDS):
        began = time.process_time()
        run()
        times.append(time.process_time() - began)
    return min(times)


def main() -> None:
    window = Source(name="Window", kind=Kind.DAYLIGHT, reading=Reading(cct=7143.0, duv=0.003, lux=500.0))
    sources = all_hung([window, *(lamp(number) for number in range(1, SOURCES))], TARGET, LIMITS, ROWS)
    noon = Reading(cct=7850.0, duv=0.003, lux=500.0)
    sources[0] = window.model_copy(update={"reading": noon, "readings": [window.reading]})
    plan = make_plan(sources, TARGET, LIMITS, ROWS)
    moved = what_moved(plan, TARGET, None)
    names = moved.sources if moved else ("Window",)

    def ways() -> NextPlans:
        return next_plans(plan, TARGET, names)

    planning = worked(lambda: make_plan(sources, TARGET, LIMITS, ROWS))
    ours, found = worked(ways), ways()
    said = ", ".join(f"{one.way}: {one.moves} moves" for one in found.plans)
    print(f"{SOURCES} sources, {len(ROWS)} gels: {said}")
    print(
        f"ways on: {ours:.2f} s of processor, {ours / planning:.1f} x planning the set (goal: 0.5 s for 12)"
    )


if __name__ == "__main__":
    main()
