"""A crew of 25 phones on one set: each polls every 2 s and writes once in 10 s.

Run by hand: ``python tests/benchmarks/bench_live.py [SECONDS]``. The server is the command itself, in a
process of its own, over loopback. Prints the 95th percentile of polls and writes; every write that was
answered is looked up in the file afterwards. Then unchanged polls against an empty Flask application under
the same settings of waitress, 5 s each; and a request beside 600 connections that say nothing.
"""

import random
import socket
import statistics
import sys
import tempfile
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks.phones import Phone, bare, kept, rate, served
from tests.benchmarks.short import ARGUMENTS, pick

PHONES = pick(25, 3)
SECONDS = pick(60.0, 0.8)
POLL, WRITE = pick((2.0, 10.0), (0.3, 0.3))
SOURCES = 6
IDLE = pick(600, 10)
FAST = pick(5.0, 0.2)
"""How long unchanged polls are counted. [s]"""
GOAL = 50
"""Of the 95th percentile. [ms]"""


@dataclass
class Felt:
    """What a crew felt: times [ms], what was acknowledged (an illuminance each), and what went wrong."""

    polls: list[float] = field(default_factory=list)
    writes: list[float] = field(default_factory=list)
    acknowledged: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def crew(port: int, phones: int, seconds: float, poll: float = POLL, write: float = WRITE) -> Felt:
    """Let phones work on the set at a port, each with a rhythm of its own."""
    felt, lock = Felt(), threading.Lock()

    def work(number: int) -> None:
        chance = random.Random(number)
        phone = Phone(port, f"Phone {number}").join()
        began = time.perf_counter()
        due = [began + chance.random() * poll, began + chance.random() * write]
        n = 0
        try:
            while min(due) < began + seconds:
                time.sleep(max(0.0, min(due) - time.perf_counter()))
                at = time.perf_counter()
                if due[0] <= due[1]:
                    due[0] += poll
                    status = phone.poll()
                    took = 1000 * (time.perf_counter() - at)
                    with lock:
                        felt.polls.append(took)
                        felt.wrong += [] if status in (200, 304) else [f"poll {status}"]
                else:
                    due[1] += write
                    lux, n = 10_000.0 + 1000 * number + n, n + 1
                    data = {"cct": 3200 + number, "duv": "0.001", "lux": lux}
                    path = f"/sources/{number % SOURCES + 1}/reading"
                    phone.send_once(path, data, f"bench-live-{number:04}-{n:06}")
                    took = 1000 * (time.perf_counter() - at)
                    with lock:
                        felt.writes.append(took)
                        felt.acknowledged.append(lux)
        except Exception as error:  # told with the figures
            with lock:
                felt.wrong.append(repr(error))
        phone.close()

    threads = [threading.Thread(target=work, args=(number,)) for number in range(phones)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return felt


def missing(data: Path, felt: Felt) -> list[float]:
    """Return what was acknowledged and is not in the file exactly once."""
    found = Counter(reading.lux for reading in kept(data))
    return [lux for lux in felt.acknowledged if found[lux] != 1]


def beside_idle(port: int, connections: int) -> tuple[float, float]:
    """Return how long a poll takes alone and beside connections that say nothing [ms]: the median of nine."""
    phone = Phone(port, "Jo", kept=False)

    def median() -> float:
        times = []
        for _ in range(9):
            at = time.perf_counter()
            assert phone.poll() in (200, 304)
            times.append(1000 * (time.perf_counter() - at))
        return statistics.median(times)

    alone = median()
    idle = [socket.create_connection(("127.0.0.1", port)) for _ in range(connections)]
    try:
        return alone, median()
    finally:
        for each in idle:
            each.close()


def told(name: str, times: list[float]) -> str:
    """Write what a kind of request took."""
    late = statistics.quantiles(times, n=20)[-1]
    over = "" if late <= GOAL else f"  OVER THE GOAL of {GOAL} ms"
    return f"{name}: {len(times)}, median {statistics.median(times):.1f} ms, 95 % within {late:.1f} ms{over}"


def main() -> None:
    seconds = float(ARGUMENTS[0]) if ARGUMENTS else SECONDS
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        with served(data) as port:
            felt = crew(port, PHONES, seconds)
            polls = rate(port, FAST, "/live/1", 2)
            alone, beside = beside_idle(port, IDLE)
        with bare() as port:
            empty = rate(port, FAST, "/", 2)
        print(f"{PHONES} phones for {seconds:.0f} s, a poll every {POLL:g} s, a write every {WRITE:g} s:")
        print(told("Polls", felt.polls))
        print(told("Writes", felt.writes))
        print(f"Errors: {len(felt.wrong)} {felt.wrong[:3]}")
        print(f"Acknowledged writes: {len(felt.acknowledged)}; not in the file: {len(missing(data, felt))}")
        ratio = f"ratio {polls / empty:.2f} (goal 0.33)"
        print(f"Unchanged polls: {polls:.0f}/s, empty Flask: {empty:.0f}/s, {ratio}")
        print(f"A poll beside {IDLE} idle connections: {beside:.1f} ms, alone {alone:.1f} ms")


if __name__ == "__main__":
    main()
