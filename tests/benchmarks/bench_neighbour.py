"""What a crew feels while one phone sends the worst texts and requests there are, one after the other.

Run by hand: ``python tests/benchmarks/bench_neighbour.py [SECONDS]``. The server is the command itself, in a
process of its own, over loopback; so is the hostile phone: making its texts would hold up the others
where they are timed. Two phones poll, open pages and take readings meanwhile. Prints what the worst took and
how heavy its answer was, the 95th percentile of the others, and the memory of the server, and of it with its
processes for long work, after 200 of the worst texts (Linux).
"""

import json
import re
import statistics
import sys
import tempfile
import threading
import time
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from multiprocessing import get_context
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks.phones import NoAnswer, Phone, served
from tests.benchmarks.short import ARGUMENTS, pick

SECONDS = pick(60.0, 0.5)
PASTES = pick(200, 2)
PAUSE = pick(0.05, 0.2)
"""Of the others, after each of their requests. [s]"""
GOAL, AT_MOST, MEMORY = 100, 1000, 250
"""Of the others' 95th percentile [ms], of each of the worst [ms], of the server's memory [MB]."""
SIZE = pick(640_000, 5_000)
TEXTS = {
    "1 and tabs": "1\t" * (SIZE // 2),
    "line ends": "1" + "\n" * (SIZE - 2) + "1",
    "quotation marks": '"' * SIZE,
    "pairs of them": '""\n' * (SIZE // 3),
    "headings": "CCT,Duv,name\n" * (SIZE // 13),
    "JSON": "[" + ",".join(['{"cct":5600}'] * (SIZE // 13)) + "]",
    "tags": "<a>" * (SIZE // 3),
    "what is just within": "1;2;3;4\n" * pick(12_000, 100),
}
DOORS = ("/sets/1/paste", "/gels/import", "/sets/import", "/heads/import")


def gels(count: int) -> str:
    """Make a table of gels that are nearly alike."""
    rows = (f"F{i},full,{-130 + 290 * i / count:.2f},{i * 7 % 30 - 15}" for i in range(count))
    return "family,fraction,mired,cc\n" + "\n".join(rows)


def advice(count: int) -> str:
    """Make a request for advice on many sources, in four layers."""
    sources = [
        {"name": f"S{i}", "kind": "unknown", "reading": {"cct": 3000 + 50 * i, "duv": 0.002}}
        for i in range(count)
    ]
    return json.dumps({"target": {"cct": 5600}, "sources": sources, "max_layers": 4})  # fmt: skip


class Felt:
    """What others felt while the worst was sent: times by what they did [ms], and what went wrong."""

    def __init__(self) -> None:
        self.times: dict[str, list[float]] = {"poll": [], "page": [], "reading": []}
        self.wrong: list[str] = []
        self.over = threading.Event()

    def crew(self, port: int) -> list[threading.Thread]:
        """Return two that work until it is over, both of whom have joined."""
        phones = [Phone(port, f"Crew {i}").join() for i in range(2)]
        return [threading.Thread(target=self.work, args=(phone, i)) for i, phone in enumerate(phones)]

    def work(self, phone: Phone, number: int) -> None:
        """Poll, read and meter until it is over."""
        n = 0
        while not self.over.is_set():
            for what in ("poll", "poll", "poll", "page", "reading"):
                at, n = time.perf_counter(), n + 1
                try:
                    if what == "reading":
                        data = {"cct": 3200 + n % 100, "duv": "0.001", "lux": 900 + n}
                        phone.send_once(f"/sources/{number + 1}/reading", data, f"neighbour-{number}-{n:08}")
                    else:
                        status = phone.poll() if what == "poll" else phone.ask("GET", "/sets/1")[0]
                        if status not in (200, 304):
                            self.wrong.append(f"{what} {status}")
                except (NoAnswer, AssertionError) as error:
                    self.wrong.append(f"{what} {error!r}")
                self.times[what].append(1000 * (time.perf_counter() - at))
                time.sleep(PAUSE)


def worst() -> list[tuple[str, str, str, str]]:
    """Return what the hostile phone sends: what it is, where to, the body and its kind."""
    form, of_json = "application/x-www-form-urlencoded", "application/json"
    sent = [
        (f"{name} to {door}", door, urlencode({"text": text}), form)
        for door in DOORS
        for name, text in TEXTS.items()
    ]
    tables = [
        (f"{n} gels", "/gels/import", urlencode({"text": gels(n)}), form) for n in pick((500, 501), (9,))
    ]
    curves = "family,fraction,spectrum\n" + "".join(f"F{i},full,{i}.csv\n" for i in range(pick(500, 10)))
    sent.append(("missing curves", "/gels/import", urlencode({"text": curves}), form))
    every = [*sent, *tables, ("advice on 12 sources", "/api/v1/advice", advice(pick(12, 1)), of_json)]
    return every[:: pick(1, 17)]


class Sent:
    """What became of the worst: the longest answer, and the longest until it was done [ms], each by name."""

    def __init__(self) -> None:
        self.took: dict[str, float] = {}
        self.whole: dict[str, float] = {}
        self.heavy = self.count = 0
        """The bytes of the heaviest refusal; how many were sent."""


def send_worst(port: int, seconds: float) -> Sent:
    """Send the worst, one after another, for so long, and until there were enough of them."""
    hostile, sent, every = Phone(port, "Hostile", kept=False).join(), Sent(), worst()
    began = time.perf_counter()
    while time.perf_counter() - began < seconds or sent.count < PASTES:
        for name, path, body, kind in every:
            status = 503
            begun = time.perf_counter()
            while status == 503:  # it is being worked out: ask again
                at = time.perf_counter()
                status, _, answer = hostile.ask("POST", path, body, **{"Content-Type": kind})
                sent.took[name] = max(sent.took.get(name, 0.0), 1000 * (time.perf_counter() - at))
                sent.heavy = max(sent.heavy, len(answer) if status >= 400 else 0)
            sent.whole[name] = max(sent.whole.get(name, 0.0), 1000 * (time.perf_counter() - begun))
            sent.count += 1
    return sent


def memory(folder: str) -> tuple[int, int]:
    """Return what the server over a data folder holds, and with its processes [MB]; 0 where nobody says."""
    held, parents = dict[int, int](), dict[int, int]()
    server = 0
    for process in Path("/proc").glob("[0-9]*"):
        with suppress(OSError, TypeError):
            about = (process / "status").read_text()
            number = int(process.name)
            parents[number] = int(re.search(r"PPid:\s+(\d+)", about)[1])
            held[number] = int(re.search(r"VmRSS:\s+(\d+)", about)[1]) // 1024
            if folder.encode() in (process / "cmdline").read_bytes():
                server = number
    own = held.get(server, 0)
    return own, own + sum(
        held[number] for number, parent in parents.items() if server and parent == server and number in held
    )


def main() -> None:
    seconds = float(ARGUMENTS[0]) if ARGUMENTS else SECONDS
    with (
        ProcessPoolExecutor(1, get_context("spawn")) as apart,
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder)) as port,
    ):
        felt = Felt()
        crew = felt.crew(port)
        for thread in crew:
            thread.start()
        try:
            sent = apart.submit(send_worst, port, seconds).result()
        finally:
            felt.over.set()
            for thread in crew:
                thread.join()
        held, together = memory(folder)
        for name, most in sorted(sent.took.items(), key=lambda one: -one[1])[:5]:
            over = "" if most <= AT_MOST else "  OVER THE GOAL"
            print(f"{name}: an answer within {most:.0f} ms{over}, the whole within {sent.whole[name]:.0f} ms")
        print(f"The heaviest refusal: {sent.heavy / 1000:.0f} kB")
        for what, times in felt.times.items():
            p95 = statistics.quantiles(times, n=20)[-1] if len(times) > 1 else times[0]
            over = "" if p95 <= GOAL else f"  OVER THE GOAL of {GOAL} ms"
            median = statistics.median(times)
            print(f"{what}: {len(times)}, median {median:.1f} ms, 95 % within {p95:.1f} ms{over}")
        over = "" if held <= MEMORY else f"  OVER THE GOAL of {MEMORY} MB"
        print(f"The server holds {held} MB{over}, with its processes {together} MB")
        print(f"{sent.count} of the worst sent; errors of the others: {len(felt.wrong)} {felt.wrong[:3]}")


if __name__ == "__main__":
    main()
