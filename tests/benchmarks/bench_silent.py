"""Who connects and says nothing, or half of it: 400 idle and 100 half-sent requests beside a working phone.

Run by hand: ``python tests/benchmarks/bench_silent.py``. The server is the command itself, in a process of
its own, over loopback. Of the half-sent ones, every second has sent half of its headers, the others half of a
body. Prints polls, the set page and a reading, beside them and alone, with their ratio; then how many of the
silent ones the server held to the end, and whether every reading that was answered is in the file once.
"""

import socket
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks.phones import Phone, kept, served
from tests.benchmarks.short import pick

IDLE, HALF = pick((400, 100), (6, 4))
ROUNDS = pick(100, 3)
GOAL = 10.0
"""Beside them the median of a request may grow by so much: what a person cannot feel. [ms] Our judgement."""
HEADERS = b"GET /sets/1 HTTP/1.1\r\nHost: 127.0.0.1"
BODY = b"POST /api/v1/advice HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nContent-Type: application/json\r\n"


def silent(port: int) -> list[socket.socket]:
    """Connect without a word, and with half of a request."""
    links = [socket.create_connection(("127.0.0.1", port)) for _ in range(IDLE + HALF)]
    for place, link in enumerate(links[IDLE:]):
        link.sendall(HEADERS if place % 2 else BODY % port + b'Content-Length: 1000\r\n\r\n{"target":')
    return links


def held(links: list[socket.socket]) -> int:
    """Count those that the server has not hung up on."""
    still = 0
    for link in links:
        link.setblocking(False)
        try:
            still += link.recv(1) != b""
        except BlockingIOError:
            still += 1
        except OSError:
            pass
    return still


def took(do: Callable[[int], object], numbers: range) -> list[float]:
    """Do something by each of some numbers, and return what that took. [ms]"""
    times = []
    for n in numbers:
        at = time.perf_counter()
        do(n)
        times.append(1000 * (time.perf_counter() - at))
    return times


def told(times: list[float]) -> tuple[float, float]:
    """Return the median of times, and within which 95 of 100 are. [ms]"""
    return statistics.median(times), statistics.quantiles(times, n=20)[-1]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        with served(data) as port:
            phone, sent = Phone(port, "Jo").join(), []

            def meter(n: int) -> None:
                data = {"cct": 3200, "duv": "0.001", "lux": 10_000 + n}
                phone.send_once("/sources/1/reading", data, f"bench-silent-{n:08}")
                sent.append(10_000 + n)

            asked: dict[str, Callable[[int], object]] = {
                "a poll": lambda n: phone.poll(),
                "the set page": lambda n: phone.ask("GET", "/sets/1"),
                "a reading": meter,
            }
            for do in asked.values():
                do(0)  # the first of each warms up
            # Alone before and after: each reading that is taken is one more, and a machine has other work.
            half, end = ROUNDS // 2 + 1, 2 * ROUNDS + 1
            before = {what: took(do, range(1, half)) for what, do in asked.items()}
            links = silent(port)
            beside = {what: told(took(do, range(half, half + ROUNDS))) for what, do in asked.items()}
            still = held(links)
            for link in links:
                link.close()
            after = {what: took(do, range(half + ROUNDS, end)) for what, do in asked.items()}
            alone = {what: told([*before[what], *after[what]]) for what in asked}
            print(f"Beside {IDLE} idle and {HALF} half-sent connections [ms]:")
            for what in asked:
                (now, late), (was, was_late) = beside[what], alone[what]
                ratio = now / was
                over = "" if now - was <= GOAL else f"  OVER THE GOAL of {GOAL:g} ms more"
                print(
                    f"  {what}: median {now:.1f}, 95 % within {late:.1f}; "
                    f"alone {was:.1f} and {was_late:.1f}; ratio of medians {ratio:.2f}{over}"
                )
            print(f"The server held {still} of {len(links)} silent connections to the end")
            phone.close()
        found = Counter(reading.lux for reading in kept(data))
        print(f"Readings answered: {len(sent)}; not in the file once: {sum(found[lux] != 1 for lux in sent)}")


if __name__ == "__main__":
    main()
