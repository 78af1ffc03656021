"""A large set and a large crew: 30 phones poll it, and six of them write, beside a set of 200 sources.

Run by hand: ``python tests/benchmarks/bench_crowd.py [SECONDS]``, 60 unless said. The server is the command
itself, in a process of its own, over loopback. Each phone polls every 2 s; those that write send a reading
every 5 s, and open the page of the set after it. It begins once the first page of the set is there. Prints
the 95th percentile of each, what went wrong, and the memory of the server by tenths of the time (Linux).
"""

import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.model import LightSet, Target
from tests.benchmarks.bench_neighbour import memory
from tests.benchmarks.bench_sets import head
from tests.benchmarks.phones import NoAnswer, Phone, served
from tests.benchmarks.short import ARGUMENTS, pick

PHONES, WRITERS, SOURCES = pick(30, 3), pick(6, 1), pick(200, 13)
SECONDS = pick(60.0, 0.6)
POLL, WRITE = pick((2.0, 5.0), (0.2, 0.3))
GOAL, GOAL_OF_A_PAGE = 150, 1000
"""For the 95th percentile of polls and readings, and of the page after a reading. [ms]"""


def polled(phone: Phone) -> bool:
    """Ask for the pulse."""
    return phone.poll() in (200, 304)


def metered(phone: Phone, number: int, n: int) -> bool:
    """Take the n-th reading of a phone's own source."""
    data: dict[str, object] = {"cct": 3200 + n, "duv": "0.001", "lux": 900 + n, "level": 58}
    return bool(phone.send_once(f"/sources/{number + 1}/reading", data, f"crowd-{number:02}-{n:08}"))


def opened(phone: Phone) -> bool:
    """Open the page of the set; it may say that the plan is being worked out."""
    return phone.ask("GET", "/sets/1")[0] in (200, 503)


class Crowd:
    """What the phones felt [ms] by what they did, and what went wrong."""

    def __init__(self) -> None:
        self.times: dict[str, list[float]] = {"poll": [], "reading": [], "page": []}
        self.wrong: list[str] = []
        self.over = threading.Event()

    def work(self, port: int, number: int) -> None:
        """Poll until it is over; a writer takes readings, and looks at the page."""
        phone = Phone(port, f"Crew {number}").join()
        self.over.wait(POLL * number / PHONES)
        wrote, n = time.monotonic(), 0
        while not self.over.wait(POLL):
            self._do("poll", partial(polled, phone))
            if number < WRITERS and time.monotonic() - wrote >= WRITE:
                wrote, n = time.monotonic(), n + 1
                self._do("reading", partial(metered, phone, number, n))
                self._do("page", partial(opened, phone))

    def _do(self, what: str, act: Callable[[], bool]) -> None:
        at = time.perf_counter()
        try:
            if not act():
                self.wrong.append(what)
        except (NoAnswer, AssertionError) as error:
            self.wrong.append(f"{what} {error!r}")
        self.times[what].append(1000 * (time.perf_counter() - at))


def main() -> None:
    seconds = float(ARGUMENTS[0]) if ARGUMENTS else SECONDS
    lights = LightSet(name="Large", target=Target(cct=5600), sources=[head(i) for i in range(SOURCES)])
    with tempfile.TemporaryDirectory() as folder, served(Path(folder), lights) as port:
        first = Phone(port, "First").join()
        while first.ask("GET", "/sets/1")[0] == 503:
            time.sleep(POLL / 2)
        crowd, held = Crowd(), []
        crew = [threading.Thread(target=crowd.work, args=(port, i)) for i in range(PHONES)]
        for thread in crew:
            thread.start()
        for _ in range(10):
            time.sleep(seconds / 10)
            held.append(memory(folder)[0])
        crowd.over.set()
        for thread in crew:
            thread.join()
    for what, times in crowd.times.items():
        p95 = statistics.quantiles(times, n=20)[-1] if len(times) > 1 else max(times, default=0.0)
        goal = GOAL_OF_A_PAGE if what == "page" else GOAL
        over = f"  OVER THE GOAL of {goal} ms" if p95 > goal else ""
        print(f"{what}: {len(times)}, 95 % within {p95:.1f} ms{over}")
    print(f"The server holds, each tenth of the time: {', '.join(map(str, held))} MB")
    print(f"{PHONES} phones, {SOURCES} sources; errors: {len(crowd.wrong)} {crowd.wrong[:3]}")


if __name__ == "__main__":
    main()
