"""How long the server works on each page, with the sample set loaded, and how much it sends.

Run by hand: ``python tests/benchmarks/bench_pages.py``. The pages are found from the application's own
routes. Prints the median time in the application (no network), its ratio to a page that says only that
there is no such page, and the size as sent. A plan is kept from one page to the next until something
changes; "changed" is the time of the first page after a change, when the plan is made anew.
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.sample import sample_set
from advisor.web.app import create_app
from tests.benchmarks.short import pick
from tests.web.test_every_page import addresses

ROUNDS = pick(21, 1)
MOST = pick(1000, 10)
"""How many of the application's own pages are asked for: all of them, but in a short round."""
GOAL = 50
"""A page's handler. [ms]"""
MORE = (
    "/?cct=6800&duv=0.004&kind=daylight",
    "/?cct=6800&duv=0.004&kind=daylight&part=answer",
    "/sources/1?gel=CTO+1%2F4&gel=Minus+green+1%2F8",
)
PLANNED = ("/sets/1", "/sets/1/compare", "/sets/1/sheet", "/sources/2")


def main() -> None:
    with tempfile.TemporaryDirectory() as data:
        app = create_app(Path(data))
        sets = app.extensions["advisor"].sets
        sets.create_set(sample_set(), sample=True)
        client = app.test_client()
        bare = 0.0

        def measure(path: str, words: str = "", change: bool = False) -> None:
            nonlocal bare
            times, size = [], 0.0
            for k in range(ROUNDS + 1):
                if change:
                    now = sets.get_source(1)
                    reading = now.source.reading.model_copy(update={"cct": 6500.0 + k})
                    sets.add_reading(1, reading)
                began = time.perf_counter()
                answer = client.get(path, headers={"Accept-Encoding": "gzip"})
                times.append(1000 * (time.perf_counter() - began))
                size = len(answer.data) / 1000
            middle = statistics.median(times[1:])  # the first one compiles the template
            bare = bare or middle
            over = "" if middle <= GOAL else "  OVER THE GOAL"
            print(f"{middle:7.1f} ms {middle / bare:6.1f} x {size:6.1f} kB  {path}{words}{over}")

        print(f"Median of {ROUNDS}; goal for a page: {GOAL} ms.")
        for path in ("/nothing", *[path for _, path in addresses(app)][:MOST], *MORE):
            measure(path)
        for path in PLANNED:
            measure(path, " changed", change=True)
        app.extensions["database"].close()


if __name__ == "__main__":
    main()
