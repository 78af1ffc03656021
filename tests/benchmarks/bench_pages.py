"""How long the server works on each page, with the sample set loaded, and how much it sends.

Run by hand: ``python tests/benchmarks/bench_pages.py``. Prints the median time in the application
(no network), its ratio to a page that says only that there is no such page, and the size as sent.
"""

import statistics
import tempfile
import time
from pathlib import Path

from advisor.sample import sample_set
from advisor.web.app import create_app

ROUNDS = 21
GOAL = 50
"""A page's handler. [ms]"""
PATHS = (
    "/nothing",
    "/",
    "/?cct=6800&duv=0.004&kind=daylight",
    "/?cct=6800&duv=0.004&kind=daylight&part=answer",
    "/sets",
    "/sets/1",
    "/sets/1/edit",
    "/sets/1/paste",
    "/sources/1",
    "/sources/1?gel=CTO+1%2F4&gel=Minus+green+1%2F8",
    "/sources/1/edit",
    "/gels",
    "/gels/edit?name=CTO+1%2F4",
    "/gels/gels.csv",
    "/api/v1/openapi.json",
)


def main() -> None:
    with tempfile.TemporaryDirectory() as data:
        app = create_app(Path(data))
        app.extensions["advisor"].sets.create_set(sample_set(), sample=True)
        client = app.test_client()
        print(f"Median of {ROUNDS}; goal for a page: {GOAL} ms.")
        bare = None
        for path in PATHS:
            times = []
            for _ in range(ROUNDS + 1):
                began = time.perf_counter()
                answer = client.get(path, headers={"Accept-Encoding": "gzip"})
                times.append(1000 * (time.perf_counter() - began))
            middle = statistics.median(times[1:])  # the first one compiles the template
            bare = bare or middle
            size = len(answer.data) / 1000
            print(f"{middle:7.1f} ms {middle / bare:6.1f} x {size:6.1f} kB  {path}")


if __name__ == "__main__":
    main()
