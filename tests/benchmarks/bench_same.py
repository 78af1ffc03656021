"""Whether the same 2 000 requests get the same answers in other processes, byte for byte.

Run by hand: ``python tests/benchmarks/bench_same.py [COUNT]``. Each process has another seed for hashes,
another number of threads for matrices, or asks in another order; two run at a time. Prints how long each
took, and how many answers differ. All four take some eight minutes of the processor.
"""

import os
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from short import ARGUMENTS, pick

ROOT = Path(__file__).parents[2]
COUNT = pick(2000, 2)
RUNS = pick(
    [("1", "1", ""), ("2", "2", ""), ("3", "1", "reverse"), ("4", "2", "reverse")],
    [("1", "1", ""), ("2", "2", "reverse")],
)
"""The seed, the threads, and the order of each run."""


def lines(count: int, seed: str, threads: str, order: str) -> list[str]:
    """Return what a process of its own tells of so many requests, by their numbers."""
    about = {"PYTHONHASHSEED": seed, "OPENBLAS_NUM_THREADS": threads, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "tests.same_again", str(count), *([order] if order else [])]
    began, environ = time.monotonic(), {**os.environ, **about}
    ran = subprocess.run(command, cwd=ROOT, env=environ, stdout=subprocess.PIPE, text=True, check=True)
    print(f"seed {seed}, {threads} threads {order}: {time.monotonic() - began:.0f} s", flush=True)
    return sorted(ran.stdout.splitlines(), key=lambda line: int(line.split()[0]))


def main() -> None:
    count = int(ARGUMENTS[0]) if ARGUMENTS else COUNT
    with ThreadPoolExecutor(2) as two:
        first, *others = two.map(lambda run: lines(count, *run), RUNS)
    for run, other in zip(RUNS[1:], others, strict=True):
        differ = [one.split()[0] for one, two in zip(first, other, strict=True) if one != two]
        said = f": {', '.join(differ[:10])}" if differ else ""
        print(f"seed {run[0]}, {run[1]} threads {run[2]}: {len(differ)} of {count} answers differ{said}")


if __name__ == "__main__":
    main()
