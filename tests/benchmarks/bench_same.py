"""Whether the same 2 000 requests get the same answers in other processes, byte for byte.

Run by hand: ``python tests/benchmarks/bench_same.py [COUNT]``. Each process has another seed for hashes,
another number of threads for matrices, or asks in another order. Prints how many answers differ.
"""

import os
import subprocess
import sys
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
    """Return what a process of its own tells of so many requests."""
    about = {"PYTHONHASHSEED": seed, "OPENBLAS_NUM_THREADS": threads, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "tests.same_again", str(count), *([order] if order else [])]
    ran = subprocess.run(
        command, cwd=ROOT, env={**os.environ, **about}, capture_output=True, text=True, check=True
    )
    return ran.stdout.splitlines()


def main() -> None:
    count = int(ARGUMENTS[0]) if ARGUMENTS else COUNT
    first, *others = [lines(count, *run) for run in RUNS]
    for run, other in zip(RUNS[1:], others, strict=True):
        differ = [one.split()[0] for one, two in zip(first, other, strict=True) if one != two]
        said = f": {', '.join(differ[:10])}" if differ else ""
        print(f"seed {run[0]}, {run[1]} threads {run[2]}: {len(differ)} of {count} answers differ{said}")


if __name__ == "__main__":
    main()
