"""How long the server works on the page of a set, from 6 sources to 60, with 20 readings each.

Run by hand: ``python tests/benchmarks/bench_sets.py``. Prints the median time of the page after a change
(the plan is made anew) and when nothing changed, and the cost of a source at each size against that at six:
up to 1 it grows no faster than the sources do. The goal is 0.3 s for the first opening of 60 sources.
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.model import Kind, LightSet, Reading, Source, Target
from advisor.web.app import create_app
from tests.benchmarks.short import pick

SIZES = pick((6, 12, 30, 60), (6,))
READINGS, ROUNDS = 20, pick(9, 1)
GOAL = 300
"""The page of 60 sources. [ms]"""
KINDS = ((Kind.DAYLIGHT, 6500), (Kind.DISCHARGE, 5700), (Kind.LED_WHITE, 5300), (Kind.FLUORESCENT, 4200),
         (Kind.TUNGSTEN, 3100), (Kind.LED_MIX, 4600))  # fmt: skip


def head(i: int) -> Source:
    """Make an invented source that was read at many levels and is used between two of them."""
    kind, cct = KINDS[i % len(KINDS)]
    cct += 7 * (i // len(KINDS))
    levels = [100 - 4 * k for k in range(READINGS)]
    readings = [Reading(cct=cct - 3 * k, duv=0.002, lux=900 - 40 * k, level=v) for k, v in enumerate(levels)]
    name = f"Head {i + 1}"
    return Source(name=name, kind=kind, readings=readings[1:], reading=readings[0], level=58)


def main() -> None:
    first = None
    for size in SIZES:
        with tempfile.TemporaryDirectory() as data:
            app = create_app(Path(data))
            sets = app.extensions["advisor"].sets
            kept = LightSet(name="Many", target=Target(cct=5600), sources=[head(i) for i in range(size)])
            number = sets.create_set(kept)
            client = app.test_client()
            client.get(f"/sets/{number}")  # compiles the template
            anew, again = [], []
            for k in range(ROUNDS):
                now = sets.get_source(1)
                sets.add_reading(1, now.source.reading.model_copy(update={"cct": 5000.0 + k, "level": 58}))
                for times in (anew, again):
                    began = time.perf_counter()
                    assert client.get(f"/sets/{number}").status_code == 200
                    times.append(1000 * (time.perf_counter() - began))
            middle = statistics.median(anew)
            first = first or middle / size
            over = "  OVER THE GOAL" if size == 60 and middle > GOAL else ""
            print(
                f"{size:3d} sources, {READINGS} readings each: {middle:6.1f} ms after a change "
                f"({middle / size / first:4.2f} x a source's cost at {SIZES[0]}), "
                f"{statistics.median(again):6.1f} ms unchanged{over}"
            )
            app.extensions["database"].close()


if __name__ == "__main__":
    main()
