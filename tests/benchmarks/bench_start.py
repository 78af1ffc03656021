"""How long from starting the command to the first answered page.

Run by hand: ``python tests/benchmarks/bench_start.py``. Starts the command several times with an empty
data folder, asks for the first page and for the first answer as soon as the port takes connections, and
prints the medians, with the time that a bare Python takes to start and end on this machine.
"""

import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path

from short import pick

ROOT = Path(__file__).parents[2]
ROUNDS = pick(7, 1)
GOAL = 1.5
"""From start to first page. [s]"""
QUESTION = "?cct=6800&duv=0.004&kind=daylight"


def main() -> None:
    bare = statistics.median(timed(lambda: subprocess.run([sys.executable, "-c", ""], check=True), ROUNDS))
    pages, answers = zip(*(start() for _ in range(ROUNDS)), strict=True)
    page = statistics.median(pages)
    print(f"A bare Python starts and ends in {bare:.2f} s (median of {ROUNDS}).")
    print(f"First page after {page:.2f} s (median; worst {max(pages):.2f}), {page / bare:.0f} x bare.")
    print(f"First answer after {statistics.median(answers):.2f} s (worst {max(answers):.2f}).")
    print(f"Goal for the first page: {GOAL} s; {'reached' if page < GOAL else 'missed'}.")


def start() -> tuple[float, float]:
    """Return the time to the first page and to the first answer after it. [s]"""
    with tempfile.TemporaryDirectory() as data:
        began = time.perf_counter()
        command = [sys.executable, "-m", "advisor", "--port", "0", "--data", data]
        with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
            try:
                assert process.stdout is not None
                base = process.stdout.readline().split()[4]
                assert "Quick check" in fetch(base)
                page = time.perf_counter() - began
                assert "Hang ¼ CTO" in fetch(base + QUESTION)
                answer = time.perf_counter() - began
            finally:
                process.terminate()  # SIGINT is ignored by what runs in the background
    return page, answer


def fetch(address: str) -> str:
    """Return a page, whose spaces may be such that no line breaks at them."""
    with urllib.request.urlopen(address, timeout=30) as answer:
        return str(answer.read().decode()).replace("\N{NO-BREAK SPACE}", " ")


def timed(work: Callable[[], object], rounds: int) -> list[float]:
    times = []
    for _ in range(rounds):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return times


if __name__ == "__main__":
    main()
