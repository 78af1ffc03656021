"""One short round in place of a whole run, by which a test sees that a benchmark still works.

A script that is started with ``--short`` prints all its lines, but its figures mean nothing. With ``--help``
it says what it measures, and ends. Several short rounds go in one process, which loads once what all of them
need: ``python tests/benchmarks/short.py bench_dial bench_sets``. Above the lines of each stands
``== bench_dial``.
"""

import runpy
import sys
from pathlib import Path
from typing import TypeVar

T = TypeVar("T")
if {"-h", "--help"} & {*sys.argv[1:]}:
    # A run takes minutes: who asks what it is does not wait for one.
    print(sys.modules["__main__"].__doc__)
    raise SystemExit(0)
SHORT = "--short" in sys.argv
ARGUMENTS = [word for word in sys.argv[1:] if word != "--short"]


def pick(whole: T, short: T) -> T:
    """Return what a whole run takes, or what a short round does."""
    return short if SHORT else whole


def main(names: list[str]) -> None:
    """Run a short round of each."""
    for name in names:
        print(f"== {name}", flush=True)
        sys.argv = [f"{name}.py", "--short"]
        runpy.run_path(str(Path(__file__).with_name(f"{name}.py")), run_name="__main__")


if __name__ == "__main__":
    main(sys.argv[1:])
