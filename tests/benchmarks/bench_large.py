"""The page of very large sets: up to 500 sources, and nearly 2 000 readings of each, the most there may be.

Run by hand: ``python tests/benchmarks/bench_large.py [SOURCESxREADINGS...]``. Prints the processor's time for
the first page after a start, of which what takes longer than a page waits is worked out aside; for the page
once that is done; and for it after one reading. Then the last two for a source, against those of the smallest
set: no more where the growth is linear. The goal for the page once the plan is there is a second. Last comes
the memory that the process holds then, and the most it held (Linux). A size with `h` at its end is of heads
that hang, of which every tenth reading was taken behind the gel.
"""

import json
import random
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from flask.testing import FlaskClient

from advisor.model import LightSet, Stage, Target, Work
from advisor.model.basis.base import utc_text
from advisor.store import Database
from advisor.web.app import create_app
from advisor.web.live import aside
from tests.benchmarks.bench_sets import head
from tests.benchmarks.short import ARGUMENTS, pick

SIZES = pick(
    ("60x20", "250x20", "500x20", "500x500", "500x1000", "500x1990", "60x1990", "60x500h"), ("6x20", "6x120h")
)
ROUNDS, GEL, LEVELS = pick(3, 1), "CTO 1/4", (100, 58, 50)
GOAL = 1000
"""For the page, once the plan is there. [ms]"""
aside.PATIENCE = 600.0  # the whole time is wanted here, and not how soon a page says that it takes long


def filled(db: Database, set_id: int, readings: int, *, hung: bool) -> None:
    """Give each source of a set so many readings, over the ten hours before: of one lamp as meters print it.

    Where they are `hung`, every tenth was taken behind a gel.
    """
    chance, began = random.Random(readings), datetime.now(UTC) - timedelta(hours=10)
    times = [utc_text(began + timedelta(hours=10) * k / readings) for k in range(readings)]
    with db.write() as conn:
        for (source_id,) in conn.execute("SELECT id FROM sources WHERE set_id = ?", (set_id,)).fetchall():
            query = "SELECT reading FROM readings WHERE source_id = ? ORDER BY id"
            kept = conn.execute(query, (source_id,)).fetchall()
            newest, rows = json.loads(kept[-1][0]), []
            for k, at in enumerate(times[len(kept) :]):
                cct, duv = chance.gauss(newest["cct"], 15), chance.gauss(newest["duv"], 0.0003)
                figures = {"cct": round(cct), "duv": round(duv, 4), "lux": chance.randint(400, 900)}
                behind = {"gels": [GEL]} if hung and k % 10 == 9 else {}
                one = {**figures, "level": LEVELS[k % len(LEVELS)], **behind}
                rows.append((source_id, json.dumps(one), at, "", at))
            told = "(source_id, reading, taken_at, who, filed_at)"
            conn.executemany(f"INSERT INTO readings {told} VALUES (?, ?, ?, ?, ?)", rows)


def held() -> str:
    """Say how much memory this process holds, and the most that it ever did."""
    try:
        lines = Path("/proc/self/status").read_text().splitlines()
    except OSError:
        return "its memory is not known here"
    now, most = (
        next(int(x.split()[1]) // 1024 for x in lines if x.startswith(f"Vm{k}")) for k in ("RSS", "HWM")
    )
    return f"{now} MB, at most {most} MB"


def page(client: FlaskClient, number: int) -> float:
    """Open the page of a set, until it is there, and return what that took. [ms]"""
    began = time.process_time()
    while (status := client.get(f"/sets/{number}").status_code) in (302, 503):  # very many are read aside
        time.sleep(1)  # as the page itself does
    assert status == 200, status
    return 1000 * (time.process_time() - began)


def main() -> None:
    first: list[float] = []
    for size in ARGUMENTS or SIZES:
        sources, readings = map(int, size.rstrip("h").split("x"))
        hung = size.endswith("h")
        with tempfile.TemporaryDirectory() as data:
            app = create_app(Path(data))
            client, sets = app.test_client(), app.extensions["advisor"].sets
            heads = [head(i) for i in range(sources)]
            if hung:
                work = Work(stage=Stage.HUNG, gels=[GEL])
                heads = [one.model_copy(update={"work": work}) for one in heads]
            number = sets.create_set(LightSet(name="Many", target=Target(cct=5600), sources=heads))
            filled(app.extensions["database"], number, readings, hung=hung)
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
                f"{sources} sources{' that hang' if hung else ''}, {readings} readings each: "
                f"first {cold:.0f} ms, then {same:.0f} ms, after a reading {after:.0f} ms; "
                f"a source, against the first line: {grown[0]:.2f}, {grown[1]:.2f}{over}; {held()}",
                flush=True,
            )
            app.extensions["database"].close()


if __name__ == "__main__":
    main()
