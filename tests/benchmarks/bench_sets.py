"""How much the server works on the page of a set, from 6 sources to 60, with 20 readings each.

Run by hand: ``python tests/benchmarks/bench_sets.py``. Prints the processor's time for the page after a
change of one source (only that one is planned anew) and when nothing changed, and the first against planning
and drawing the whole set: the lower the share, the less is worked out again. The goals after a change are
40 ms for 12 sources and 150 ms for 60.
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from flask.testing import FlaskClient

from advisor.model import Kind, LightSet, Reading, Source, Target
from advisor.web.app import create_app
from advisor.web.live import aside
from tests.benchmarks.short import pick

SIZES = pick((6, 12, 30, 60), (6,))
READINGS, ROUNDS = 20, pick(9, 1)
aside.PATIENCE = 60.0  # the whole time is wanted here, and not how soon a page says that it takes long
GOALS = {12: 40, 60: 150}
"""The page after a change of one source, by the number of sources. [ms]"""
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


def page(client: FlaskClient, number: int) -> float:
    """Open the page of a set, and return what that took. [ms]"""
    began = time.process_time()
    assert client.get(f"/sets/{number}").status_code == 200
    return 1000 * (time.process_time() - began)


def main() -> None:
    for size in SIZES:
        with tempfile.TemporaryDirectory() as data:
            app = create_app(Path(data))
            sets = app.extensions["advisor"].sets
            client = app.test_client()
            sources = [head(i) for i in range(size)]
            number = sets.create_set(LightSet(name="Many", target=Target(cct=5600), sources=sources))
            page(client, number)  # compiles the template
            whole, anew, again = [], [], []
            for k in range(ROUNDS):
                sets.update_set(number, target=Target(cct=5601 + k))
                whole.append(page(client, number))
                now = sets.get_source(1)
                sets.add_reading(1, now.source.reading.model_copy(update={"cct": 5000.0 + k, "level": 58}))
                anew.append(page(client, number))
                again.append(page(client, number))
            every, one, none = (statistics.median(times) for times in (whole, anew, again))
            over = "  OVER THE GOAL" if one > GOALS.get(size, one) else ""
            print(
                f"{size:3d} sources, {READINGS} readings each: {one:6.1f} ms after a change of one "
                f"({one / every:4.2f} of {every:.0f} ms for all), {none:6.1f} ms unchanged{over}"
            )
            app.extensions["database"].close()


if __name__ == "__main__":
    main()
