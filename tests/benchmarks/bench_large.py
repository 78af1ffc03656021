"""The page of very large sets: up to 500 sources, and nearly 1 000 readings of each, the most there may be.

Run by hand: ``python tests/benchmarks/bench_large.py [SOURCESxREADINGS...]``. Prints the processor's time for
the first page after a start, of which what takes longer than a page waits is worked out aside; for the page
once that is done; and for it after one reading. Then the last two for a source, against those of the smallest
set: no more where the growth is linear. The goal for the page once the plan is there is a second.
"""

import json
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from flask.testing import FlaskClient

from advisor.model import LightSet, Target
from advisor.store import Database
from advisor.web.app import create_app
from advisor.web.live import aside
from tests.benchmarks.bench_sets import head
from tests.benchmarks.short import ARGUMENTS, pick

SIZES = pick(("60x20", "125x20", "250x20", "500x20", "60x100", "60x990", "500x990"), ("6x20", "12x20"))
ROUNDS = pick(3, 1)
GOAL = 1000
"""For the page, once the plan is there. [ms]"""
aside.PATIENCE = 600.0  # the whole time is wanted here, and not how soon a page says that it takes long


def filled(db: Database, set_id: int, readings: int) -> None:
    """Give each source of a set so many readings: the newest again and again, each a little brighter."""
    told = "reading, taken_at, who, filed_at"
    with db.write() as conn:
        for (source_id,) in conn.execute("SELECT id FROM sources WHERE set_id = ?", (set_id,)).fetchall():
            query = f"SELECT {told} FROM readings WHERE source_id = ? ORDER BY id"
            kept = conn.execute(query, (source_id,)).fetchall()
            reading, *about = kept[-1]
            brighter = [{**json.loads(reading), "lux": 500 + k} for k in range(readings - len(kept))]
            rows = [(source_id, json.dumps(one), *about) for one in brighter]
            conn.executemany(f"INSERT INTO readings (source_id, {told}) VALUES (?, ?, ?, ?, ?)", rows)


def page(client: FlaskClient, number: int) -> float:
    """Open the page of a set, until it is there, and return what that took. [ms]"""
    began = time.process_time()
    while (status := client.get(f"/sets/{number}").status_code) == 503:  # very many readings are read aside
        time.sleep(0.1)
    assert status == 200
    return 1000 * (time.process_time() - began)


def main() -> None:
    first: list[float] = []
    for size in ARGUMENTS or SIZES:
        sources, readings = map(int, size.split("x"))
        with tempfile.TemporaryDirectory() as data:
            app = create_app(Path(data))
            client, sets = app.test_client(), app.extensions["advisor"].sets
            lights = LightSet(name="Many", target=Target(cct=5600), sources=[head(i) for i in range(sources)])
            number = sets.create_set(lights)
            filled(app.extensions["database"], number, readings)
            client.get("/sets")  # what is loaded once is not the set's
            cold = page(client, number)
            same = statistics.median(page(client, number) for _ in range(ROUNDS))
            changed, stored = [], sets.get_set(number).sources[0]
            for k in range(ROUNDS):
                sets.add_reading(stored.id, stored.source.reading.model_copy(update={"cct": 5000.0 + k}))
                changed.append(page(client, number))
            after = statistics.median(changed)
            first = first or [same / sources, after / sources]
            grown = [now / sources / was for now, was in zip((same, after), first, strict=True)]
            over = "" if max(same, after) <= GOAL else f"  OVER THE GOAL of {GOAL} ms"
            print(
                f"{sources} sources, {readings} readings each: first {cold:.0f} ms, then {same:.0f} ms, "
                f"after a reading {after:.0f} ms; a source, against the first line: "
                f"{grown[0]:.2f}, {grown[1]:.2f}{over}",
                flush=True,
            )
            app.extensions["database"].close()


if __name__ == "__main__":
    main()
