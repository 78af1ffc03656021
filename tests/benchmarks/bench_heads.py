"""How long the pages about tested heads take, with 200 heads of 60 readings each.

Run by hand: ``python tests/benchmarks/bench_heads.py``. Prints the median time in the application (no
network) and how much of it was work of the processor, the ratio of that to a page that says only that there
is no such page, and the goal. The first time of each is left out: it compiles the template.
"""

import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.model import HeadReading, HeadTest, Kind, KnownHead, LightSet, Target
from advisor.store import Database
from advisor.store.known_heads import writes
from advisor.web.app import create_app
from tests.benchmarks.short import pick

ROUNDS = pick(11, 1)
HEADS = pick(200, 8)
LEVELS = [100, 90, 80, 70, 60, 50, 40, 30, 20, 15, 10, 5]
MODIFIERS = ["", "dish", "softbox", "grid", "lens"]
HERE = {"Origin": "http://localhost"}
AT = "2026-03-14T05:41:00.000000Z"


def fill(db: Database) -> None:
    """Keep the heads with a test of each, in one write."""
    test = HeadTest(levels=LEVELS, modifiers=MODIFIERS, distance=3.0, minutes_on=20)
    with db.write() as conn:
        for number in range(1, HEADS + 1):
            head = KnownHead(name=f"Panel {number}", kind=Kind.LED_WHITE, group=f"Group {number % 20}")
            head_id = writes.insert_head(conn, "", head, {}, "head.added")
            test_id = writes.insert_test(conn, head_id, test, AT, "")
            for step in test.steps:
                own = {"cct": 5500 + number + step.level, "duv": 0.0001 * (number % 9), "level": step.level}
                more = {
                    "lux": 20.0 * step.level,
                    "ra": 95,
                    "watts": step.level,
                    "modifier": step.setup.modifier,
                }
                reading = HeadReading.model_validate({**own, **more})
                writes.record(
                    conn, "", head_id, "reading.taken", writes.insert_reading(conn, test_id, reading, AT, "")
                )


def main() -> None:
    """Print a line for each page, and for six heads that are added at once."""
    with tempfile.TemporaryDirectory() as data:
        app = create_app(Path(data))
        fill(app.extensions["database"])
        sets = app.extensions["advisor"].sets
        client = app.test_client()
        bare = 0.0

        def measure(words: str, goal: float, ask: Callable[[], int]) -> None:
            nonlocal bare
            times, worked = [], []
            for _ in range(ROUNDS + 1):
                began = time.perf_counter(), time.process_time()
                status = ask()
                times.append(1000 * (time.perf_counter() - began[0]))
                worked.append(1000 * (time.process_time() - began[1]))
                assert status in (200, 302, 404), (words, status)
            middle, own = statistics.median(times[1:]), statistics.median(worked[1:])
            bare = bare or own
            over = "" if middle <= goal else "  OVER THE GOAL"
            took = f"{middle:7.1f} ms {own:7.1f} ms of work {own / bare:6.1f} x"
            print(f"{took}  goal {goal:4.0f} ms  {words}{over}")

        print(f"Median of {ROUNDS}, {HEADS} heads with {len(LEVELS) * len(MODIFIERS)} readings each.")
        pages = (
            ("/nothing", 50),
            ("/heads", 100),
            ("/heads/1", 60),
            ("/tests/1/sheet", 60),
            ("/tests/1?at=3", 60),
        )
        for path, goal in pages:
            measure(path, goal, lambda path=path: client.get(path).status_code)
        set_id = sets.create_set(LightSet(name="Stage", target=Target(cct=5600)))
        shown = client.get(f"/sets/{set_id}/heads").get_data(as_text=True)
        token = re.search(r'name="token" value="([^"]*)"', shown)
        assert token, "the page has a form"
        six = {"head": [str(k) for k in range(1, 7)], "token": token[1], "again": "yes"}
        measure(
            "six heads added at once",
            200,
            lambda: client.post(f"/sets/{set_id}/heads", data=six, headers=HERE).status_code,
        )
        measure("From heads", 100, lambda: client.get(f"/sets/{set_id}/heads").status_code)
        small = sets.create_set(LightSet(name="Six", target=Target(cct=5600)))
        client.post(f"/sets/{small}/heads", data=six, headers=HERE)
        source = sets.get_set(small).sources[0].id
        measure("the set with them", 200, lambda: client.get(f"/sets/{small}").status_code)
        measure("one of them", 100, lambda: client.get(f"/sources/{source}").status_code)
        app.extensions["database"].close()


if __name__ == "__main__":
    main()
