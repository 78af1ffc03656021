"""Every benchmark still runs: one short round of each, of whose figures nothing is asked."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LAST = {
    "bench_advice": "largest difference in CCT",
    "bench_dial": "asked again",
    "bench_ensemble": "most memory held",
    "bench_fuzz": "records: ",
    "bench_heads": "one of them",
    "bench_kill": "0 lost, doubled or damaged",
    "bench_large": "against the first line: ",
    "bench_live": "A poll beside",
    "bench_neighbour": "of the worst sent; errors of the others: 0",
    "bench_outage": "Errors: 0",
    "bench_pages": "/sources/2 changed",
    "bench_pastes": "five times too long",
    "bench_phone": "again  /sets/2",
    "bench_ranking": "1 of 1 equal milp's optimum",
    "bench_same": "0 of 2 answers differ",
    "bench_record": "errors of others: 0",
    "bench_sets": "unchanged",
    "bench_silent": "not in the file once: 0",
    "bench_start": "Goal for the first page",
    "bench_trips": "goal: under 2000",
    "bench_whites": "whole answer with the four plans",
    "check_search": "  1: 20 gels",
}
"""What stands in the last lines of what each prints."""
IN_A_BROWSER = ("bench_phone",)
"""Run by tests/browser/test_benchmark.py."""


def short_round(name: str) -> str:
    """Run a short round, and return the last lines that it printed."""
    command = [sys.executable, f"tests/benchmarks/{name}.py", "--short"]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8")
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return "\n".join(ran.stdout.splitlines()[-8:])


def test_all_of_them_are_here():
    here = Path(__file__).parent
    scripts = {path.stem for pattern in ("bench_*.py", "check_*.py") for path in here.glob(pattern)}
    assert scripts == set(LAST)


@pytest.mark.parametrize("name", [name for name in LAST if name not in IN_A_BROWSER])
def test_a_short_round_runs_to_its_end(name):
    assert LAST[name] in short_round(name)
